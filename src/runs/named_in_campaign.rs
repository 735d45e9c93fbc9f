//! Names that the campaign file uses and neither it nor the logs know, and units of limits that are not those of their amounts.
//!
//! In: the campaign and its logs. Out: faults of the campaign file, each with the nearest name.
//! This module never looks at a number of a log.

use crate::campaign::{
    Campaign, FactorKind, FactorPlan, Heat, LOT, LogKind, NeverIs, StandsFor, did_you_mean,
};
use crate::error::{Error, ErrorKind, Place};
use crate::intake::Logged;
use crate::units::Unit;

/// All such names and units, in the order of the file; without logs there is only the campaign file to know them.
///
/// `units` holds the unit of each amount that the log or its derivation gives.
pub fn unknown_names(
    campaign: &Campaign,
    logged: Option<&Logged>,
    units: &[(&str, &str)],
) -> Vec<Error> {
    let found = Found { campaign, logged };
    let mut faults = found.limits(units);
    faults.extend(found.ceilings());
    faults.extend(found.spellings());
    faults.extend(found.heat());
    faults.extend(found.shelf());
    faults.sort_by_key(Error::line);
    faults
}

struct Found<'a> {
    campaign: &'a Campaign,
    logged: Option<&'a Logged>,
}

impl<'a> Found<'a> {
    fn limits(&self, units: &[(&str, &str)]) -> Vec<Error> {
        let parts = self.campaign.limits.never.iter().flatten();
        let faults = parts.filter_map(|part| match &part.is {
            NeverIs::Level(level) => {
                let what = "in `limits.never`";
                self.unknown_level(&part.factor, level, what, part.line)
            }
            NeverIs::Amounts { unit, .. } => {
                let wanted = self.unit_of(&part.factor, units);
                self.other_unit(&part.factor, unit.as_deref()?, wanted, part.line)
            }
        });
        faults.collect()
    }

    fn ceilings(&self) -> Vec<Error> {
        let of = |plan: &FactorPlan| match &plan.kind {
            FactorKind::Choice { ceiling, .. } => {
                let entries = ceiling.iter().map(|one| (one.level.as_str(), one.line));
                let what = format!("in `factors.{}.ceiling`", plan.name);
                self.unknown_entries(&plan.name, &entries.collect::<Vec<_>>(), &what)
            }
            FactorKind::Amount { .. } => Vec::new(),
        };
        self.campaign.factors.iter().flat_map(of).collect()
    }

    /// Levels of `same_as` that neither the campaign file nor the log knows by themselves.
    fn spellings(&self) -> Vec<Error> {
        let Some(logged) = self.logged else {
            return Vec::new();
        };
        let mut faults = Vec::new();
        for plan in &self.campaign.factors {
            let mut levels: Vec<(&str, usize)> = Vec::new();
            for spelling in &plan.same_as {
                if levels.iter().all(|(level, _)| *level != spelling.level) {
                    levels.push((&spelling.level, spelling.line));
                }
            }
            let column = plan.column();
            let written = logged.as_written.iter();
            let written = written.filter(|(of, _)| of == column);
            let written = written.map(|(_, text)| text.as_str());
            let is_there = plan.name == LOT || logged.runs.column(column).is_some();
            let known: Vec<&str> = written.chain(plan.named_levels()).collect();
            let unknown = levels
                .into_iter()
                .filter(|(level, _)| !known.contains(level));
            faults.extend(unknown.filter(|_| is_there).map(|(level, line)| {
                let what = format!("in `factors.{}.same_as`", plan.name);
                let spelt = known.iter().copied();
                let spelt = spelt.filter(|text| plan.meant_by(text).is_none());
                self.no_such_level(&plan.name, level, &what, line, &sorted(spelt.collect()))
            }));
        }
        faults
    }

    fn heat(&self) -> Vec<Error> {
        let prices = self.campaign.prices.as_ref();
        match prices.and_then(|prices| prices.heat.as_ref()) {
            Some(Heat::ByLevel { factor, levels }) => {
                let entries = levels.iter().map(|one| (one.level.as_str(), one.line));
                self.unknown_entries(factor, &entries.collect::<Vec<_>>(), "in `prices.heat`")
            }
            _ => Vec::new(),
        }
    }

    /// Entries for levels that nobody knows, where a level that somebody knows has none: one that is yet to be run may have
    /// its entry beside those of all others.
    fn unknown_entries(&self, factor: &str, entries: &[(&str, usize)], what: &str) -> Vec<Error> {
        let known = self.levels(factor).unwrap_or_default();
        let has_entry = |level: &&str| entries.iter().any(|(entry, _)| entry == level);
        if known.iter().all(has_entry) {
            return Vec::new();
        }
        let faults = entries
            .iter()
            .filter_map(|(level, line)| self.unknown_level(factor, level, what, *line));
        faults.collect()
    }

    /// Lots on the shelf that the lots log does not have; where there is none, a lot that differs from one run by its case.
    fn shelf(&self) -> Vec<Error> {
        let Some(logged) = self.logged else {
            return Vec::new();
        };
        let known = self.lots(logged);
        let has_log = logged.present.contains(&LogKind::Lots);
        let is_unknown = |lot: &str| {
            let alike = known
                .iter()
                .any(|known| known.to_lowercase() == lot.to_lowercase());
            let is_spelling = self.campaign.level_of(LOT, lot) != lot;
            !known.contains(&lot) && (has_log || alike || is_spelling)
        };
        let shelf = self.campaign.shelf.iter().flatten();
        let unknown = shelf.filter(|lot| is_unknown(&lot.lot));
        let faults = unknown.map(|lot| {
            let place = Place::new(&self.campaign.file, lot.line);
            let otherwise = "add the lot to the lots log, or take it off the shelf".to_string();
            let meant = self.campaign.level_of(LOT, &lot.lot);
            let hint = match meant == lot.lot {
                true => did_you_mean(&lot.lot, known.iter().copied()).unwrap_or(otherwise),
                false => format!("write `{meant}`, of which it is a spelling"),
            };
            let message = format!("unknown lot `{}` in `shelf.lots`, in {place}", lot.lot);
            place.fault(ErrorKind::Campaign, message, hint)
        });
        faults.collect()
    }

    fn lots(&self, logged: &'a Logged) -> Vec<&'a str> {
        let shares = logged.runs.rows.iter().flat_map(|row| &row.lots);
        let of_runs = shares.map(|share| share.lot.as_str());
        let of_log = logged.lots.iter().map(|row| row.lot.as_str());
        sorted(of_log.chain(of_runs).collect())
    }

    /// Levels of a choice that are declared or that a run has; nothing where its column is missing, which is a fault of its own.
    fn levels(&self, factor: &str) -> Option<Vec<&'a str>> {
        let plan = self.campaign.factor(factor);
        let mut known: Vec<&str> = Vec::new();
        if let Some(FactorKind::Choice {
            baseline, levels, ..
        }) = plan.map(|plan| &plan.kind)
        {
            known.extend(baseline.iter().chain(levels).map(String::as_str));
        }
        if let Some(logged) = self.logged {
            let column = plan.and_then(|plan: &FactorPlan| plan.column.as_deref());
            match logged.runs.column(column.unwrap_or(factor)) {
                Some(column) => known.extend(column.texts()),
                None if factor == LOT => known.extend(self.lots(logged)),
                None => return None,
            }
        }
        if factor == LOT {
            let shelf = self.campaign.shelf.iter().flatten();
            known.extend(shelf.map(|lot| lot.lot.as_str()));
        }
        Some(sorted(known))
    }

    fn unknown_level(&self, factor: &str, level: &str, what: &str, line: usize) -> Option<Error> {
        let known = self.levels(factor)?;
        // A route that may be foreseen may be barred too.
        let foreseen = self.campaign.routes.iter().any(|plan| plan.name == level);
        let is_route = self.campaign.factor_for(StandsFor::Route);
        let is_route = foreseen && is_route.is_some_and(|plan| plan.name == factor);
        let is_unknown = !known.contains(&level) && !is_route;
        is_unknown.then(|| self.no_such_level(factor, level, what, line, &known))
    }

    fn no_such_level(
        &self,
        factor: &str,
        level: &str,
        what: &str,
        line: usize,
        known: &[&str],
    ) -> Error {
        let plan = self.campaign.factor(factor);
        let meant = plan.and_then(|plan| plan.meant_by(level));
        let otherwise = match known {
            [] => format!("name the levels of `{factor}` under `levels`"),
            known => format!(
                "levels of `{factor}`: {}; one that is yet to be run goes under `levels`",
                known.join(", ")
            ),
        };
        let hint = match meant {
            Some(meant) => format!("write `{meant}`, of which it is a spelling"),
            None => did_you_mean(level, known.iter().copied()).unwrap_or(otherwise),
        };
        let place = Place::new(&self.campaign.file, line);
        let message = format!("unknown level `{level}` of `{factor}` {what}, in {place}");
        let fault = place.fault(ErrorKind::UnknownName, message, hint);
        fault.in_column(factor)
    }

    /// The unit of an amount: that of the campaign file, else that of its column.
    fn unit_of(&self, factor: &str, units: &[(&'a str, &'a str)]) -> &'a str {
        let declared = match self.campaign.factor(factor).map(|plan| &plan.kind) {
            Some(FactorKind::Amount { unit, .. }) => unit.as_deref(),
            _ => None,
        };
        let mut units = units.iter();
        let logged = units.find(|(name, _)| *name == factor);
        declared.or(logged.map(|(_, unit)| *unit)).unwrap_or("")
    }

    fn other_unit(&self, factor: &str, unit: &str, wanted: &str, line: usize) -> Option<Error> {
        let same = unit == wanted
            || Unit::named(unit).is_some_and(|unit| Unit::named(wanted) == Some(unit));
        if same {
            return None;
        }
        let place = Place::new(&self.campaign.file, line);
        let (message, hint) = if wanted.is_empty() {
            (
                format!(
                    "a unit behind a limit of `{factor}`, which has none: `{unit}`, in {place}"
                ),
                "write the number alone, or give the factor its `unit`".to_string(),
            )
        } else {
            (
                format!("a limit of `{factor}` is in `{unit}`, in {place}"),
                format!("write it in `{wanted}`, the unit of `{factor}`"),
            )
        };
        let fault = place.fault(ErrorKind::Campaign, message, hint);
        Some(fault.in_column(factor))
    }
}

fn sorted(mut names: Vec<&str>) -> Vec<&str> {
    names.sort_unstable();
    names.dedup();
    names
}
