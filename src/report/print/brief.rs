//! Short texts: sentences within a budget of words.
//!
//! In: sentences and clauses, those that matter most first. Out: as many of them as the budget allows.
//! This module never cuts a sentence: what does not fit is left out whole.

use super::words::capital;

/// Most words of a sentence that is read at a glance.
pub const LONGEST_SENTENCE: usize = 30;

/// A text that grows as long as there are words left for it.
#[derive(Debug, Clone)]
pub struct Brief {
    text: String,
    left: usize,
    before: &'static str,
    kept: usize,
}

/// How many words a text has: pieces between blanks that are no sign between two figures.
pub fn words_in(text: &str) -> usize {
    let is_word = |piece: &&str| !["±", "→"].contains(piece);
    text.split_whitespace().filter(is_word).count()
}

impl Brief {
    /// An empty text of so many words at most.
    pub fn within(words: usize) -> Self {
        Self {
            text: String::new(),
            left: words,
            before: "",
            kept: 0,
        }
    }

    /// Words that are left.
    pub fn left(&self) -> usize {
        self.left
    }

    /// Whether a sentence would be taken.
    pub fn fits(&self, sentence: &str) -> bool {
        self.text.is_empty() || !self.before.is_empty() || words_in(sentence) <= self.left
    }

    /// Keeps words for a sentence that is to stand further down, whatever else falls away.
    pub fn keep_for(&mut self, sentence: &str) {
        let words = words_in(sentence).min(self.left);
        self.left -= words;
        self.kept += words;
    }

    /// Adds a sentence that words were kept for.
    pub fn say_kept(&mut self, sentence: &str) {
        let words = words_in(sentence).min(self.kept);
        self.kept -= words;
        self.left += words;
        self.say(sentence);
    }

    /// Puts this before the next sentence.
    pub fn lead(&mut self, before: &'static str) {
        self.before = before;
    }

    /// Adds a sentence where it fits, the first one always; its large letter and its full stop are set here.
    pub fn say(&mut self, sentence: &str) {
        let words = words_in(self.before) + words_in(sentence);
        let must_stand = self.text.is_empty() || !self.before.is_empty();
        if words_in(sentence) == 0 || (words > self.left && !must_stand) {
            return;
        }
        self.left = self.left.saturating_sub(words);
        if !self.text.is_empty() {
            self.text.push(' ');
        }
        let before = std::mem::take(&mut self.before);
        self.text
            .push_str(&capital(&(before.to_string() + sentence)));
        if !sentence.ends_with(['.', ':']) {
            self.text.push('.');
        }
    }

    /// Adds clauses as sentences, as many of them in one as a reader takes in at a glance, until the budget is spent.
    pub fn clauses(&mut self, clauses: impl IntoIterator<Item = String>) {
        let mut sentence = String::new();
        for clause in clauses {
            let longer = match sentence.is_empty() {
                true => clause.clone(),
                false => format!("{sentence}; {clause}"),
            };
            if words_in(&longer) <= LONGEST_SENTENCE.min(self.left) {
                sentence = longer;
            } else {
                self.say(&std::mem::replace(&mut sentence, clause));
            }
        }
        self.say(&sentence);
    }

    /// The finished text.
    pub fn finish(self) -> String {
        self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_fit_is_left_out_whole() {
        let mut brief = Brief::within(6);
        brief.say("one two three");
        brief.say("four five six seven");
        brief.say("± 8 points");
        assert_eq!(brief.finish(), "One two three. ± 8 points.");
    }

    #[test]
    fn the_first_sentence_stands_whatever_its_length() {
        let mut brief = Brief::within(1);
        brief.say("one two three");
        brief.say("four");
        assert_eq!(brief.finish(), "One two three.");
    }

    #[test]
    fn clauses_are_joined_up_to_the_length_of_a_sentence() {
        let clause = |from: usize| (from..from + 16).map(|n| n.to_string()).collect::<Vec<_>>();
        let clauses = [clause(100), clause(200)].map(|words| words.join(" "));
        let mut brief = Brief::within(40);
        brief.clauses(clauses.clone());
        assert_eq!(brief.finish(), format!("{}. {}.", clauses[0], clauses[1]));
        let mut brief = Brief::within(40);
        brief.clauses(["a b".into(), "c d".into()]);
        assert_eq!(brief.finish(), "A b; c d.");
    }
}
