//! What the words of a report mean here.
//!
//! In: a word. Out: its meaning in a sentence or two, and the list of all words.
//! This module never teaches a method: it says what a reader of a report has to know.
//!
//! Common practice, no source, except where a standard is named.

use super::print::{Page, around, or_list};

/// A word with what it means here.
struct Word {
    word: &'static str,
    means: &'static str,
}

const fn word(word: &'static str, means: &'static str) -> Word {
    Word { word, means }
}

/// All words, in alphabetical order.
const WORDS: &[Word] = &[
    word(
        "adjusted mean",
        "What to expect at a level when everything else is at the reference mix.",
    ),
    word(
        "AICc",
        "A figure to rank models by: how badly each fits, and how many terms it spends on that, counted for small logs. Less is better, and only differences mean anything.",
    ),
    word(
        "aliquot",
        "The part of a dissolved sample that is titrated.",
    ),
    word(
        "assay",
        "The mass fraction of what is followed in a feed or a residue, stated as the formula under `assay_as`.",
    ),
    word(
        "assay-adjusted",
        "Of a yield: counted on what feed and residue really held, with the product as weighed.",
    ),
    word(
        "balance",
        "What became of the followed element of one charge: crops, mother liquor, residue, and what nobody measured.",
    ),
    word(
        "baseline",
        "The level of a choice that the others are held against.",
    ),
    word(
        "bleed",
        "The share of the residue that is thrown away each time it goes round.",
    ),
    word(
        "block",
        "What runs have in common that may shift them all alike, such as their lot.",
    ),
    word(
        "ceiling",
        "The largest fraction of theory that the stoichiometry of a route allows.",
    ),
    word("centre", "Where a process stands while nothing drifts."),
    word(
        "chance by luck",
        "How often as large a difference would come out if there were none.",
    ),
    word(
        "closure",
        "How much of what was charged is accounted for; 100 % where nothing is lost and nothing is wrong.",
    ),
    word(
        "contained yield",
        "Pure product in the crops over the pure product that feed and residue charged could give; called yield for short.",
    ),
    word(
        "control chart",
        "Values in the order in which they were made, with limits that they hardly ever cross while nothing changes.",
    ),
    word(
        "Cook's distance",
        "How far all fitted values move when one run is left out; a large one says that the run pulls the fit.",
    ),
    word(
        "crop",
        "The crystals of one filtration; a second crop comes from the liquor of the first.",
    ),
    word(
        "cumulative sums",
        "A control chart that adds up departures and so sees a small lasting one.",
    ),
    word(
        "curved",
        "Of an effect: it may bend, so that what helps at first no longer does further on.",
    ),
    word("cycle", "One run with the residue of the run before."),
    word(
        "degrees of freedom",
        "How many runs are left to tell the scatter by, once each term of the model has taken one.",
    ),
    word(
        "doubt",
        "Something that speaks against an entry or a result, with what to do about it.",
    ),
    word("drift", "A change with time that no factor explains."),
    word(
        "effect",
        "How much a response changes when one thing is changed and all else stays at the reference mix.",
    ),
    word(
        "F",
        "The scatter that a model or a term explains over the scatter it leaves, each per degree of freedom.",
    ),
    word(
        "factor",
        "Something that was varied: an amount such as a ratio, or a choice such as the heating.",
    ),
    word(
        "flag",
        "A point of a control chart that is out of the ordinary; a log without drift has some by luck, and the report says how often.",
    ),
    word(
        "followed element",
        "The element whose way from the charge to the crops is counted.",
    ),
    word(
        "gross yield",
        "Product as weighed over what pure feed would give, nothing adjusted.",
    ),
    word(
        "in doubt",
        "It would be settled, but something that it rests on is doubtful.",
    ),
    word(
        "interval",
        "From where to where a true value may lie, so often as the report says at its top.",
    ),
    word(
        "joint effect",
        "Two factors that change one another's effect, so that neither can be told without the other.",
    ),
    word(
        "lack of fit",
        "Runs lie further from the model than repeats from one another, so a term is missing.",
    ),
    word("level", "One of the ways of a choice."),
    word(
        "leverage",
        "How far the settings of a run lie from those of all others; such a run decides more than others.",
    ),
    word(
        "logit",
        "A scale for fractions on which nothing can be foretold below 0 or above 100 %.",
    ),
    word("lot", "Feed of one delivery, with an assay of its own."),
    word(
        "margin",
        "A difference that does not matter in practice, as `[model] margin` states it.",
    ),
    word("middle", "The value with as many below it as above it."),
    word(
        "mother liquor",
        "What is left after crystals are filtered off.",
    ),
    word(
        "moving range",
        "The distance between one value and the next.",
    ),
    word(
        "not asked",
        "The campaign has nothing to do with the question.",
    ),
    word(
        "open",
        "The log leaves the question open; the report says what would answer it.",
    ),
    word(
        "oxidant excess",
        "Oxidant charged beyond what the followed element needs, as a part of that need.",
    ),
    word("partly open", "The log answers a part of the question."),
    word(
        "purity",
        "The mass fraction of the product in what was weighed, by titration.",
    ),
    word(
        "reference mix",
        "Amounts at the mean of the runs used, choices equally weighted over the levels that can be told.",
    ),
    word("replicate", "One of several titrations or runs made alike."),
    word("residual", "What a model leaves unexplained of one run."),
    word(
        "residue",
        "The depleted solid of a filtration, kept to be charged again.",
    ),
    word(
        "residue ratio",
        "Residue charged per fresh feed, in grams per gram.",
    ),
    word(
        "response",
        "What is looked at as a result: yield, purity, or a column that was logged.",
    ),
    word("robust fit", "A fit in which runs far off weigh less."),
    word("route", "How the product is recovered from solution."),
    word(
        "R²",
        "The part of the scatter of a response that a model explains; it always grows with more terms.",
    ),
    word(
        "scatter",
        "How far runs made alike lie apart, as a standard deviation.",
    ),
    word(
        "set aside",
        "Of a run: taken out on purpose, with its reason, in no model.",
    ),
    word(
        "settled",
        "The log carries the answer: its interval says so, and nothing that it rests on is in doubt.",
    ),
    word(
        "single values",
        "A control chart that looks at one value at a time.",
    ),
    word(
        "specification",
        "The least purity that a product must have.",
    ),
    word(
        "standard deviation",
        "A usual distance from the mean: about two thirds of all values lie within one, and 95 % within two.",
    ),
    word(
        "studentised residual",
        "What a model leaves unexplained of a run, over how far such a run usually lies off.",
    ),
    word(
        "theory",
        "The product that the followed element in a charge could give.",
    ),
    word(
        "titrant",
        "The solution of known strength that a titration uses.",
    ),
    word(
        "variance",
        "The square of a standard deviation; independent errors add up in it.",
    ),
    word(
        "variance inflation factor",
        "How many times wider an interval is, squared, because a term changed along with others.",
    ),
    word(
        "weighted mean",
        "A control chart of a mean in which the newest values weigh most.",
    ),
    word(
        "yield",
        "Contained yield: pure product over what the charge could give.",
    ),
    word(
        "±",
        "Half the width of an interval: the true value lies within it as often as the report says at its top, 95 times in 100 where nothing else is stated.",
    ),
];

/// What a word means here.
///
/// # Errors
/// A sentence that names the words that are nearest, or all of them.
pub fn explain(asked: &str) -> Result<String, String> {
    let key = |text: &str| text.trim().to_lowercase().replace(['_', '-'], " ");
    let asked_for = key(asked);
    let found = WORDS.iter().find(|word| key(word.word) == asked_for);
    // A word may be asked for in the plural.
    let singular = asked_for.strip_suffix('s').unwrap_or(&asked_for);
    let found = found.or_else(|| WORDS.iter().find(|word| key(word.word) == singular));
    if let Some(word) = found {
        return Ok(format!("{}: {}", word.word, word.means));
    }
    let near = WORDS.iter().map(|word| word.word);
    let near = near.filter(|word| {
        key(word)
            .split(' ')
            .any(|part| asked_for.split(' ').any(|piece| piece == part))
    });
    let near: Vec<&str> = near.collect();
    let near = or_list(if near.is_empty() {
        WORDS.iter().map(|word| word.word).collect()
    } else {
        near
    });
    Err(around("known words are ", &near, ""))
}

/// Writes what all words mean: which of them a report needs, no name in it may change.
pub(super) fn write(page: &mut Page) {
    page.heading(2, "Words");
    page.list(
        WORDS
            .iter()
            .map(|word| format!("{}: {}", word.word, word.means)),
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_in_their_order_and_each_once() {
        let names: Vec<String> = WORDS.iter().map(|word| word.word.to_lowercase()).collect();
        let mut sorted = names.clone();
        sorted.sort();
        sorted.dedup();
        assert_eq!(names, sorted);
    }

    #[test]
    fn a_word_is_found_in_any_spelling_and_others_are_named() {
        assert!(explain("Reference-mix").is_ok_and(|text| text.starts_with("reference mix: ")));
        assert!(explain("crops").is_ok_and(|text| text.starts_with("crop: ")));
        let other = explain("yields of contained");
        assert_eq!(other, Err("known words are contained yield".into()));
        assert!(explain("quark").is_err_and(|text| text.contains("lot, ")));
    }
}
