//! Dates that lie far from all others, or out of order.
//!
//! In: dates of runs, titrants, lots and residues. Out: slips.
//! This module never puts a run into another place.

use std::collections::BTreeMap;

use crate::caveat::{Against, Likely, Slip, SlipOf, Weight};
use crate::error::Place;
use crate::intake::{Logged, LoggedDate, RunRow};
use crate::name::Name;

/// A date so many days from its nearest, and so many times as far as any other pair of neighbours, is of another year.
const FAR: [i32; 2] = [60, 4];

/// Part of the runs that may be out of order before the log is in no order of its own.
const OUT_OF_ORDER: f64 = 0.1;

/// Fewest dates that have an order.
const FEWEST: usize = 5;

/// Slips in dates.
pub(super) fn of_dates(logged: &Logged) -> Vec<Slip> {
    let rows = logged.runs.rows.iter();
    let dated = rows.filter_map(|row| Some((row, row.date.as_ref()?)));
    let mut dated: Vec<(&RunRow, &LoggedDate)> = dated.collect();
    // In the order of their names, B-9 before B-10: that of the lines may be any.
    dated.sort_by_cached_key(|(row, _)| natural(&row.run));
    let mut found = Vec::new();
    if dated.len() >= FEWEST {
        found.extend(far(&dated));
        let known = |row: &RunRow| found.iter().any(|slip: &Slip| slip.place == row.place);
        let others = dated.iter().copied().filter(|(row, _)| !known(row));
        let others: Vec<_> = others.collect();
        found.extend(out_of_order(&others));
    }
    found.extend(titrants(logged));
    found.extend(used_too_early(logged));
    found
}

fn slip(row: &RunRow, date: &LoggedDate, against: Against) -> Slip {
    Slip::new(&row.place, "date", &date.text, against).of_run(&row.run)
}

/// The slip of day and month, by the date that was meant.
fn exchanged(text: &Name) -> Likely {
    Likely::named(SlipOf::DayAndMonth, Some(text.to_string()))
}

/// A name with the number at its end apart.
fn natural(name: &str) -> (String, u64, String) {
    let front = name.trim_end_matches(|c: char| c.is_ascii_digit());
    let number = name[front.len()..].parse().unwrap_or_default();
    (front.to_string(), number, name.to_string())
}

/// Titrants of which the first strength is dated after a run that used them.
fn titrants(logged: &Logged) -> Vec<Slip> {
    let mut first: BTreeMap<&str, (&Place, &LoggedDate)> = BTreeMap::new();
    for row in &logged.titrants {
        if let Some(date) = &row.date {
            let known = first.entry(&row.titrant).or_insert((&row.place, date));
            if date.day < known.1.day {
                *known = (&row.place, date);
            }
        }
    }
    let runs = logged.runs.by_name();
    let mut used: BTreeMap<&str, (&str, i32)> = BTreeMap::new();
    for titre in &logged.titres {
        let names = titre.titrant.iter().chain(titre.back_titrant());
        let row = runs.get(titre.run.as_str());
        let Some(date) = row.and_then(|row| row.date.as_ref()) else {
            continue;
        };
        for name in names {
            let known = used.entry(name).or_insert((&titre.run, date.day));
            if date.day < known.1 {
                *known = (&titre.run, date.day);
            }
        }
    }
    let late = first.into_iter().filter_map(|(name, (place, date))| {
        let (run, day) = *used.get(name)?;
        let likely = (date.day - day > FAR[0]).then(|| Likely::named(SlipOf::Year, None));
        let against = Against::AfterItsRuns { run: run.into() };
        let slip = Slip::new(place, "date", &date.text, against).likely(likely);
        (date.day > day).then_some(slip)
    });
    late.collect()
}

/// Lots opened, and residues left, after a run that charged them.
fn used_too_early(logged: &Logged) -> Vec<Slip> {
    let rows = logged.runs.rows.iter();
    let dated = || {
        rows.clone()
            .filter_map(|row| Some((row, row.date.as_ref()?.day)))
    };
    let first = |charges: &dyn Fn(&RunRow) -> bool| {
        let charged = dated().filter(|(row, _)| charges(row));
        charged.min_by_key(|(_, day)| *day)
    };
    let slip = |place: &Place, column, date: &Option<LoggedDate>, first: Option<(&RunRow, i32)>| {
        let (date, (row, day)) = (date.as_ref()?, first?);
        let against = Against::AfterItsRuns {
            run: row.run.clone(),
        };
        let slip = Slip::new(place, column, &date.text, against);
        (date.day > day).then_some(slip)
    };
    let lots = logged.lots.iter().filter(|lot| lot.opened.is_some());
    let lots = lots.filter_map(|lot| {
        let first = first(&|row| row.lots.iter().any(|part| part.lot == lot.lot));
        slip(&lot.place, "opened", &lot.opened, first)
    });
    let residues = logged.residues.iter().filter(|of| of.date.is_some());
    let residues = residues.filter_map(|of| {
        let first = first(&|row| row.residue_from.iter().any(|from| *from == *of.run));
        slip(&of.place, "date", &of.date, first)
    });
    lots.chain(residues).collect()
}

/// Dates at an end that lie far from all others.
fn far(dated: &[(&RunRow, &LoggedDate)]) -> Vec<Slip> {
    let mut days: Vec<i32> = dated.iter().map(|(_, date)| date.day).collect();
    days.sort_unstable();
    let gaps: Vec<i32> = days.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let alone = |gap: usize| {
        let others = gaps.iter().enumerate().filter(|(other, _)| *other != gap);
        let widest = others.map(|(_, gap)| *gap).max().unwrap_or_default();
        gaps[gap] > FAR[0] && gaps[gap] > FAR[1] * widest
    };
    let first = alone(0).then_some(days[0]);
    let last = alone(gaps.len() - 1).then_some(days[days.len() - 1]);
    let is_far = |day: i32| Some(day) == first || Some(day) == last;
    let nearest = |day: i32| {
        let others = days.iter().filter(|other| **other != day);
        let distances = others.map(|other| (other - day).abs());
        distances.min().unwrap_or_default()
    };
    let far = dated.iter().filter(|(_, date)| is_far(date.day));
    far.map(|(row, date)| {
        let days = nearest(date.day);
        let swapped = date.swapped.as_ref();
        let swapped = swapped.filter(|(_, day)| nearest(*day) < days / 10);
        let likely = match swapped {
            Some((text, _)) => exchanged(text),
            None => Likely::named(SlipOf::Year, None),
        };
        let slip = slip(row, date, Against::FarDate { days });
        slip.trusted(Weight::Unlikely).likely(Some(likely))
    })
    .collect()
}

/// Runs whose dates are out of order with their names, where nearly all of them are in order.
fn out_of_order(dated: &[(&RunRow, &LoggedDate)]) -> Vec<Slip> {
    let days: Vec<i32> = dated.iter().map(|(_, date)| date.day).collect();
    let kept = longest_rise(&days);
    let out = dated.len() - kept.iter().filter(|kept| **kept).count();
    if out == 0 || out as f64 > (OUT_OF_ORDER * dated.len() as f64).max(1.0) {
        return Vec::new();
    }
    let fits = |position: usize, day: i32| {
        let before = (0..position).rev().find(|other| kept[*other]);
        let after = (position + 1..days.len()).find(|other| kept[*other]);
        before.is_none_or(|other| days[other] <= day)
            && after.is_none_or(|other| day <= days[other])
    };
    let odd = dated.iter().enumerate();
    let odd = odd.filter(|(position, _)| !kept[*position]);
    odd.map(|(position, (row, date))| {
        let swapped = date.swapped.as_ref();
        let swapped = swapped.filter(|(_, day)| fits(position, *day));
        let neighbour = if position > 0 { position - 1 } else { 1 };
        let beside = dated[neighbour].0.run.clone();
        let slip = slip(row, date, Against::OutOfOrder { beside });
        match swapped {
            Some((text, _)) => slip.trusted(Weight::Unlikely).likely(Some(exchanged(text))),
            None => slip,
        }
    })
    .collect()
}

/// Which of the days belong to the longest row of days that never falls.
///
/// # Source
/// Fredman, Discrete Mathematics 11 (1975) 29: the smallest last day of a row of each length, found by halving; from memory.
fn longest_rise(days: &[i32]) -> Vec<bool> {
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; days.len()];
    for (at, day) in days.iter().enumerate() {
        let length = ends.partition_point(|end| days[*end] <= *day);
        before[at] = length.checked_sub(1).map(|shorter| ends[shorter]);
        match ends.get_mut(length) {
            Some(end) => *end = at,
            None => ends.push(at),
        }
    }
    let mut kept = vec![false; days.len()];
    let mut at = ends.last().copied();
    while let Some(position) = at {
        kept[position] = true;
        at = before[position];
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_rise_leaves_the_one_that_is_out_of_order() {
        assert_eq!(
            longest_rise(&[1, 2, 9, 3, 4, 4]),
            [true, true, false, true, true, true]
        );
        assert_eq!(longest_rise(&[5, 1, 2]), [false, true, true]);
    }
}
