//! How far entries lie from others of their kind.
//!
//! In: figures side by side. Out: those that are off, with the slip that would explain it.
//! This module never corrects a figure.
//!
//! Compared is on a logarithmic scale (temperatures as they are), by middle and scaled middle distance. What grows with the batch must be off by itself and
//! for the size of its run, so that a small batch is no slip.

use std::collections::BTreeMap;

use super::figures::Figure;
use super::rules::{CANNOT_BE, FEWEST, IN_LINE, Kind, SPREADS, explained};
use super::usual::Usual;
use crate::caveat::{Against, Likely, Weight};

/// An entry that is off.
#[derive(Debug, Clone)]
pub(super) struct Off {
    /// Its position among the figures.
    pub figure: usize,
    pub weight: Weight,
    pub against: Against,
    pub likely: Option<Likely>,
}

/// How something lies among others, on a scale.
#[derive(Debug, Clone)]
pub(super) struct Standing {
    /// How far it is off their middle.
    pub distance: f64,
    /// From which distance on it is off.
    pub limit: f64,
    /// Their middle.
    pub middle: f64,
    /// Where most of the others lie.
    pub most: [f64; 2],
    /// The group that it was compared with; `None` for all.
    pub group: Option<String>,
}

impl Standing {
    pub fn is_off(&self) -> bool {
        self.distance.abs() > self.limit
    }
}

/// How each value stands among those of its group, where these are enough, else among all; `None` with too few.
/// All values are on one scale; closer than `least` to the middle none is off, however little the others scatter.
pub(super) fn standings(
    values: &[(Option<f64>, Option<&str>)],
    least: f64,
    fewest: usize,
) -> Vec<Option<Standing>> {
    let usual = |group: Option<&str>| {
        let members = values.iter().filter(|of| group.is_none() || of.1 == group);
        let members: Vec<f64> = members.filter_map(|(value, _)| *value).collect();
        Usual::of(members, fewest + 1)
    };
    let all = usual(None);
    let mut groups: BTreeMap<&str, Option<Usual>> = BTreeMap::new();
    for group in values.iter().filter_map(|(_, group)| *group) {
        groups.entry(group).or_insert_with(|| usual(Some(group)));
    }
    let stand = |(value, group): &(Option<f64>, Option<&str>)| {
        let own = group.and_then(|group| groups[group]);
        let usual = own.or(all)?;
        let limit = (SPREADS[0] + SPREADS[1] / usual.count as f64) * usual.spread;
        Some(Standing {
            distance: (*value)? - usual.middle,
            limit: limit.max(least),
            middle: usual.middle,
            most: usual.most,
            group: group.filter(|_| own.is_some()).map(str::to_string),
        })
    };
    values.iter().map(stand).collect()
}

/// The figures that are off.
pub(super) fn off(figures: &[Figure]) -> Vec<Off> {
    let mut kinds: BTreeMap<(Kind, &str), Vec<usize>> = BTreeMap::new();
    for (position, figure) in figures.iter().enumerate() {
        let key = (figure.kind, figure.of.as_str());
        kinds.entry(key).or_default().push(position);
    }
    let mut found = Vec::new();
    for ((kind, _), members) in &kinds {
        let members: Vec<&Figure> = members.iter().map(|member| &figures[*member]).collect();
        let values = |by_batch: bool| -> Vec<(Option<f64>, Option<&str>)> {
            let value = |figure: &Figure| match by_batch {
                true => kind.on_scale(figure.value / figure.batch?),
                false => kind.on_scale(figure.value),
            };
            let members = members.iter();
            members.map(|of| (value(of), of.route)).collect()
        };
        let plain = standings(&values(false), kind.least(), kind.fewest());
        let by_batch = standings(&values(true), kind.least(), kind.fewest());
        for (at, standing) in plain.iter().enumerate() {
            let Some(standing) = standing.as_ref().filter(|standing| standing.is_off()) else {
                continue;
            };
            let in_proportion = by_batch[at].as_ref().is_some_and(|by_batch| {
                !by_batch.is_off() || by_batch.distance * standing.distance < 0.0
            });
            if !in_proportion && !members[at].is_setting {
                found.push(judged(members[at], standing, figures));
            }
        }
    }
    found.sort_by_key(|off| off.figure);
    found
}

/// Masses of two crops of one run that would both be in line if they were exchanged, and are not as they stand: positions of both.
pub(super) fn swapped(figures: &[Figure]) -> Vec<[usize; 2]> {
    type Like<'a> = (&'a str, Option<&'a str>);
    let mut of_like: BTreeMap<Like, Vec<f64>> = BTreeMap::new();
    let mut of_runs: BTreeMap<&str, Vec<(usize, &Figure)>> = BTreeMap::new();
    for (position, figure) in figures.iter().enumerate() {
        if let (Kind::Crop, Some(run)) = (figure.kind, figure.run) {
            let like = (figure.of.as_str(), figure.route);
            of_like.entry(like).or_default().push(figure.value.ln());
            of_runs.entry(run).or_default().push((position, figure));
        }
    }
    let middle = |(like, values)| Some((like, Usual::of(values, FEWEST + 1)?.middle));
    let middles: BTreeMap<Like, f64> = of_like.into_iter().filter_map(middle).collect();
    let usual = |figure: &Figure| middles.get(&(figure.of.as_str(), figure.route)).copied();
    let mut found = Vec::new();
    for crops in of_runs.values() {
        for (at, (first, one)) in crops.iter().enumerate() {
            for (second, other) in &crops[at + 1..] {
                let (Some(of_one), Some(of_other)) = (usual(one), usual(other)) else {
                    continue;
                };
                let (one, other) = (one.value.ln(), other.value.ln());
                let as_they_stand = (one - of_one).abs().min((other - of_other).abs());
                let exchanged = (other - of_one).abs().max((one - of_other).abs());
                if exchanged < IN_LINE.ln() && as_they_stand > IN_LINE.ln() {
                    found.push([*first, *second]);
                }
            }
        }
    }
    found
}

fn judged(figure: &Figure, standing: &Standing, figures: &[Figure]) -> Off {
    let kind = figure.kind;
    let unit = kind.unit();
    let likely = explained(kind, figure.value, kind.off_scale(standing.middle))
        .map(|(how, meant)| Likely::number(how, meant, unit));
    let far = kind != Kind::Warmth && standing.distance.abs() >= CANNOT_BE.ln();
    // One standardisation among several counts in every run.
    let cannot_be = kind == Kind::Strength || far && figure.part.is_some();
    // Residue is charged in amounts that climb from next to nothing.
    let carried_on = [Kind::ResidueCharged, Kind::LiquorCharged];
    let may_be_small = carried_on.contains(&kind) && standing.distance < 0.0;
    let weight = match &likely {
        _ if may_be_small || kind == Kind::Reagent || kind == Kind::Own => Weight::Odd,
        Some(_) if cannot_be => Weight::Impossible,
        Some(_) => Weight::Unlikely,
        None if standing.distance.abs() > 2.0 * standing.limit => Weight::Unlikely,
        None => Weight::Odd,
    };
    let weight = match (kind, figure.is_factor, &likely) {
        (Kind::Own | Kind::Share | Kind::Warmth, true, Some(_)) => Weight::Unlikely,
        _ => weight,
    };
    let same = |other: &Figure| std::ptr::eq(other, figure);
    Off {
        figure: figures.iter().position(same).unwrap_or_default(),
        weight,
        against: Against::Others {
            low: kind.off_scale(standing.most[0]),
            high: kind.off_scale(standing.most[1]),
            unit,
            like: standing.group.clone(),
        },
        likely,
    }
}
