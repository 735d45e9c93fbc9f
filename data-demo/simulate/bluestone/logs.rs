//! How do the runs look in the logs? One table each for runs, lots, crops, titres and residues.
//!
//! In: runs and lots. Out: the text of each log.
//! This module never changes a value, it only writes it with the decimals that a bench would.

use super::batch::{Batch, RESIDUE_ASSAY_UNCERTAINTY};
use super::lots::Lot;
use super::table::Table;

/// The runs log; the mass of the scale stands under a heading of its own, in kilograms.
pub fn runs(batches: &[Batch]) -> String {
    let mut table = Table::new(
        ',',
        &[
            "run",
            "date",
            "lot",
            "Scale charged (kg)",
            "oxidant_mass",
            "residue_mass",
            "residue_from",
            "labour",
            "liquor_volume",
            "liquor_conc",
            "set_aside",
            "heating",
            "route",
            "filter_minutes",
            "acid_mass",
            "alcohol_mass",
        ],
    );
    for batch in batches {
        table.row(&[
            batch.name.clone(),
            batch.date.clone(),
            batch.settings.lot.to_string(),
            format!("{:.4}", batch.feed_mass / 1000.0),
            format!("{}", batch.oxidant_mass),
            format!("{}", batch.charge.mass),
            batch.charge.from.join(";"),
            format!("{}", batch.labour),
            format!("{}", batch.liquor_volume),
            format!("{:.1}", batch.liquor_concentration),
            batch.set_aside.to_string(),
            batch.settings.heating.to_string(),
            batch.settings.route.to_string(),
            format!("{:.1}", batch.filter_minutes),
            format!("{}", batch.acid_mass),
            format!("{}", batch.alcohol_mass),
        ]);
    }
    table.into_text()
}

/// The lots log.
pub fn lots(lots: &[Lot]) -> String {
    let mut table = Table::new(',', &["lot", "assay", "u_assay", "price", "carbon"]);
    for lot in lots {
        table.row(&[
            lot.name.to_string(),
            format!("{:.3}", lot.assay),
            lot.assay_uncertainty
                .map_or_else(String::new, |uncertainty| format!("{uncertainty:.3}")),
            format!("{:.2}", lot.price),
            format!("{:.4}", lot.carbon),
        ]);
    }
    table.into_text()
}

/// The crops log.
pub fn crops(batches: &[Batch]) -> String {
    let mut table = Table::new(
        ',',
        &[
            "run",
            "crop",
            "mass",
            "moisture",
            "liquor_volume",
            "temperature",
        ],
    );
    for batch in batches {
        for crop in &batch.crops {
            table.row(&[
                batch.name.clone(),
                format!("{}", crop.number),
                format!("{:.1}", crop.mass),
                format!("{:.4}", crop.moisture),
                format!("{}", crop.liquor_volume),
                format!("{:.1}", crop.temperature),
            ]);
        }
    }
    table.into_text()
}

/// The titres log.
pub fn titres(batches: &[Batch]) -> String {
    let mut table = Table::new(
        ',',
        &["run", "crop", "sample_mass", "titrant", "titre", "blank"],
    );
    for batch in batches {
        for crop in &batch.crops {
            for titre in &crop.titres {
                table.row(&[
                    batch.name.clone(),
                    format!("{}", crop.number),
                    format!("{:.4}", titre.sample_mass),
                    titre.titrant.to_string(),
                    format!("{:.2}", titre.titre),
                    format!("{:.2}", titre.blank),
                ]);
            }
        }
    }
    table.into_text()
}

/// The residues log.
pub fn residues(batches: &[Batch]) -> String {
    let mut table = Table::new(',', &["run", "mass", "assay", "u_assay"]);
    for batch in batches {
        table.row(&[
            batch.name.clone(),
            format!("{:.1}", batch.residue.mass),
            format!("{:.4}", batch.residue.assay),
            format!("{RESIDUE_ASSAY_UNCERTAINTY:.3}"),
        ]);
    }
    table.into_text()
}
