//! Doubts about titrations and titrants, in words.
//!
//! In: the run or titrant and the figures of the doubt. Out: [`Words`].
//! This module never escapes a name.

use super::Words;
use crate::caveat::{Discordance, PairAgainst, PlusMinus, Sample};

/// Days that a change of strength is stated for.
const DAYS: f64 = 30.0;

pub(super) fn titre_without_crop(run: &str, crop: u32) -> Words {
    Words::new(
        format!("crop {crop} of run {run} was titrated, but no crop of that number was weighed"),
        "add its mass to the crops log, or correct the number of the crop",
    )
}

pub(super) fn disagree(
    titrant: &str,
    standardisations: usize,
    times: f64,
    chance: f64,
    added: f64,
) -> Words {
    Words::new(
        format!(
            "{standardisations} standardisations of {titrant} scatter {times:.1} times as far as their errors explain (chance {:.2} %)",
            100.0 * chance
        ),
        format!(
            "standardise once more; a standard uncertainty of {:.2} % was added to its strength",
            100.0 * added
        ),
    )
}

pub(super) fn ageing(
    titrant: &str,
    per_day: PlusMinus,
    standardisations: usize,
    chance: f64,
) -> Words {
    Words::new(
        format!(
            "the strength of {titrant} {} by {:.2} ± {:.2} % in {DAYS:.0} days over its {standardisations} standardisations (chance {:.2} %)",
            if per_day.value < 0.0 {
                "falls"
            } else {
                "rises"
            },
            100.0 * DAYS * per_day.value.abs(),
            100.0 * DAYS * per_day.half_width,
            100.0 * chance
        ),
        "one mean strength was used for all titres; name the solution anew after each standardisation to use each for its own days",
    )
}

pub(super) fn discordant(run: &str, sample: Sample, found: Discordance) -> String {
    let sample = match sample {
        Sample::Crop(crop) => format!("crop {crop}"),
        Sample::Residue => "the residue".into(),
        Sample::Feed => "the feed".into(),
    };
    match found {
        Discordance::Pair {
            apart,
            allowed,
            against,
        } => format!(
            "2 titres of {sample} of run {run} lie {:.2} points apart, more than the {:.2} points that their {} allows",
            100.0 * apart,
            100.0 * allowed,
            match against {
                PairAgainst::StatedUncertainty => "stated uncertainty",
                PairAgainst::Scatter => "scatter",
            }
        ),
        Discordance::Odd {
            count,
            odd,
            distance,
            allowed,
        } => format!(
            "one of {count} titres of {sample} of run {run}, {:.2} %, lies {distance:.2} standard deviations from their mean, more than the {allowed:.2} that Grubbs' test allows",
            100.0 * odd
        ),
    }
}

/// What to do about discordant titres, of which some must look so by luck among many samples.
pub(super) fn titrate_once_more(samples: usize, by_luck: f64) -> String {
    format!(
        "titrate once more; all titres were kept, and of {samples} samples with replicates about {by_luck:.0} look so by luck"
    )
}

pub(super) fn assay_titres_like_crops(ratio: f64, analyte: &str) -> Words {
    Words::new(
        format!(
            "titres of feed or residue are reckoned with {ratio} mol of {analyte} per mol of titrant, as those of crops"
        ),
        "where another substance is titrated there, set `assay_analyte` and `assay_ratio` under `[titration]`; where it is the same, set them to say so",
    )
}
