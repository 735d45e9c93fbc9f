//! Texts that differ only in how they are spelt.
//!
//! In: two names or headings. Out: whether they are one but for case, blanks, dashes, or an ending.
//! This module never says that two names mean the same: people do.

/// Signs that stand for an apostrophe.
const APOSTROPHES: [char; 9] = [
    '\'', '\u{60}', '\u{b4}', '\u{2bc}', '\u{2018}', '\u{2019}', '\u{201b}', '\u{2032}', '\u{ff07}',
];

/// Signs that stand for a hyphen.
const DASHES: [char; 9] = [
    '-', '\u{ad}', '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2014}', '\u{2212}',
    '\u{ff0d}',
];

/// Endings that a word takes on without becoming another.
const ENDINGS: [&str; 4] = ["ing", "ed", "es", "s"];

/// Fewest letters of a word before its ending.
const SHORTEST_STEM: usize = 3;

/// A heading without what does not tell it from others: case, blanks, underscores and dashes, which kind of apostrophe.
pub fn folded(text: &str) -> String {
    let text = with_plain_signs(text);
    text.chars().filter(|sign| *sign != '-').collect()
}

/// A text in small letters without blanks and underscores, each apostrophe and each dash as on a keyboard.
fn with_plain_signs(text: &str) -> String {
    let letters = text.chars().filter(|sign| !is_blank(*sign));
    let letters = letters.map(|sign| match sign {
        sign if APOSTROPHES.contains(&sign) => '\'',
        sign if DASHES.contains(&sign) => '-',
        sign => sign,
    });
    letters.flat_map(char::to_lowercase).collect()
}

fn is_blank(sign: char) -> bool {
    sign.is_whitespace() || sign == '_'
}

/// A question with the name most like the one given, when one is near enough to be meant.
pub fn did_you_mean<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<String> {
    nearest(name, known).map(|near| format!("did you mean `{near}`?"))
}

/// The name most like the one given, when one is near enough to be meant.
pub fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    let wanted = name.to_lowercase();
    let distance = |known: &str| strsim::damerau_levenshtein(&wanted, &known.to_lowercase());
    known
        .map(|candidate| (distance(candidate), candidate))
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len().min(name.len()) / 4)
        .min()
        .map(|(_, candidate)| candidate)
}

/// Whether two levels differ only in case, blanks, hyphens, underscores, or the ending of a word.
///
/// # Source
/// The endings: common practice, no source.
pub fn are_spelt_alike(one: &str, other: &str) -> bool {
    let stem = stem_of(one);
    !stem.is_empty() && stem == stem_of(other)
}

/// What levels that are spelt alike have in common; others may have it too.
pub fn stem_of(level: &str) -> String {
    stem(&without_hyphens(level)).to_string()
}

/// The folded text without hyphens; a sign before a number is none.
fn without_hyphens(text: &str) -> String {
    let mut bare = String::new();
    for sign in with_plain_signs(text).chars() {
        if sign != '-' || !bare.ends_with(char::is_alphabetic) {
            bare.push(sign);
        }
    }
    bare
}

/// A word without its ending: `chil` of `chill`, `chills`, `chilled` and `chilling`, `bak` of `bake` and `baking`.
fn stem(word: &str) -> &str {
    let letters = |text: &str| {
        let last = text.chars().rev().take_while(|sign| sign.is_alphabetic());
        last.count()
    };
    let without = |ending: &&str| {
        let stem = word.strip_suffix(*ending)?;
        (letters(stem) >= SHORTEST_STEM).then_some(stem)
    };
    let stem = ENDINGS.iter().find_map(without).unwrap_or(word);
    let stem = stem.strip_suffix('e').unwrap_or(stem);
    let mut last = stem.chars().rev();
    match (last.next(), last.next()) {
        (Some(last), Some(before)) if last == before && last.is_alphabetic() => {
            &stem[..stem.len() - last.len_utf8()]
        }
        _ => stem,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_one_but_for_case_blanks_apostrophes_and_dashes() {
        for [one, other] in [
            ["Residue\u{2019}s Ni / %", "residue's  Ni / %"],
            ["Feed_mass", "feed mass"],
            ["boil\u{2013}down", "Boil-down"],
            ["Crop1", "crop 1"],
        ] {
            assert_eq!(folded(one), folded(other), "{one}");
        }
        assert_eq!(folded("RESIDUE-MASS"), folded("residue_mass"));
        assert_ne!(folded("crop 1"), folded("crop 2"));
    }

    #[test]
    fn levels_with_another_ending_are_spelt_alike() {
        for [one, other] in [
            ["chill", "chilled"],
            ["chill", "Chilling"],
            ["water bath", "Water-bath"],
            ["water bath", "water baths"],
            ["boil-down", "boil_down"],
            ["stir", "stirred"],
            ["bake", "baking"],
            ["boil", "boiling"],
            ["quench", "quenches"],
        ] {
            assert!(are_spelt_alike(one, other), "{one}, {other}");
        }
    }

    #[test]
    fn levels_that_differ_in_what_they_name_are_not() {
        for [one, other] in [
            ["sulfate", "sulfite"],
            ["ethanol", "methanol"],
            ["route A", "route B"],
            ["15", "150"],
            ["A", "As"],
            ["1", "2"],
            ["hob", "hub"],
            ["nitrate", "nitrated salt"],
            ["+", "-"],
            ["-5", "5"],
            ["2-3", "23"],
            ["lot 1", "lot 1s"],
            ["oxide", "dioxide"],
        ] {
            assert!(!are_spelt_alike(one, other), "{one}, {other}");
        }
    }
}
