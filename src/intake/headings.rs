//! Headings of a log: which column each names, and in which unit.
//!
//! In: a heading of a log and the user's own headings. Out: [`Head`].
//! This module never reads a cell.

use super::columns::{Holds, holds, known};
use super::heading_units::{Cut, UnitSaid, cut, is_same, is_unit, said};
use crate::campaign::{AsAbove, Campaign, ColumnMapping, LogKind, PriceUnit, nearest};
use crate::chemistry::Formula;
use crate::error::{Error, ErrorKind, Place};
use crate::units::{Dimension, Unit};

/// A column as its heading names it.
#[derive(Debug, Clone)]
pub(super) struct Head {
    /// The heading as written.
    pub heading: String,
    /// Name of the design, of a factor or response, or the heading kept whole.
    pub name: String,
    /// What it holds; `None` for an unknown column, kept as text.
    pub holds: Option<Holds>,
    /// Unit as written, in the heading or in `[columns]`.
    pub unit_text: Option<String>,
    /// Unit of its numbers, when it is one that residuum knows.
    pub unit: Option<Unit>,
    /// What a strength is of, where unit or heading say it.
    pub formula: Option<Formula>,
    /// What a price is stated in.
    pub price: PriceUnit,
    /// What an empty cell means, in base units; nothing where the campaign file does not say.
    pub empty: Option<f64>,
    /// Position of the mapping in the campaign that named it.
    pub mapping: Option<usize>,
}

impl Head {
    /// What its numbers measure.
    pub fn dimension(&self) -> Dimension {
        match (self.holds, self.unit) {
            (Some(Holds::Number(_)), Some(unit)) => unit.dimension,
            (Some(Holds::Number(dimension)), None) => dimension,
            _ => Dimension::Plain,
        }
    }

    /// Whether numbers may stand below it.
    pub fn may_hold_numbers(&self) -> bool {
        !self.holds.is_some_and(Holds::is_text)
    }
}

/// Reads one heading of a log; a unit that does not fit its column is a fault without its place, and the column is
/// there all the same.
pub(super) fn head(
    campaign: &Campaign,
    kind: LogKind,
    file: &str,
    heading: &str,
) -> (Head, Option<Error>) {
    let heading = heading.trim();
    let cut = cut(heading, |text| is_unit(campaign, text));
    let (bare, written_unit) = (cut.name, cut.unit);
    let mut mappings = campaign.columns.iter().enumerate();
    let mapping =
        mappings.find(|(_, m)| m.log == kind && (m.heading == heading || m.heading == bare));
    let (name, unit_text) = match mapping {
        Some((_, mapping)) => (
            mapping.name.as_str(),
            mapping.unit.as_deref().or(written_unit),
        ),
        None => named(campaign, kind, heading, cut),
    };
    let holds = holds(kind, name);
    let (said, misfit) = match said(campaign, name, holds, unit_text, cut) {
        Ok(said) => (said, None),
        Err(hint) => (UnitSaid::default(), Some(hint)),
    };
    let two = mapping.and_then(|(_, mapping)| two_units(campaign, mapping, file, heading, cut));
    let misfit = misfit.filter(|_| two.is_none());
    let fault = misfit.map(|hint| {
        let text = unit_text.unwrap_or(heading);
        let message =
            format!("column `{heading}` in `{file}` has a unit that does not fit: `{text}`");
        Error::new(ErrorKind::MissingColumn, message)
            .in_column(heading)
            .hint(hint)
    });
    let fault = two
        .map(|(message, hint)| {
            let place = &campaign.file;
            let fault = Error::new(ErrorKind::MissingColumn, format!("{message} in `{place}`"));
            fault.in_column(heading).hint(hint)
        })
        .or(fault);
    let head = Head {
        heading: heading.to_string(),
        name: name.to_string(),
        holds,
        unit_text: unit_text.map(str::to_string),
        unit: said.unit,
        formula: said.formula,
        price: said.price,
        empty: mapping.and_then(|(_, mapping)| {
            let unit = said.unit;
            mapping
                .empty
                .map(|empty| unit.map_or(empty, |unit| unit.to_base(empty)))
        }),
        mapping: mapping.map(|(position, _)| position),
    };
    (head, fault)
}

/// What is said of a heading and its mapping that give one column two units.
fn two_units(
    campaign: &Campaign,
    mapping: &ColumnMapping,
    file: &str,
    heading: &str,
    cut: Cut,
) -> Option<(String, String)> {
    let (written, given) = (cut.unit?, mapping.unit.as_deref()?);
    // What stands behind a heading that is given whole may be no unit at all.
    let may_be_name = cut.is_loose || !is_unit(campaign, written);
    let is_name = may_be_name && mapping.heading == heading;
    if is_same(campaign, written, given) || is_name {
        return None;
    }
    let message = format!(
        "column `{heading}` in `{file}` has two units: `{written}` in its heading, `{given}` on line {}",
        mapping.line
    );
    let hint = format!(
        "leave out the one that is wrong: `unit = \"{given}\"` or the `{written}` in the heading"
    );
    Some((message, hint))
}

/// Whether a heading names anything: a column of the design, one that the campaign file names, or one of its own headings.
pub(super) fn is_known(campaign: &Campaign, kind: LogKind, heading: &str) -> bool {
    let (head, _) = head(campaign, kind, "", heading);
    head.mapping.is_some()
        || head.holds.is_some()
        || kind == LogKind::Runs && is_named_in(campaign, &head.name)
}

/// The name of a heading without a mapping; a unit is cut off only where the rest is a name that is known, and one that
/// nothing but its text shows only where it fits.
fn named<'h>(
    campaign: &Campaign,
    kind: LogKind,
    heading: &'h str,
    cut: Cut<'h>,
) -> (&'h str, Option<&'h str>) {
    let is_known = |name: &str| {
        holds(kind, name).is_some() || kind == LogKind::Runs && is_named_in(campaign, name)
    };
    if is_known(heading) {
        return (heading, None);
    }
    if let Some(unit) = cut.unit {
        let holds = holds(kind, cut.name);
        let fits = || said(campaign, cut.name, holds, cut.unit, cut).is_ok();
        match (is_known(cut.name), cut.is_loose) {
            (true, false) => return (cut.name, Some(unit)),
            (false, false) => return (heading, Some(unit)),
            (true, true) if !holds.is_some_and(Holds::is_text) && fits() => {
                return (cut.name, Some(unit));
            }
            (_, true) => {}
        }
    }
    if let Some((name, suffix)) = heading.rsplit_once('_')
        && let Some(dimension) = holds(kind, name).and_then(Holds::dimension)
        && Unit::of(suffix, dimension).is_some()
    {
        return (name, Some(suffix));
    }
    (heading, None)
}

/// Whether the campaign file names a column of the runs log, or what it is the `u_` partner of.
fn is_named_in(campaign: &Campaign, name: &str) -> bool {
    let name = name.strip_prefix("u_").unwrap_or(name);
    let factors = campaign.factors.iter();
    let mut factors = factors.map(|factor| factor.column());
    let mut priced = campaign.prices.iter().flat_map(|prices| &prices.other);
    factors.any(|column| column == name)
        || campaign.responses.iter().any(|r| r.column == name)
        || priced.any(|price| price.column == name)
}

/// Reports the user's own headings that no log of their kind has.
pub(super) fn report_unmatched(
    campaign: &Campaign,
    kind: LogKind,
    used: &[usize],
    stops: &mut Vec<Error>,
) {
    let mappings = campaign.columns.iter().enumerate();
    let unmatched =
        mappings.filter(|(position, mapping)| mapping.log == kind && !used.contains(position));
    stops.extend(unmatched.map(|(_, mapping)| {
        let place = Place::new(&campaign.file, mapping.line);
        let (heading, log) = (&mapping.heading, kind.key());
        let message = format!("no heading `{heading}` in the {log} log, which {place} asks for");
        let hint = "copy the heading from the log letter by letter; its unit part may be left out";
        let fault = place.fault(ErrorKind::MissingColumn, message, hint);
        fault.in_column(heading)
    }));
}

/// Reports the user's own headings of a log that the campaign does not name.
pub(super) fn report_without_log(campaign: &Campaign, kind: LogKind, stops: &mut Vec<Error>) {
    if campaign.logs.files.iter().any(|log| log.kind == kind) {
        return;
    }
    let key = kind.key();
    for mapping in campaign.columns.iter().filter(|m| m.log == kind) {
        let place = Place::new(&campaign.file, mapping.line);
        let heading = &mapping.heading;
        let message = format!(
            "{place} gives a heading of the {key} log, and `[logs]` names no such log: `{heading}`"
        );
        let hint =
            format!("add `{key} = \"{key}.csv\"` to `[logs]`, or take `[columns.{key}]` out");
        let fault = place.fault(ErrorKind::MissingColumn, message, hint);
        stops.push(fault.in_column(heading));
    }
}

/// Reports columns of `[logs] as_above` that no log has.
pub(super) fn report_as_above<'h>(
    campaign: &Campaign,
    heads: impl Iterator<Item = &'h Head> + Clone,
    stops: &mut Vec<Error>,
) {
    for AsAbove { column, line } in &campaign.logs.as_above {
        let mut names = heads.clone().flat_map(|head| [&head.name, &head.heading]);
        if names.any(|name| name == column) {
            continue;
        }
        let place = Place::new(&campaign.file, *line);
        let message = format!("no column `{column}` in any log, which `as_above` in {place} names");
        let names = heads.clone().map(|head| head.heading.as_str());
        let hint = match nearest(column, names) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "name a column, or copy its heading letter by letter".into(),
        };
        stops.push(place.fault(ErrorKind::MissingColumn, message, hint));
    }
}

/// A hint for a column that is needed and missing.
pub(super) fn hint_for_missing(kind: LogKind, name: &str, headings: &[&str]) -> String {
    let key = kind.key();
    match nearest(name, headings.iter().copied()) {
        Some(near) => format!(
            "did you mean `{near}`? own headings go under `[columns.{key}]`: `{name} = {{ heading = \"{near}\" }}`"
        ),
        None => {
            let names: Vec<&str> = known(kind).iter().map(|(name, _)| *name).collect();
            let names = names.join(", ");
            format!("columns of this log: {names}; own headings go under `[columns.{key}]`")
        }
    }
}
