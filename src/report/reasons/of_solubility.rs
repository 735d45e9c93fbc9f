//! Why solubility says nothing of a liquor, in words.
//!
//! In: [`NoLiquor`]. Out: a clause.
//! This module never reads a solubility.

use crate::crystallisation::{NoCrop, OutOfTable};
use crate::decide::NoLiquor;

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
fn no_crop(reason: &NoCrop) -> String {
    match reason {
        NoCrop::Solubility(reason) => out_of_table(reason),
        NoCrop::NotAVolume { volume } => format!("a volume of liquor can't be {volume} mL"),
        NoCrop::NotConcentrated { from, to } => {
            format!("from {from} to {to} mL the liquor is not concentrated")
        }
    }
}

/// Why the solubility at a temperature can't be read.
fn out_of_table(reason: &OutOfTable) -> String {
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
