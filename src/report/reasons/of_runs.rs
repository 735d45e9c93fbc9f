//! Reasons about runs in words: why one has no result, why a row of them has no control chart, why solubility says nothing.
//!
//! In: [`Reason`], [`NoLimits`], [`NoLiquor`]. Out: clauses.
//! This module never escapes a name, never decides how many values a chart takes, and never reads a solubility.

use crate::caveat::Part;
use crate::crystallisation::{NoCrop, OutOfTable};
use crate::decide::NoLiquor;
use crate::drift::NoLimits;
use crate::report::print::and_list;
use crate::runs::Reason;

/// Why a run has no result.
pub(in crate::report) fn no_result(reason: &Reason) -> String {
    match reason {
        Reason::NoProduct => "the campaign names no product".into(),
        Reason::NoFeedMass => "no feed mass is logged".into(),
        Reason::NoLot => "neither a lot nor a feed assay is logged".into(),
        Reason::NoAssayOfLot { lot } => format!("the assay of lot {lot} is not logged"),
        Reason::NoCrop => "no crop is logged".into(),
        Reason::NoTitre { crop } => format!("crop {crop} has no titre"),
        Reason::NoPurity { crop } => format!("crop {crop} has no purity"),
        Reason::NotByDifference { crop, missing } => match missing.as_slice() {
            [] => format!("moisture and impurities of crop {crop} leave no product"),
            _ => format!(
                "crop {crop} has no purity by difference: not logged of it {} {}",
                if missing.len() > 1 { "are" } else { "is" },
                and_list(missing)
            ),
        },
        Reason::Withheld { part: of } => {
            format!("{} cannot be right and is withheld", part(*of))
        }
        Reason::NothingToCompareWith => {
            "there is nothing to compare with: the divisor is zero".into()
        }
        Reason::LiquorNotMeasured => "the mother liquor was not measured".into(),
        Reason::ResidueNotMeasured => "the residue was not measured".into(),
        Reason::ResidueNotAssayed => "the residue has no assay".into(),
        Reason::ResidueByDifference => {
            "the residue was not assayed; its content was taken by difference".into()
        }
        Reason::NothingBesideTheCrops => {
            "neither the mother liquor nor the residue was measured".into()
        }
        Reason::SecondAboveTheory => "more was logged than theory allows".into(),
        Reason::ResidueFromNowhere => {
            "the residue charged has neither an assay nor a run it came from".into()
        }
        Reason::NoResidueOf { run } => format!("no residue of run {run} is logged"),
        Reason::NoAssayOfResidueOf { run } => format!("the residue of run {run} has no assay"),
        Reason::NoMoistureOfResidueOf { run } => {
            format!("the moisture of the residue of run {run} is not logged")
        }
        Reason::LiquorFromNowhere => {
            "the mother liquor charged has neither a strength nor a run it came from".into()
        }
        Reason::NoLiquorOf { run } => {
            format!("volume and strength of the mother liquor of run {run} are not logged")
        }
        Reason::NoResidueLeft => "the runs that the residue came from left none".into(),
    }
}

/// What is withheld, as a clause says it.
fn part(part: Part) -> String {
    match part {
        Part::Feed => "the feed mass".into(),
        Part::FeedAssay => "the feed assay".into(),
        Part::Oxidant => "the oxidant mass".into(),
        Part::Charged => "the residue charged".into(),
        Part::LiquorIn => "the mother liquor charged".into(),
        Part::Labour => "the labour".into(),
        Part::Liquor => "the mother liquor".into(),
        Part::Crop(crop) => format!("the mass of crop {crop}"),
        Part::Crops => "a crop mass".into(),
        Part::Purity => "the purity".into(),
        Part::PurityOf(crop) => format!("the purity of crop {crop}"),
        Part::Residue => "the residue mass".into(),
        Part::ResidueAssay => "the residue assay".into(),
        Part::Balance => "an entry of the balance".into(),
    }
}

/// Why there are no control charts.
pub(in crate::report) fn no_limits(reason: NoLimits) -> String {
    match reason {
        NoLimits::TooFewValues { there, needed } => format!(
            "it takes {needed} values to estimate where it stands, and there {}",
            if there == 1 {
                "is 1".into()
            } else {
                format!("are {there}")
            }
        ),
        NoLimits::NoScatter { first } => {
            format!("the first {first} values do not scatter, so no limits can be drawn from them")
        }
    }
}

/// Why the solubility says nothing of a liquor.
pub(in crate::report) fn no_liquor(reason: &NoLiquor) -> String {
    match reason {
        NoLiquor::OutOfTable(reason) => out_of_table(reason),
        NoLiquor::NoCrop(reason) => no_crop(reason),
        NoLiquor::LowersSolubility { most, plain } => format!(
            "its liquor holds {most:.0} g at most by its balance, where plain water would keep {plain:.0} g, so something in it lowers the solubility"
        ),
    }
}

/// Why the next crop can't be told.
pub(in crate::report) fn no_crop(reason: &NoCrop) -> String {
    match reason {
        NoCrop::Solubility(reason) => out_of_table(reason),
        NoCrop::NotAVolume { volume } => format!("a volume of liquor can't be {volume} mL"),
        NoCrop::NotConcentrated { from, to } => {
            format!("from {from} to {to} mL the liquor is not concentrated")
        }
    }
}

/// Why the solubility at a temperature can't be read.
pub(in crate::report) fn out_of_table(reason: &OutOfTable) -> String {
    match reason {
        OutOfTable::Outside {
            temperature,
            low,
            high,
        } => {
            format!("the solubility is known from {low} to {high} degC, not at {temperature} degC")
        }
        OutOfTable::OnlyAt { temperature, at } => {
            format!("the solubility is known at {at} degC only, not at {temperature} degC")
        }
        OutOfTable::SolidChanges {
            temperature,
            near,
            low,
            high,
        } => format!(
            "the solid changes near {near} degC, so the solubility at {temperature} degC can't be read between {low} and {high} degC"
        ),
        OutOfTable::NotANumber => "the temperature is not a finite number".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_value_is_one_and_three_are_three() {
        for (there, expected) in [(1, "there is 1"), (3, "there are 3")] {
            let reason = NoLimits::TooFewValues { there, needed: 4 };
            let said = no_limits(reason);
            assert!(said.ends_with(expected), "{said}");
        }
    }

    #[test]
    fn a_change_of_the_solid_is_said_with_its_temperatures() {
        let reason = NoLiquor::OutOfTable(OutOfTable::SolidChanges {
            temperature: 35.0,
            near: 32.0,
            low: 30.0,
            high: 40.0,
        });
        assert_eq!(
            no_liquor(&reason),
            "the solid changes near 32 degC, so the solubility at 35 degC can't be read between 30 and 40 degC"
        );
    }
}
