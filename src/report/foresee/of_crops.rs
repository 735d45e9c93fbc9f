//! A crop that was never taken, in words.
//!
//! In: the crop. Out: sentences and a table.
//! This module never calls a figure a bound that can be passed.

use super::Told;
use super::of_routes::barred;
use crate::foresee::{Crop, CropFrom, Start, Strength};
use crate::pipeline::Analysis;
use crate::report::print::{Cell, Columns, Table, and_list, count, plain, plus_minus, when};

/// A crop read hot is told apart from one read cold from this part on.
const WORTH_TELLING: f64 = 0.005;

pub(super) fn told(crop: &Crop, analysis: &Analysis) -> Told {
    let factor = analysis.coverage_factor();
    let product = product(analysis);
    let mut lines: Vec<String> = crop.bars.iter().map(|bar| barred(bar, analysis)).collect();
    lines.extend(crop_in_words(crop, &product, factor));
    Told {
        heading: heading(crop),
        lines,
        tables: (crop.runs.len() > 1)
            .then(|| by_run(crop, factor))
            .into_iter()
            .collect(),
        rests_on: rests_on(crop),
        doubts: doubts(crop, analysis),
        tests: tests(crop, analysis),
    }
}

/// Formula of the product.
pub(super) fn product(analysis: &Analysis) -> String {
    let chemistry = analysis.campaign.chemistry.as_ref();
    chemistry.map_or_else(String::new, |of| of.product.text().to_string())
}

fn heading(crop: &Crop) -> String {
    let from = match crop.asked.from {
        Start::Given { volume, strength } => {
            let volume = plain(volume);
            match strength {
                Strength::SaturatedAt(at) => {
                    format!("{volume} mL of liquor saturated at {} degC", plain(at))
                }
                Strength::Grams(grams) => format!("{volume} mL of liquor of {} g/L", plain(grams)),
            }
        }
        Start::Logged => format!("the liquors of {}", count(crop.runs.len(), "run")),
    };
    let to = crop.asked.boil_to;
    let boiled = to.map_or_else(String::new, |to| {
        format!(" boiled down to {} mL and", plain(to))
    });
    let chilled = plain(crop.asked.chill_to);
    format!("A crop never taken: {from},{boiled} chilled to {chilled} degC")
}

fn crop_in_words(crop: &Crop, product: &str, factor: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let in_the_middle = when(crop.runs.len() > 1, ", in the middle of them");
    if crop.mass > 0.0 {
        let mass = plus_minus(crop.mass, factor * crop.uncertainty);
        let bound = when(crop.is_upper_bound(), ", an upper bound");
        lines.push(format!("{mass} g of {product}{bound}{in_the_middle}."));
    } else {
        let begins = plain(crop.begins_at);
        lines.push(format!(
            "Nothing comes{in_the_middle}: crystals begin at {begins} mL and less."
        ));
    }
    let keeps = plus_minus(crop.keeps, factor * crop.keeps_uncertainty);
    lines.push(format!(
        "The liquor holds {} g before and keeps {keeps} g.",
        plain(crop.holds)
    ));
    if let Some(to) = crop.asked.boil_to
        && crop.read_hot > crop.mass * (1.0 + WORTH_TELLING)
    {
        lines.push(format!(
            "{} mL is what is left beside the crystals, cold; where it is read hot, before anything crystallises, less is left, and {} g come.",
            plain(to),
            plain(crop.read_hot)
        ));
    }
    if !crop.other_solvents.is_empty() {
        lines.push(format!(
            "{} left out, because the liquor holds far less than plain water would keep, as one with alcohol does: {}.",
            count(crop.other_solvents.len(), "run"),
            and_list(&crop.other_solvents)
        ));
    }
    if !crop.smaller.is_empty() {
        lines.push(format!(
            "{} left out, because the liquor is smaller than that: {}.",
            count(crop.smaller.len(), "run"),
            and_list(&crop.smaller)
        ));
    }
    lines
}

fn by_run(crop: &Crop, factor: f64) -> Table {
    let mut rows = Columns::of(&crop.runs);
    rows.words("run", |of| &of.run);
    rows.figures("liquor / mL", |of| Cell::plain(of.volume));
    rows.figures("holds / g", |of| Cell::plain(of.holds));
    rows.figures("crop / g", |of| {
        Cell::with_error(of.mass, factor * of.uncertainty)
    });
    rows.answer("What crop would each liquor give?")
}

fn rests_on(crop: &Crop) -> Vec<String> {
    let measured = match crop.from {
        CropFrom::Stated => "stated in the call: volume and strength of the liquor",
        CropFrom::StatedSaturated => {
            "stated in the call: the volume of the liquor; its strength is that of a saturated one, from tables"
        }
        CropFrom::Measured => "measured here: volume and strength of each liquor",
        CropFrom::Saturated => {
            "measured here: volume and temperature of each last filtration; strengths are those of saturated liquors, from tables, because none is logged"
        }
    };
    let density = when(
        crop.density_estimated,
        ", with an estimated density of the liquor",
    );
    let from = &crop.source;
    vec![
        measured.to_string(),
        format!("from tables: what the chilled liquor keeps{density}; {from}"),
    ]
}

fn doubts(crop: &Crop, analysis: &Analysis) -> Vec<String> {
    let ion = common_ion(analysis);
    let ion = ion.map_or_else(String::new, |ion| {
        format!(" ({ion} is at hand and has one)")
    });
    let solubility = match crop.is_upper_bound() {
        true => format!(
            "the table is of the pure salt in water; free acid or a common ion{ion} leaves less in the liquor before and after, and less comes; salts that it dissolves better beside would turn the bound over"
        ),
        false => format!(
            "the table is of the pure salt in water; free acid or a common ion{ion} keeps less of it in the liquor, and more comes, other salts may keep more; never more than the {} g that the liquor holds",
            plain(crop.holds)
        ),
    };
    vec![
        solubility,
        "a liquor may stay supersaturated for hours, and some crystals are lost on the filter and in the wash: less is weighed".into(),
        "other salts become as concentrated and may come with the crop, and what heat spoils is not counted: purity is not foreseen".into(),
    ]
}

/// Something at hand that has an ion in common with the product.
pub(super) fn common_ion(analysis: &Analysis) -> Option<&str> {
    let liquors = analysis.findings.liquors.as_ref()?;
    liquors.common_ion.as_deref()
}

fn tests(crop: &Crop, analysis: &Analysis) -> Vec<String> {
    let largest = crop.runs.iter();
    let largest = largest.max_by(|a, b| a.holds.total_cmp(&b.holds));
    let of_run = largest.filter(|of| !of.run.is_empty());
    let which = of_run.map_or_else(
        || "one such liquor".to_string(),
        |of| format!("a liquor like that of run {}", of.run),
    );
    let boiled = when(crop.asked.boil_to.is_some(), "boil down ");
    let to = crop.asked.boil_to;
    let to = to.map_or_else(String::new, |to| format!(" to {} mL", plain(to)));
    let at = plain(crop.asked.chill_to);
    let chill = if boiled.is_empty() {
        "chill "
    } else {
        ", chill it"
    };
    let deed = match boiled {
        "" => format!("{chill}{which} to {at} degC"),
        _ => format!("{boiled}{which}{to}{chill} to {at} degC"),
    };
    let mut tests = vec![format!(
        "{deed}, stir for some hours, filter, and log mass and purity of the crop with volume, strength and temperature of the liquor left"
    )];
    if crop.density_estimated && analysis.campaign.chemistry.is_some() {
        tests.push(
            "weigh 100 mL of the saturated liquor and set `[solubility] density`: that narrows the ±"
                .into(),
        );
    }
    tests
}
