//! What is withheld of the logs because it cannot be right.
//!
//! In: logs and slips. Out: the same logs with the parts marked that no result may use; where each part stands.
//! This module never changes a number.

use crate::caveat::{Part, Slip, Weight};
use crate::error::Place;
use crate::intake::{Logged, LoggedNumber, TitreOf};

/// The logs without what cannot be right; `None` where all of it can.
pub fn withheld(logged: &Logged, slips: &[Slip]) -> Option<Logged> {
    let is_impossible = |slip: &&Slip| slip.weight == Weight::Impossible && !slip.accepted;
    let impossible = slips.iter().filter(is_impossible);
    let mut of_runs: Vec<(&str, Part)> = Vec::new();
    let mut places: Vec<&Place> = Vec::new();
    for slip in impossible {
        match slip.run.as_deref() {
            // One titre of several is withheld alone.
            Some(_) if logged.titres.iter().any(|titre| titre.place == slip.place) => {
                places.push(&slip.place);
            }
            Some(run) => of_runs.extend(slip.part.map(|part| (run, part))),
            None => places.push(&slip.place),
        }
    }
    if of_runs.is_empty() && places.is_empty() {
        return None;
    }
    let mut logged = logged.clone();
    logged.titrants.retain(|row| !places.contains(&&row.place));
    logged.titres.retain(|row| !places.contains(&&row.place));
    for lot in &mut logged.lots {
        lot.assay = lot.assay.filter(|_| !places.contains(&&lot.place));
    }
    for (run, part) in of_runs {
        let mut rows = logged.runs.rows.iter_mut();
        if let Some(row) = rows.find(|row| row.run == run) {
            row.withheld.push(part);
            match part {
                Part::Oxidant => row.oxidant_mass = None,
                Part::Labour => row.labour = None,
                _ => {}
            }
        }
    }
    Some(logged)
}

/// An entry with its place.
pub(super) struct Entry {
    pub place: Place,
    pub column: String,
    pub value: String,
}

/// Where a part of a run stands in the logs; `None` for a run that is not there.
pub(super) fn place_of(logged: &Logged, run: &str, part: Part) -> Option<Entry> {
    let row = logged.runs.rows.iter().find(|row| row.run == run)?;
    let at = |place: &Place, column: &str, number: Option<LoggedNumber>| Entry {
        place: place.clone(),
        column: column.to_string(),
        value: number.map_or_else(String::new, |number| number.value.to_string()),
    };
    let residue = logged.residues.iter().find(|residue| residue.run == run);
    Some(match part {
        Part::Feed => at(&row.place, "feed_mass", row.feed_mass),
        Part::FeedAssay => at(&row.place, "feed_assay", row.feed_assay),
        Part::Oxidant => at(&row.place, "oxidant_mass", row.oxidant_mass),
        Part::Charged => at(&row.place, "residue_mass", row.residue_mass),
        Part::LiquorIn => at(&row.place, "liquor_in", row.liquor_in),
        Part::Labour => at(&row.place, "labour", row.labour),
        Part::Liquor => at(&row.place, "liquor_conc", row.liquor_conc),
        Part::Purity => at(&row.place, "purity", row.purity),
        Part::Balance => at(&row.place, "balance", None),
        Part::Residue => at(&residue?.place, "residue_mass", Some(residue?.mass)),
        Part::ResidueAssay => at(&residue?.place, "residue_assay", residue?.assay),
        Part::Crops => {
            let of_run = logged.crops.iter().find(|crop| crop.run == run);
            let place = of_run.map_or(&row.place, |crop| &crop.place);
            at(place, "crop masses", None)
        }
        Part::Crop(number) => {
            let mut crops = logged.crops.iter();
            let own = crops.find(|crop| crop.run == run && crop.crop == number);
            let flat = row.crops.iter().find(|crop| crop.crop == number);
            let mass = own.map(|crop| crop.mass).or_else(|| flat?.mass);
            let place = own.map_or(&row.place, |crop| &crop.place);
            at(place, &format!("crop{number}_mass"), mass)
        }
        Part::PurityOf(number) => {
            let flat = row.crops.iter().find(|crop| crop.crop == number);
            let of = TitreOf::Crop(number);
            let titre = logged.titres.iter().find(|t| t.run == run && t.of == of);
            let mut crops = logged.crops.iter();
            let crop = crops.find(|crop| crop.run == run && crop.crop == number);
            let ignition = crop.and_then(|crop| Some((&crop.place, crop.ignition.as_ref()?)));
            match (titre, flat.and_then(|crop| crop.purity)) {
                (Some(titre), _) => {
                    let column = format!("titre of crop {number}");
                    at(&titre.place, &column, Some(titre.titre))
                }
                (None, _) if ignition.is_some() => {
                    let (place, weighed) = ignition?;
                    at(place, "ignited_mass", Some(weighed.after))
                }
                (None, Some(own)) => at(&row.place, &format!("purity{number}"), Some(own)),
                (None, None) => at(&row.place, "purity", row.purity),
            }
        }
    })
}
