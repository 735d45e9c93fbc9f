//! Why nothing can be foreseen, as a fault of the call.
//!
//! In: the reason. Out: an [`Error`] with what to do.
//! This module never decides whether something can be foreseen.

use crate::campaign::Campaign;
use crate::crystallisation::{NoCrop, Unknown};
use crate::error::{Error, ErrorKind};
use crate::foresee::NotForeseen;
use crate::report::print::plain;
use crate::report::reasons::{no_crop, out_of_table};

const POINTS: &str = "add `[solubility]` with `points = { \"0\" = 4.6, \"20\" = 8.1 }`: g of the anhydrous salt in 100 g of water by degC";

/// The fault that keeps something from being foreseen.
pub fn refused(reason: &NotForeseen, campaign: &Campaign) -> Error {
    let (what, hint) = (in_words(reason), advice(reason));
    let file = &campaign.file;
    let kind = ErrorKind::Campaign;
    Error::new(kind, format!("{what}, in `{file}`"))
        .in_file(file)
        .hint(hint)
}

/// The reason as a clause.
pub(super) fn in_words(reason: &NotForeseen) -> String {
    match reason {
        NotForeseen::NoProduct => "`[campaign]` names no `product`".into(),
        NotForeseen::Unknown(unknown) => match unknown {
            Unknown::NoFigures { salt } => format!("nothing is known of the solubility of `{salt}`"),
            Unknown::OtherSalt { stated, product } => {
                format!("`[solubility]` is of `{stated}`, and the product is `{product}`")
            }
            Unknown::SameTemperature { temperature } => {
                format!("`[solubility]` has two points at {temperature} degC")
            }
            Unknown::Impossible { what, value } => {
                format!("`[solubility]` has a {what} of {value}")
            }
        },
        NotForeseen::OutOfTable(reason) | NotForeseen::NoCrop(NoCrop::Solubility(reason)) => {
            out_of_table(reason)
        }
        NotForeseen::NoCrop(NoCrop::NotConcentrated { from, to }) => format!(
            "the liquor of {} mL cannot be boiled down to {} mL",
            plain(*from),
            plain(*to)
        ),
        NotForeseen::NoCrop(reason) => no_crop(reason),
        NotForeseen::MeltsInItsWater { temperature } => format!(
            "at {} degC the product dissolves in its own crystal water",
            plain(*temperature)
        ),
        NotForeseen::NoLiquors => "no run logs its liquor: neither volume and strength, nor volume and temperature of a filtration".into(),
        NotForeseen::AllSmaller { largest, to } => format!(
            "no liquor of the log can be boiled down to {} mL: the largest has {} mL",
            plain(*to),
            plain(*largest)
        ),
    }
}

fn advice(reason: &NotForeseen) -> &'static str {
    match reason {
        NotForeseen::NoProduct => "name `product`, `followed` and `assay_as`",
        NotForeseen::Unknown(Unknown::NoFigures { .. }) => POINTS,
        NotForeseen::Unknown(_) => "put `[solubility]` right",
        NotForeseen::OutOfTable(_) | NotForeseen::NoCrop(NoCrop::Solubility(_)) => {
            "nothing is read outside the table: ask for a temperature inside it, or add own points under `[solubility]`"
        }
        NotForeseen::NoCrop(_) | NotForeseen::AllSmaller { .. } => {
            "give a smaller volume to `--boil-to`"
        }
        NotForeseen::MeltsInItsWater { .. } => "wash colder",
        NotForeseen::NoLiquors => {
            "log `liquor_volume` and `liquor_conc` in the runs log, or give a liquor: `--from \"300 mL\" --saturated-at 20`"
        }
    }
}
