//! What each run took in and gave out of the impurities that are followed.
//!
//! In: columns of crops and residues, `residue_from`. Out: one [`ImpurityFlow`] for each impurity.
//! This module never takes an empty cell for zero.

use std::collections::BTreeMap;

use super::results::{CropResult, ImpurityFlow};
use crate::campaign::Campaign;
use crate::intake::{Logged, LoggedNumber, ResidueRow, RunRow};

/// Rows of crops and residues by their runs.
pub(super) struct Columns<'l> {
    crops: BTreeMap<(&'l str, u32), &'l [Option<LoggedNumber>]>,
    residues: BTreeMap<&'l str, &'l ResidueRow>,
    count: usize,
}

impl<'l> Columns<'l> {
    pub fn of(campaign: &Campaign, logged: &'l Logged) -> Self {
        let crops = logged.crops.iter();
        let residues = logged.residues.iter();
        Self {
            crops: crops
                .map(|row| ((row.run.as_str(), row.crop), row.impurities.as_slice()))
                .collect(),
            residues: residues.map(|row| (row.run.as_str(), row)).collect(),
            count: campaign.impurities.len(),
        }
    }

    /// The flows of a run with these crops, in the order of the campaign file.
    pub fn flows(&self, row: &RunRow, crops: &[CropResult]) -> Vec<ImpurityFlow> {
        let flow = |position: usize| ImpurityFlow {
            crops: crops
                .iter()
                .map(|crop| {
                    let of = self.crops.get(&(row.run.as_str(), crop.crop))?;
                    Some(of.get(position).copied()??.value * crop.mass.value())
                })
                .sum(),
            residue_in: self.charged(row, position),
            residue_out: self.residues.get(row.run.as_str()).and_then(|residue| {
                Some(residue.impurities.get(position).copied()??.value * residue.mass.value)
            }),
        };
        (0..self.count).map(flow).collect()
    }

    /// What the residue charged brought \[g\], its sources by their shares or else by what they left.
    fn charged(&self, row: &RunRow, position: usize) -> Option<f64> {
        let mass = row.residue_mass.map_or(0.0, |mass| mass.value);
        if mass <= 0.0 {
            return Some(0.0);
        }
        let (mut brought, mut all) = (0.0, 0.0);
        for (place, from) in row.residue_from.iter().enumerate() {
            let residue = self.residues.get(from.as_str())?;
            let share = row.residue_shares.get(place);
            let part = share.copied().unwrap_or(residue.mass.value);
            brought += part * residue.impurities.get(position).copied()??.value;
            all += part;
        }
        (all > 0.0).then(|| mass * brought / all)
    }
}
