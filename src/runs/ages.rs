//! Ages on the day of a run: of the bag, of the residue charged, of the strength of the titrant.
//!
//! In: the logs and a row of the runs log. Out: days.
//! This module never gives an age below zero, nor one to what has no date.

use std::collections::BTreeMap;

use super::by_date::Days;
use super::titration::usual_titrant;
use crate::campaign::Campaign;
use crate::intake::{Logged, RunRow, TitreOf, TitreRow};

/// What ages are counted from.
pub(super) struct Ages<'l> {
    campaign: &'l Campaign,
    days: Days<'l>,
    /// Day on which each lot was opened.
    opened: BTreeMap<&'l str, i32>,
    /// Day on which each residue was left, and its mass \[g\].
    left: BTreeMap<&'l str, (Option<i32>, f64)>,
    /// Days of the standardisations of each titrant.
    standardised: BTreeMap<&'l str, Vec<i32>>,
    /// Titres of crops of each run.
    titres: BTreeMap<&'l str, Vec<&'l TitreRow>>,
}

impl<'l> Ages<'l> {
    pub fn of(campaign: &'l Campaign, logged: &'l Logged) -> Self {
        let runs = logged.runs.by_name();
        let opened = logged.lots.iter();
        let opened = opened.filter_map(|lot| Some((lot.lot.as_str(), lot.opened.as_ref()?.day)));
        let left = logged.residues.iter().map(|row| {
            let of_run = runs.get(row.run.as_str());
            let of_run = of_run.and_then(|run| run.date.as_ref());
            let date = row.date.as_ref().or(of_run);
            (
                row.run.as_str(),
                (date.map(|date| date.day), row.mass.value),
            )
        });
        let mut standardised: BTreeMap<&str, Vec<i32>> = BTreeMap::new();
        for row in &logged.titrants {
            let days = standardised.entry(&row.titrant).or_default();
            days.extend(row.date.as_ref().map(|date| date.day));
        }
        let mut titres: BTreeMap<&str, Vec<&TitreRow>> = BTreeMap::new();
        let of_crops = logged.titres.iter();
        for row in of_crops.filter(|row| matches!(row.of, TitreOf::Crop(_))) {
            titres.entry(&row.run).or_default().push(row);
        }
        Ages {
            campaign,
            days: Days::of(logged),
            opened: opened.collect(),
            left: left.collect(),
            standardised,
            titres,
        }
    }

    /// The factor of that name \[d\].
    pub fn days(&self, factor: &str, row: &RunRow) -> Option<f64> {
        match factor {
            "lot_age" => self.lot(row),
            "residue_age" => self.residue(row),
            "titrant_age" => self.titrant(row),
            _ => None,
        }
    }

    /// Days from the opening of the bag to the run; of several lots the mean by their shares.
    fn lot(&self, row: &RunRow) -> Option<f64> {
        let day = row.date.as_ref()?.day;
        weighed(row.lots.iter().map(|part| {
            let age = age(day, *self.opened.get(part.lot.as_str())?);
            Some((part.share, age?))
        }))
    }

    /// Days from the day on which the residue charged was left; of several the mean by their shares in the charge, else by
    /// what each left. A run without residue has none.
    fn residue(&self, row: &RunRow) -> Option<f64> {
        let day = row.date.as_ref()?.day;
        row.residue_mass.filter(|mass| mass.value > 0.0)?;
        weighed(row.residue_from.iter().enumerate().map(|(position, from)| {
            let (left, mass) = self.left.get(from.as_str())?;
            let share = row.residue_shares.get(position).copied();
            Some((share.unwrap_or(*mass), age(day, (*left)?)?))
        }))
    }

    /// Days from the newest standardisation before a titration to it; of several titrations of its crops the mean.
    fn titrant(&self, row: &RunRow) -> Option<f64> {
        let titration = self.campaign.titration.as_ref()?;
        let titres = self.titres.get(row.run.as_str())?.iter();
        weighed(titres.map(|titre| {
            let day = self.days.day(titre)?;
            let known = self.standardised.get(usual_titrant(titration, titre)?)?;
            let newest = known.iter().filter(|known| **known <= day).max();
            Some((1.0, age(day, *newest?)?))
        }))
    }
}

/// Days from one day to another; none to one before it.
fn age(day: i32, since: i32) -> Option<f64> {
    (day >= since).then(|| f64::from(day - since))
}

/// Mean of ages by their weights; none where one is unknown, or where there is none.
fn weighed(parts: impl Iterator<Item = Option<(f64, f64)>>) -> Option<f64> {
    let parts: Option<Vec<(f64, f64)>> = parts.collect();
    let parts = parts?;
    let total: f64 = parts.iter().map(|(weight, _)| weight).sum();
    let sum: f64 = parts.iter().map(|(weight, age)| weight * age).sum();
    (total > 0.0).then(|| sum / total)
}
