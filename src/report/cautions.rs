//! The usual cautions about what can hurt.
//!
//! In: the reagents that the campaign declares. Out: the usual cautions, in words.
//! This module never gives permission: local codes, safety data sheets and licensed practice come first.
//!
//! Common practice, no source: general knowledge of laboratory reagents, not a hazard classification.

use super::print::{Page, joined, markdown};
use crate::chemistry::Formula;

/// Said in each report, whatever is declared.
const ALWAYS: &str = "Nothing in this report is a permission to do anything dangerous: local codes, the safety data sheets of the reagents and licensed practice come first. Wear eye protection and gloves, work under a hood, keep water at hand, and never work alone.";

struct Caution {
    formulas: &'static [&'static str],
    text: &'static str,
}

const SINGLE: &[Caution] = &[
    Caution {
        formulas: &["H2SO4"],
        text: "burns skin and eyes and chars what is organic; pour acid into water, slowly and stirred, never water into acid",
    },
    Caution {
        formulas: &["HNO3"],
        text: "burns, and gives brown toxic fumes with metals and organic matter; keep it from alcohol and other fuels",
    },
    Caution {
        formulas: &["HCl"],
        text: "corrosive, and its fumes too; with strong oxidants it gives off chlorine",
    },
    Caution {
        formulas: &["H2O2"],
        text: "burns skin, and comes apart with heat and gas when metal or metal oxide gets in: vent the vessel, add in portions, cool, and never close it tight",
    },
    Caution {
        formulas: &["KOH", "NaOH"],
        text: "eats skin and eyes, hot or molten worst of all; add solid to cold water in portions, and keep it from aluminium and zinc",
    },
    Caution {
        formulas: &["KClO3", "NaClO3"],
        text: "a strong oxidant that takes fire or explodes with fuels, sulfur, metal powder or ammonium salts, by a blow or friction too; with acid it gives toxic, explosive chlorine dioxide",
    },
    Caution {
        formulas: &["KNO3", "NaNO3", "KIO3", "NaIO3"],
        text: "an oxidant: keep it from fuels, dust and reducing agents, and do not grind it with them",
    },
    Caution {
        formulas: &["KMnO4", "K2MnO4"],
        text: "a strong oxidant that lights glycerol, alcohol and other fuels and stains skin; never add concentrated sulfuric acid to the solid",
    },
    Caution {
        formulas: &["MnO2"],
        text: "its dust harms lungs and nerves; an oxidant with fuels when hot",
    },
    Caution {
        formulas: &["K2Cr2O7", "Na2Cr2O7", "K2CrO4", "CrO3"],
        text: "toxic, causes cancer, burns and sensitises; no dust, no skin contact, collect all waste",
    },
    Caution {
        formulas: &["CuSO4"],
        text: "harmful when swallowed, hurts eyes, very toxic to water life: keep liquors out of the drain",
    },
    Caution {
        formulas: &["I2"],
        text: "its vapour hurts eyes and lungs and it stains and burns skin; with ammonia it forms an explosive",
    },
    Caution {
        formulas: &["NH3"],
        text: "its vapour chokes and burns; never with hypochlorite or iodine",
    },
    Caution {
        formulas: &["NaClO", "Ca(ClO)2"],
        text: "gives chlorine with acid and toxic chloramines with ammonia",
    },
    Caution {
        formulas: &["C2H6O", "C2H5OH", "CH4O", "CH3OH", "C3H8O", "C3H6O"],
        text: "its vapour takes fire from any flame, hot plate or spark: no flame in the room, and never beside an oxidant",
    },
    Caution {
        formulas: &["Na2S2O3", "Na2SO3", "NaHSO3"],
        text: "gives sulfur dioxide with acid",
    },
    Caution {
        formulas: &["FeSO4"],
        text: "harmful when swallowed, irritates skin and eyes",
    },
    Caution {
        formulas: &["ZnSO4"],
        text: "harmful when swallowed, can seriously damage eyes, very toxic to water life: keep liquors out of the drain",
    },
    Caution {
        formulas: &["MnSO4"],
        text: "can seriously damage eyes; its dust harms the nerves when breathed in again and again; toxic to water life",
    },
    Caution {
        formulas: &["NiSO4", "CoSO4"],
        text: "harmful when swallowed, sensitises skin and lungs, may cause cancer and harm the unborn child, very toxic to water life: no dust, no skin contact",
    },
    Caution {
        formulas: &["Cl2", "Br2", "ClO2"],
        text: "chokes and burns lungs in traces and feeds fire; under a hood that draws, with a scrubber, away from ammonia, hydrogen and fuels; chlorine dioxide explodes besides",
    },
    Caution {
        formulas: &["NO2", "NO", "N2O4"],
        text: "toxic fumes whose harm to the lungs may show only hours later: under a hood that draws, and see a doctor after any breath of it",
    },
    Caution {
        formulas: &["SO2", "SO3"],
        text: "chokes and burns lungs: under a hood that draws, with a scrubber",
    },
    Caution {
        formulas: &["H2S", "HCN", "PH3", "AsH3", "CO"],
        text: "a gas that kills, and that the nose does not warn of in time: only where licensed practice, a hood that draws and a detector are at hand",
    },
    Caution {
        formulas: &["HF"],
        text: "burns deep and kills through the skin, without pain at first: only with training and with the antidote that its safety data sheet names at hand",
    },
    Caution {
        formulas: &["CO2", "N2", "N2O"],
        text: "displaces air in low and closed rooms, and bursts what is closed tight: lead it off and ventilate; from a cylinder only through a regulator",
    },
    Caution {
        formulas: &["O2", "O3"],
        text: "feeds fire: no grease, no fuel and no flame near it, and never in a closed vessel",
    },
    Caution {
        formulas: &["H2"],
        text: "explodes with air at a spark: no flame, lead it off under a hood that draws",
    },
];

struct Together {
    one: &'static [&'static str],
    other: &'static [&'static str],
    text: &'static str,
}

const OXIDANTS: &[&str] = &[
    "H2O2", "HNO3", "KClO3", "NaClO3", "KNO3", "NaNO3", "KIO3", "KMnO4", "K2MnO4", "K2Cr2O7",
    "CrO3", "NaClO", "Cl2", "O2", "O3",
];

const TOGETHER: &[Together] = &[
    Together {
        one: &["KClO3", "NaClO3"],
        other: &["H2SO4", "HNO3", "HCl"],
        text: "chlorate and acid give toxic chlorine and explosive chlorine dioxide: never concentrated, never warm without a plan for the gas",
    },
    Together {
        one: &["KMnO4", "K2Cr2O7", "MnO2", "NaClO", "Ca(ClO)2"],
        other: &["HCl"],
        text: "this oxidant and hydrochloric acid give chlorine: work under a hood that draws",
    },
    Together {
        one: &["KMnO4"],
        other: &["H2SO4"],
        text: "solid permanganate and concentrated sulfuric acid form an oil that explodes",
    },
    Together {
        one: OXIDANTS,
        other: &[
            "C2H6O", "C2H5OH", "CH4O", "CH3OH", "C3H8O", "C3H6O", "C", "S", "C3H8O3", "C2H2O4",
            "H2",
        ],
        text: "oxidant and fuel in one place: fire or explosion; wash out the oxidant before the fuel comes near",
    },
    Together {
        one: &["H2O2"],
        other: &["H2SO4"],
        text: "peroxide in strong sulfuric acid attacks anything organic and can boil over by itself: keep both dilute and cold",
    },
    Together {
        one: &["I2"],
        other: &["NH3"],
        text: "iodine and ammonia form an explosive that goes off at a touch when dry",
    },
];

fn is_one_of(reagent: &str, formulas: &[&str]) -> bool {
    // Without its hydrate water, as it stands in the lists above.
    let mut parts = reagent.split(['·', '*', '•', '∙', '⋅', '.']);
    let Ok(formula) = Formula::parse(parts.next().unwrap_or(reagent).trim()) else {
        return false;
    };
    let mut known = formulas.iter().map(|known| Formula::parse(known));
    known.any(|known| known.is_ok_and(|known| known == formula))
}

/// One line for the top of the report.
pub(super) fn opening(present: &[String]) -> String {
    if present.is_empty() {
        return "**Before you work:** the campaign declares no reagents under `[hazards]`, so no caution can be named here; read the safety data sheet of each, and see [Cautions](#cautions).".into();
    }
    format!(
        "**Before you work** with {}: [cautions](#cautions); local codes, safety data sheets and licensed practice come first.",
        markdown(&joined(present, ", "))
    )
}

/// The section of cautions.
pub(super) fn section(page: &mut Page, present: &[String]) {
    page.heading(2, "Cautions");
    page.paragraph(ALWAYS);
    page.list(of(present));
}

/// The cautions of some reagents, each by itself and two together.
pub(super) fn of(present: &[String]) -> Vec<String> {
    let single = present.iter().map(|name| {
        let known = SINGLE.iter().find(|known| is_one_of(name, known.formulas));
        let text = known.map_or(
            "residuum knows no caution for it; that says nothing about its dangers, so read its safety data sheet",
            |known| known.text,
        );
        format!("{name}: {text}.")
    });
    let together = TOGETHER.iter().flat_map(|pair| {
        let those = |formulas| present.iter().filter(move |name| is_one_of(name, formulas));
        those(pair.one).flat_map(move |one| {
            those(pair.other).map(move |other| format!("{one} with {other}: {}.", pair.text))
        })
    });
    single.chain(together).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(present: &[&str]) -> String {
        let mut page = Page::default();
        section(
            &mut page,
            &present.iter().map(|p| p.to_string()).collect::<Vec<_>>(),
        );
        page.finish()
    }

    #[test]
    fn hydrates_find_their_caution() {
        assert!(text(&["CuSO4·5H2O"]).contains("keep liquors out of the drain"));
    }

    #[test]
    fn chlorate_with_acid_is_named() {
        assert!(text(&["KClO3", "HCl"]).contains("KClO3 with HCl: chlorate and acid"));
        assert!(!text(&["KClO3"]).contains("KClO3 with"));
    }

    #[test]
    fn an_unknown_reagent_is_not_called_harmless() {
        assert!(text(&["moon dust"]).contains("moon dust: residuum knows no caution"));
    }
}
