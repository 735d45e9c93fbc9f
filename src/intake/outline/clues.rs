//! Words of headings that tell which column of the design they are.
//!
//! In: a heading without its unit, what its numbers measure. Out: the columns that it may be.
//! This module never reads a cell.
//!
//! # Source
//! The words are those that chemists write above their columns: common practice, no source.

use crate::campaign::LogKind;
use crate::units::Dimension;

/// What tells a column of the design by its heading.
struct Clue {
    log: LogKind,
    /// Name of the column.
    column: &'static str,
    /// One word of each of these lists stands in the heading.
    words: &'static [&'static [&'static str]],
    /// None of these does.
    not: &'static [&'static str],
    /// What its numbers measure, where it holds numbers.
    measures: &'static [Dimension],
}

const RUN: &[&str] = &["run", "batch", "experiment", "trial", "charge no", "cook"];
const FEED: &[&str] = &[
    "feed",
    "ore",
    "scrap",
    "scale",
    "catalyst",
    "raw",
    "charge",
    "charged",
    "concentrate",
    "ash",
];
const RESIDUE: &[&str] = &[
    "residue",
    "residues",
    "residue's",
    "cake",
    "sludge",
    "insolubles",
    "tailings",
];
const OUT: &[&str] = &["out", "left", "after", "recovered", "filtered", "dried"];
const LIQUOR: &[&str] = &["liquor", "ml", "mother", "filtrate"];
const IN: &[&str] = &["in", "charged", "returned", "carried"];
const DISH: &[&str] = &["dish", "pan", "tray"];
const IGNITION: &[&str] = &["ignition", "ignited", "calcined", "crucible"];
const CONTENT: &[&str] = &["assay", "content", "purity"];
const TEXT: &[Dimension] = &[];
const MASS: &[Dimension] = &[Dimension::Mass];
const FRACTION: &[Dimension] = &[Dimension::Fraction];
const VOLUME: &[Dimension] = &[Dimension::Volume];

macro_rules! clues {
    ($($log:ident $column:literal: $words:expr, not $not:expr, $measures:expr;)*) => {
        &[$(Clue { log: LogKind::$log, column: $column, words: $words, not: $not, measures: $measures }),*]
    };
}

/// The first that fits is taken.
const CLUES: &[Clue] = clues! {
    Runs "run": &[RUN], not &["time"], TEXT;
    Runs "date": &[&["date", "datum", "day", "started"]], not &[], TEXT;
    Runs "lot_share": &[&["share"]], not &[], TEXT;
    Runs "lot": &[&["lot", "bag", "drum", "sack"]], not &[], TEXT;
    Runs "residue_from": &[RESIDUE, &["from", "of", "source"]], not &[], TEXT;
    Runs "residue_mass": &[RESIDUE], not OUT, MASS;
    Runs "residue_assay": &[RESIDUE], not OUT, FRACTION;
    Runs "oxidant_mass": &[&["oxidant", "peroxide", "h2o2", "chlorate", "permanganate"]], not &["excess"], MASS;
    Runs "feed_assay": &[FEED, CONTENT], not &[], FRACTION;
    Runs "feed_mass": &[FEED], not &["residue", "acid", "crop"], MASS;
    Runs "labour": &[&["labour", "labor", "work", "attended", "hands"]], not &[], &[Dimension::Time];
    Runs "liquor_from": &[LIQUOR, &["from", "of", "source"]], not &[], TEXT;
    Runs "liquor_in": &[LIQUOR, IN], not &["crop"], VOLUME;
    Runs "liquor_in_conc": &[LIQUOR, IN], not &["crop"], &[Dimension::MassConcentration, Dimension::Concentration];
    Runs "liquor_volume": &[LIQUOR], not &["crop"], VOLUME;
    Runs "liquor_conc": &[LIQUOR], not &["crop"], &[Dimension::MassConcentration, Dimension::Concentration];
    Runs "purity": &[&["purity"]], not &["crop"], FRACTION;
    Residues "mass": &[RESIDUE, OUT], not &[], MASS;
    Residues "assay": &[RESIDUE, OUT], not &[], FRACTION;
    Residues "run": &[RUN], not &["time"], TEXT;
    Residues "date": &[&["date", "day"]], not &[], TEXT;
    Residues "jar": &[&["jar", "tub", "bucket"]], not &[], TEXT;
    Residues "mass": &[&["residue", "mass", "weight"]], not &["crop", "feed"], MASS;
    Residues "assay": &[CONTENT], not &["crop", "feed"], FRACTION;
    Crops "run": &[RUN], not &["time"], TEXT;
    Crops "crop": &[&["crop"]], not &["mass", "weight"], TEXT;
    Crops "ignited_sample": &[IGNITION, &["sample", "before"]], not &[], MASS;
    Crops "ignited_tare": &[&["crucible"], &["empty", "tare"]], not &[], MASS;
    Crops "ignited_mass": &[IGNITION], not &["before"], MASS;
    Crops "tare": &[&["empty", "tare"]], not &[], MASS;
    Crops "wet_mass": &[DISH, &["wet", "before"]], not &[], MASS;
    Crops "dry_mass": &[DISH, &["dry", "dried", "after"]], not &[], MASS;
    Crops "mass": &[&["mass", "weight", "crop", "product"]], not &["residue", "feed", "sample"], MASS;
    Crops "moisture": &[&["moisture", "water"]], not &[], FRACTION;
    Crops "liquor_volume": &[LIQUOR], not &[], VOLUME;
    Crops "temperature": &[&["temperature", "temp"]], not &[], &[Dimension::Temperature];
    Titres "run": &[RUN], not &["time"], TEXT;
    Titres "crop": &[&["crop"]], not &["mass", "weight"], TEXT;
    Titres "sample_mass": &[&["sample", "portion", "weighed"]], not &[], MASS;
    Titres "date": &[&["date", "day"]], not &[], TEXT;
    Titres "blank_of": &[&["blank"]], not &[], TEXT;
    Titres "blank": &[&["blank"]], not &[], VOLUME;
    Titres "back_titre": &[&["back"]], not &[], VOLUME;
    Titres "flask": &[&["flask", "made up"]], not &[], VOLUME;
    Titres "aliquot": &[&["aliquot", "pipetted", "taken"]], not &[], &[Dimension::Volume, Dimension::Fraction];
    Titres "titrant": &[&["titrant"]], not &[], TEXT;
    Titres "titre": &[], not &["blank", "back", "flask", "aliquot", "liquor"], VOLUME;
    Titrants "titrant": &[&["titrant", "solution", "reagent"]], not &[], TEXT;
    Titrants "date": &[&["date", "day"]], not &[], TEXT;
    Titrants "concentration": &[&["concentration", "strength", "conc", "titer", "factor"]], not &[], &[Dimension::Concentration];
    Titrants "standard_mass": &[&["standard", "weighed", "mass"]], not &[], MASS;
    Titrants "standard": &[&["standard"]], not &["mass"], TEXT;
    Titrants "titre": &[&["titre", "used", "volume"]], not &["blank"], VOLUME;
    Lots "opened": &[&["opened"]], not &[], TEXT;
    Lots "source": &[&["source", "laboratory", "analyst"]], not &[], TEXT;
    Lots "lot": &[&["lot", "bag", "drum", "sack"]], not &[], TEXT;
    Lots "price": &[&["price", "cost"]], not &[], TEXT;
    Lots "assay": &[], not &["moisture", "water"], FRACTION;
    Readings "run": &[RUN], not &["time"], TEXT;
    Readings "time": &[&["time", "minute", "elapsed"]], not &[], &[Dimension::Time];
    Readings "temperature": &[&["temperature", "temp", "thermocouple"]], not &[], &[Dimension::Temperature];
};

/// The column of a log that a heading is by its words.
pub(super) fn column(log: LogKind, heading: &str, measures: Option<Dimension>) -> Option<String> {
    let words = words(heading);
    if log == LogKind::Runs && measures == Some(Dimension::Mass) && has(&words, "crop") {
        let number = words.iter().find_map(|word| word.parse::<u32>().ok());
        return Some(format!("crop{}_mass", number.unwrap_or(1)));
    }
    let fits = |clue: &&Clue| {
        let is_there = |any: &&[&str]| any.iter().any(|word| has(&words, word));
        let is_measured = match measures {
            Some(dimension) => clue.measures.contains(&dimension) || clue.column == "price",
            None => clue.measures.is_empty(),
        };
        clue.log == log
            && is_measured
            && clue.words.iter().all(is_there)
            && !clue.not.iter().any(|word| has(&words, word))
    };
    CLUES.iter().find(fits).map(|clue| clue.column.to_string())
}

/// Words of a heading in lower case, figures apart from letters that stand before them.
fn words(heading: &str) -> Vec<String> {
    let lower = heading.to_lowercase().replace('\u{2019}', "'");
    let parts = lower.split(|sign: char| !sign.is_alphanumeric() && sign != '\'');
    let mut words: Vec<String> = Vec::new();
    for part in parts.filter(|part| !part.is_empty()) {
        words.push(part.to_string());
        let bare = part.trim_end_matches(|sign: char| sign.is_ascii_digit());
        if bare.len() < part.len() && !bare.is_empty() {
            words.push(bare.to_string());
            words.push(part[bare.len()..].to_string());
        }
    }
    words
}

/// Whether a word, or several behind each other, stand in a heading.
fn has(words: &[String], wanted: &str) -> bool {
    let wanted: Vec<&str> = wanted.split(' ').collect();
    words
        .windows(wanted.len())
        .any(|part| part == wanted.as_slice())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_of_a_bench_are_told_by_their_words() {
        let mass = Some(Dimension::Mass);
        let fraction = Some(Dimension::Fraction);
        for (log, heading, measures, wanted) in [
            (LogKind::Runs, "Run no.", None, Some("run")),
            (LogKind::Runs, "Feed", mass, Some("feed_mass")),
            (LogKind::Runs, "Residue in", mass, Some("residue_mass")),
            (LogKind::Runs, "Residue from", None, Some("residue_from")),
            (
                LogKind::Runs,
                "Residue\u{2019}s Ni",
                fraction,
                Some("residue_assay"),
            ),
            (LogKind::Runs, "Residue out", mass, None),
            (LogKind::Residues, "Residue out", mass, Some("mass")),
            (LogKind::Runs, "Crop 2", mass, Some("crop2_mass")),
            (LogKind::Runs, "Heating", None, None),
            (
                LogKind::Titres,
                "EDTA",
                Some(Dimension::Volume),
                Some("titre"),
            ),
            (
                LogKind::Titres,
                "Blank",
                Some(Dimension::Volume),
                Some("blank"),
            ),
            (LogKind::Lots, "Ni", fraction, Some("assay")),
            (LogKind::Lots, "Laboratory", None, Some("source")),
            (LogKind::Lots, "Bag opened", None, Some("opened")),
            (LogKind::Runs, "Liquor from", None, Some("liquor_from")),
            (
                LogKind::Runs,
                "Liquor charged",
                Some(Dimension::Volume),
                Some("liquor_in"),
            ),
            (
                LogKind::Runs,
                "Mother liquor",
                Some(Dimension::Volume),
                Some("liquor_volume"),
            ),
            (LogKind::Residues, "Jar", None, Some("jar")),
            (LogKind::Titres, "Blank", None, Some("blank_of")),
            (LogKind::Titres, "Day", None, Some("date")),
            (LogKind::Crops, "Dish + wet", mass, Some("wet_mass")),
            (LogKind::Crops, "Dish after drying", mass, Some("dry_mass")),
            (LogKind::Crops, "Empty dish", mass, Some("tare")),
            (
                LogKind::Crops,
                "Crucible, empty",
                mass,
                Some("ignited_tare"),
            ),
            (
                LogKind::Crops,
                "Crucible before",
                mass,
                Some("ignited_sample"),
            ),
            (LogKind::Crops, "After ignition", mass, Some("ignited_mass")),
            (LogKind::Crops, "Dry mass", mass, Some("mass")),
        ] {
            let found = column(log, heading, measures);
            assert_eq!(found.as_deref(), wanted, "{heading}");
        }
    }
}
