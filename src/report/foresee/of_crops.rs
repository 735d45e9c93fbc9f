//! A crop that was never taken, in words.
//!
//! In: the crop. Out: sentences and a table.
//! This module never calls a figure a bound that can be passed.

use super::{NONE, Of, Told};
use crate::decide::common_ion;
use crate::foresee::{Crop, CropFrom, Strength};
use crate::report::print::{Cell, Columns, Table, and_list, around, count, plain, when};

/// What a crop is where strengths are those of saturated liquors.
const AT_MOST: &str = ", an upper bound for so much liquor left beside the crystals";

/// A crop read hot is told apart from one read cold from this part on.
const WORTH_TELLING: f64 = 0.005;

pub(super) fn told(crop: &Crop, of: &Of) -> Told {
    let by_run = (crop.runs.len() > 1).then(|| by_run(crop, of.factor));
    Told {
        heading: heading(crop),
        barred: of.barred(&crop.bars),
        lines: crop_in_words(crop, of),
        tables: by_run.into_iter().collect(),
        rests_on: rests_on(crop),
        doubts: doubts(crop, of),
        tests: tests(crop),
    }
}

fn heading(crop: &Crop) -> String {
    let from = match crop.asked.from {
        Some((volume, Strength::SaturatedAt(at))) => {
            let (volume, at) = (plain(volume), plain(at));
            format!("{volume} mL of liquor saturated at {at} degC")
        }
        Some((volume, Strength::Grams(grams))) => {
            format!("{} mL of liquor of {} g/L", plain(volume), plain(grams))
        }
        None => format!("the liquors of {}", count(crop.runs.len(), "run")),
    };
    let boiled = around(" boiled down to ", &boiled_to(crop), " mL and");
    let chilled = plain(crop.asked.chill_to);
    format!("A crop never taken: {from},{boiled} chilled to {chilled} degC")
}

/// The volume that is boiled down to; empty where nothing is boiled off.
fn boiled_to(crop: &Crop) -> String {
    crop.asked.boil_to.map_or_else(String::new, plain)
}

fn crop_in_words(crop: &Crop, of: &Of) -> Vec<String> {
    let product = of.product();
    let mut lines = Vec::new();
    let in_the_middle = when(crop.runs.len() > 1, ", in the middle of them");
    if crop.mass.value > 0.0 {
        let (mass, bound) = (of.figure(crop.mass), when(crop.upper_bound, AT_MOST));
        lines.push(format!("{mass} g of {product}{bound}{in_the_middle}."));
    } else {
        let begins = plain(crop.begins_at);
        lines.push(format!(
            "Nothing comes{in_the_middle}: crystals begin at {begins} mL and less."
        ));
    }
    let (holds, keeps) = (plain(crop.holds), of.figure(crop.keeps));
    lines.push(format!(
        "The liquor holds {holds} g before and keeps {keeps} g."
    ));
    let (to, hot) = (boiled_to(crop), crop.read_hot);
    if !to.is_empty() && hot > crop.mass.value * (1.0 + WORTH_TELLING) {
        lines.push(format!(
            "{to} mL is what is left beside the crystals, cold; where it is read hot, before anything crystallises, less is left, and {} g come.",
            plain(hot)
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
        Cell::with_error(of.mass.value, factor * of.mass.u.unwrap_or_default())
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

fn doubts(crop: &Crop, of: &Of) -> Vec<String> {
    let ion = common_ion(of.campaign).unwrap_or_default();
    let ion = around(" (", &ion, " is at hand and has one)");
    let solubility = match crop.upper_bound {
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

fn tests(crop: &Crop) -> Vec<String> {
    if !crop.bars.is_empty() {
        return vec![NONE.into()];
    }
    let runs = crop.runs.iter();
    let largest = runs.max_by(|a, b| a.holds.total_cmp(&b.holds));
    let largest = largest.map_or("", |of| of.run.as_str());
    let which = format!(
        "a liquor like {}",
        match largest {
            "" => "this".to_string(),
            run => format!("that of run {run}"),
        }
    );
    let at = plain(crop.asked.chill_to);
    let deed = match boiled_to(crop).as_str() {
        "" => format!("chill {which} to {at} degC"),
        to => format!("boil down {which} to {to} mL, chill it to {at} degC"),
    };
    let density =
        "weigh 100 mL of the saturated liquor and set `[solubility] density`: that narrows the ±";
    let density = crop.density_estimated.then(|| density.to_string());
    let test = format!(
        "{deed}, stir for some hours, filter, and log mass and purity of the crop with volume, strength and temperature of the liquor left"
    );
    [test].into_iter().chain(density).collect()
}
