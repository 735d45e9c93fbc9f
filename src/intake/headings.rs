//! Headings of a log: which column each names, and in which unit.
//!
//! In: a heading of a log and the user's own headings. Out: [`Head`].
//! This module never reads a cell.

use super::columns::{Holds, holds, known};
use crate::campaign::{Campaign, ColumnMapping, LogKind, nearest};
use crate::error::{Error, ErrorKind, Place};
use crate::units::Unit;

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
    /// Position of the mapping in the campaign that named it.
    pub mapping: Option<usize>,
}

/// A heading cut into its name and its unit: `mass / g`, `mass (g)`, `mass [g]`.
pub(super) fn split_unit(heading: &str) -> (&str, Option<&str>) {
    let heading = heading.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(front) = heading.strip_suffix(close)
            && let Some((name, unit)) = front.rsplit_once(open)
            && !name.trim().is_empty()
        {
            return (name.trim(), Some(unit.trim()));
        }
    }
    if let Some((name, unit)) = heading.split_once(" / ") {
        return (name.trim(), Some(unit.trim()));
    }
    (heading, None)
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
    let (bare, written_unit) = split_unit(heading);
    let mut mappings = campaign.columns.iter().enumerate();
    let mapping =
        mappings.find(|(_, m)| m.log == kind && (m.heading == heading || m.heading == bare));
    let (name, unit_text) = match mapping {
        Some((_, mapping)) => (
            mapping.name.as_str(),
            mapping.unit.as_deref().or(written_unit),
        ),
        None => named(campaign, kind, heading, bare, written_unit),
    };
    let holds = holds(kind, name);
    let dimension = holds.and_then(Holds::dimension);
    let unit = unit_text.and_then(|text| match dimension {
        Some(dimension) => Unit::of(text, dimension),
        None => Unit::named(text),
    });
    let misfit = unit_text.zip(dimension).filter(|_| unit.is_none());
    let two = mapping.and_then(|(_, mapping)| two_units(mapping, file, heading, written_unit));
    let misfit = misfit.filter(|_| two.is_none());
    let fault = misfit.map(|(text, dimension)| {
        let message =
            format!("column `{heading}` in `{file}` has a unit that does not fit: `{text}`");
        let names = dimension.unit_names().join(", ");
        Error::new(ErrorKind::MissingColumn, message)
            .in_column(heading)
            .hint(format!("units that fit: {names}"))
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
        unit,
        mapping: mapping.map(|(position, _)| position),
    };
    (head, fault)
}

/// What is said of a heading and its mapping that give one column two units.
fn two_units(
    mapping: &ColumnMapping,
    file: &str,
    heading: &str,
    written: Option<&str>,
) -> Option<(String, String)> {
    let (written, given) = (written?, mapping.unit.as_deref()?);
    let (known, also) = (Unit::named(written), Unit::named(given));
    // What stands behind a heading that is given whole may be no unit at all.
    let is_name = known.is_none() && mapping.heading == heading;
    if written == given || known.is_some() && known == also || is_name {
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

/// The name of a heading without a mapping; a unit is cut off only where the rest is a name that is known.
fn named<'h>(
    campaign: &Campaign,
    kind: LogKind,
    heading: &'h str,
    bare: &'h str,
    written_unit: Option<&'h str>,
) -> (&'h str, Option<&'h str>) {
    let is_known = |name: &str| {
        holds(kind, name).is_some() || kind == LogKind::Runs && is_named_in(campaign, name)
    };
    if is_known(heading) {
        return (heading, None);
    }
    if written_unit.is_some() {
        let name = if is_known(bare) { bare } else { heading };
        return (name, written_unit);
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_cut_off_in_each_written_form() {
        assert_eq!(split_unit("mass / g"), ("mass", Some("g")));
        assert_eq!(split_unit("mass (g)"), ("mass", Some("g")));
        assert_eq!(split_unit("mass [g]"), ("mass", Some("g")));
        assert_eq!(split_unit("conc / g/L"), ("conc", Some("g/L")));
        assert_eq!(split_unit("mass"), ("mass", None));
    }
}
