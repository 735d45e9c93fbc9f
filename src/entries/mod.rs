//! Where entries are judged: what cannot be right, what hardly is, and what looks odd.
//!
//! In: a campaign, its logs and its runs on one footing. Out: [`Slip`]s with what was likely meant, doubts about balances and about
//! results that are off in all runs, and logs with what cannot be right withheld.
//! This module never corrects an entry and never drops one by chance alone.

mod all_alike;
mod balance;
mod causes;
mod dates;
mod figures;
mod gaps;
mod ledger;
mod neighbours;
mod ranges;
mod results;
mod rules;
mod shared;
mod titrations;
mod usual;
mod withhold;

pub use gaps::leave_out_gaps;
pub use withhold::withheld;

use std::collections::{BTreeMap, BTreeSet};

use crate::campaign::Campaign;
use crate::caveat::{About, Against, Caveat, Doubt, Likely, Part, Slip, SlipOf, Weight};
use crate::intake::Logged;
use crate::name::Name;
use crate::runs::Runs;
use crate::units::Dimension;
use figures::Figure;
use results::Beyond;
use rules::Kind;
use withhold::place_of;

/// Judges every entry: slips in the order of the logs.
pub fn slips(campaign: &Campaign, logged: &Logged, runs: &Runs) -> Vec<Slip> {
    let figures = figures::figures(campaign, logged, &runs.titrants);
    let off = neighbours::off(&figures).into_iter();
    let mut slips: Vec<Slip> = off.map(|off| slip_of(&figures[off.figure], off)).collect();
    exchanged(&figures, &mut slips);
    slips.extend(titrations::of_titrations(campaign, logged, runs));
    slips.extend(uncertain(&figures));
    let (closures, _) = balance::of_balance(&runs.results, &figures);
    let mut beyond = results::beyond(&runs.results, &figures);
    beyond.extend(closures);
    let shared = shared::of_all_that_share(logged, runs, &mut beyond);
    // What is off in all runs is told once, not run by run.
    let told_once = is_told_once(&all_alike::all_alike(campaign, logged, runs));
    if !shared.is_empty() || !told_once {
        for beyond in beyond {
            add(&mut slips, beyond, logged);
        }
    }
    slips.extend(shared);
    slips.extend(dates::of_dates(logged));
    slips.extend(ledger::of_residue(logged));
    slips.extend(ledger::of_liquor(logged));
    slips.extend(gaps::of_defaults(logged));
    slips.extend(ranges::of_ranges(campaign, logged));
    let mut slips = collapsed(merged(slips), runs.results.len());
    slips.retain(|slip| !(told_once && matches!(slip.against, Against::OfMany { .. })));
    for slip in &mut slips {
        slip.accepted = campaign.accepted.iter().any(|name| is_named(slip, name));
    }
    slips
}

/// Whether a result of all runs is off alike, so that none of them is doubted for it.
fn is_told_once(all: &[Caveat]) -> bool {
    let is_it = |caveat: &Caveat| matches!(caveat.doubt, Doubt::AllOff { .. });
    all.iter().any(is_it)
}

/// One slip an entry, in the order of the logs: the gravest of those that name it, with the likely slip that any of them knows.
fn merged(mut slips: Vec<Slip>) -> Vec<Slip> {
    slips.sort_by(|a, b| {
        let key = |slip: &Slip| {
            let place = &slip.place;
            (place.file.clone(), place.line, slip.column.clone())
        };
        key(a).cmp(&key(b)).then(b.weight.cmp(&a.weight))
    });
    let mut merged: Vec<Slip> = Vec::new();
    for slip in slips {
        match merged.last_mut() {
            Some(last) if (&last.place, &last.column) == (&slip.place, &slip.column) => {
                last.likely = last.likely.take().or(slip.likely);
            }
            _ => merged.push(slip),
        }
    }
    merged
}

/// Slips of one column that most runs have are one: its first entry stands for all.
fn collapsed(slips: Vec<Slip>, runs: usize) -> Vec<Slip> {
    let mut of_columns: BTreeMap<(Name, String), usize> = BTreeMap::new();
    let column = |slip: &Slip| (slip.place.file.clone(), slip.column.clone());
    for slip in &slips {
        *of_columns.entry(column(slip)).or_default() += 1;
    }
    let is_habit = |count: usize| count >= FEWEST_ALIKE && 2 * count >= runs;
    let mut told: BTreeSet<(Name, String)> = BTreeSet::new();
    let slips = slips.into_iter().filter_map(|slip| {
        let key = column(&slip);
        let entries = of_columns[&key];
        if !is_habit(entries) {
            return Some(slip);
        }
        let first = Box::new(slip.against.clone());
        told.insert(key).then(|| Slip {
            run: None,
            part: None,
            weight: slip.weight.min(Weight::Unlikely),
            against: Against::OfMany { entries, first },
            ..slip
        })
    });
    slips.collect()
}

/// Fewest slips of one column that can be the habit of a log.
const FEWEST_ALIKE: usize = 4;

/// Crops of one run whose masses were exchanged take the place of what is said of each.
fn exchanged(figures: &[Figure], slips: &mut Vec<Slip>) {
    for [one, other] in neighbours::swapped(figures) {
        slips.retain(|slip| {
            let is = |position: usize| {
                slip.place == *figures[position].place && slip.column == figures[position].column
            };
            !is(one) && !is(other)
        });
        let with = figures[other].column.clone();
        let off = neighbours::Off {
            figure: one,
            weight: Weight::Odd,
            against: Against::Exchanged,
            likely: Some(Likely::named(SlipOf::Swapped { with }, None)),
        };
        slips.push(slip_of(&figures[one], off));
    }
}

/// Part of a value from which on its standard uncertainty is odd.
const UNCERTAIN: f64 = 0.25;

/// Entries whose stated uncertainty is a large part of them.
fn uncertain(figures: &[Figure]) -> Vec<Slip> {
    let of = figures.iter().enumerate().filter_map(|(position, figure)| {
        let uncertainty = figure.uncertainty?;
        let part = uncertainty / figure.value;
        let is_small = matches!(figure.kind, Kind::Blank | Kind::Warmth);
        (part > UNCERTAIN && !is_small).then(|| {
            let off = neighbours::Off {
                figure: position,
                weight: Weight::Odd,
                against: Against::Uncertain { part },
                likely: None,
            };
            let in_percent = Likely::number(SlipOf::PerCent, uncertainty / 100.0, "1");
            let is_fraction = figure.kind.dimension() == Dimension::Fraction;
            Slip {
                column: format!("u_{}", figure.column),
                likely: is_fraction.then_some(in_percent),
                value: uncertainty.to_string(),
                part: None,
                ..slip_of(figure, off)
            }
        })
    });
    of.collect()
}

fn slip_of(figure: &Figure, off: neighbours::Off) -> Slip {
    Slip {
        run: figure.run.map(str::to_string),
        weight: off.weight,
        likely: off.likely,
        part: figure.part,
        ..Slip::new(figure.place, &figure.column, figure.value, off.against)
    }
}

/// Adds what a result says against an entry: to a slip that names this entry already, else as one of its own.
fn add(slips: &mut Vec<Slip>, beyond: Beyond, logged: &Logged) {
    let Some(entry) = place_of(logged, &beyond.run, beyond.part) else {
        return;
    };
    // An entry of the same run that is off by itself explains its result.
    let known = slips.iter_mut().find(|slip| {
        slip.run.as_deref() == Some(beyond.run.as_str())
            && (slip.column == entry.column
                || slip.part == Some(beyond.part)
                || slip.likely.is_some()
                    && beyond.part.is_of_a_yield()
                    && slip.part.is_some_and(Part::is_of_a_yield))
    });
    match known {
        Some(known) => known.weight = known.weight.max(beyond.weight),
        None => slips.push(Slip {
            run: Some(beyond.run),
            weight: beyond.weight,
            likely: beyond.likely,
            part: Some(beyond.part),
            ..Slip::new(&entry.place, entry.column, entry.value, beyond.against)
        }),
    }
}

/// Whether `[check] accept` means this entry: `B-054 residue_mass`.
fn is_named(slip: &Slip, name: &str) -> bool {
    let subject = slip.run.as_deref().unwrap_or(&slip.place.file);
    name.strip_prefix(subject)
        .is_some_and(|rest| rest.trim() == slip.column && rest.starts_with(char::is_whitespace))
}

/// Doubts about entries, about balances, and about what is off in all runs alike, of runs from which is withheld what cannot be right.
pub fn doubts(campaign: &Campaign, logged: &Logged, runs: &Runs, slips: Vec<Slip>) -> Vec<Caveat> {
    let (_, mut of_balance) = balance::of_balance(&runs.results, &[]);
    for caveat in &mut of_balance {
        if let Doubt::BalanceOpenInAllRuns { likely, .. } = &mut caveat.doubt {
            *likely = all_alike::closing_cause(campaign, logged, runs).map(Box::new);
        }
    }
    let unmatched = campaign.accepted.iter().filter(|name| {
        let mut accepted = slips.iter().filter(|slip| slip.accepted);
        !accepted.any(|slip| is_named(slip, name))
    });
    let unmatched = unmatched.map(|name| {
        let name = name.clone();
        Caveat::of_campaign(Doubt::AcceptedNothing { name })
    });
    let unmatched: Vec<Caveat> = unmatched.collect();
    let of_slips = slips.into_iter().map(|slip| Caveat {
        about: match &slip.run {
            Some(run) => About::Run(run.clone()),
            None => About::Campaign,
        },
        doubt: Doubt::Entry(Box::new(slip)),
    });
    let mut all: Vec<Caveat> = of_slips.collect();
    let all_off = all_alike::all_alike(campaign, logged, runs);
    let told_once = is_told_once(&all_off);
    let mild = of_balance.into_iter().chain(results::mild(&runs.results));
    all.extend(mild.filter(|_| !told_once));
    all.extend(all_off);
    all.extend(unmatched);
    all
}
