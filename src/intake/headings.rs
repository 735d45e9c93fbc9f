//! Headings of a log: which column each names, and in which unit.
//!
//! In: a heading of a log and the user's own headings. Out: [`Head`].
//! This module never reads a cell.

use super::columns::{Holds, holds, known};
use crate::campaign::{Campaign, ColumnMapping, LogKind, folded, nearest};
use crate::error::{Cause, Error, ErrorKind, Place};
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
    /// Whether the heading is that of the column but for case, blanks, apostrophes or dashes.
    pub nearly: bool,
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
    let mapped = |is: fn(&str, &str) -> bool| {
        let mut mappings = campaign.columns.iter().enumerate();
        mappings.find(|(_, m)| m.log == kind && [heading, bare].iter().any(|it| is(&m.heading, it)))
    };
    let exact = mapped(|own, heading| own == heading);
    let is_exact = exact.is_some() || is_known(campaign, kind, heading, bare);
    let mapping = exact.or_else(|| match is_exact {
        true => None,
        false => mapped(|own, heading| folded(own) == folded(heading)),
    });
    let alike = match is_exact || mapping.is_some() {
        true => None,
        false => alike(campaign, kind, heading, written_unit),
    };
    let nearly = !is_exact && mapping.is_some() || alike.is_some();
    let (name, unit_text) = match (mapping, &alike) {
        (Some((_, mapping)), _) => (
            mapping.name.as_str(),
            mapping.unit.as_deref().or(written_unit),
        ),
        (None, Some((name, unit))) => (name.as_str(), *unit),
        (None, None) => named(campaign, kind, heading, bare, written_unit),
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
        Error::new(ErrorKind::Heading, message)
            .in_column(heading)
            .hint(format!("units that fit: {names}"))
    });
    let fault = two
        .map(|(message, hint)| {
            let place = &campaign.file;
            let fault = Error::new(ErrorKind::Heading, format!("{message} in `{place}`"));
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
        nearly,
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

/// Whether a name is that of a column of the design, or one that the campaign file names, or of a `u_` partner of one.
fn is_name(campaign: &Campaign, kind: LogKind, name: &str) -> bool {
    let of_column = name.strip_prefix("u_").unwrap_or(name);
    holds(kind, name).is_some() || campaign_names(campaign, kind).contains(&of_column)
}

/// Whether a heading is a known name as it stands, its unit aside.
fn is_known(campaign: &Campaign, kind: LogKind, heading: &str, bare: &str) -> bool {
    [heading, bare]
        .iter()
        .any(|name| is_name(campaign, kind, name))
        || with_suffix(heading).is_some_and(|(name, suffix)| is_with_unit(kind, name, suffix))
}

/// The name of a heading without a mapping; a unit is cut off only where the rest is a name that is known.
fn named<'h>(
    campaign: &Campaign,
    kind: LogKind,
    heading: &'h str,
    bare: &'h str,
    written_unit: Option<&'h str>,
) -> (&'h str, Option<&'h str>) {
    if is_name(campaign, kind, heading) {
        return (heading, None);
    }
    if written_unit.is_some() {
        let is_known = is_name(campaign, kind, bare);
        return (if is_known { bare } else { heading }, written_unit);
    }
    match with_suffix(heading) {
        Some((name, suffix)) if is_with_unit(kind, name, suffix) => (name, Some(suffix)),
        _ => (heading, None),
    }
}

/// `mass_g` as a name and what may be its unit.
fn with_suffix(heading: &str) -> Option<(&str, &str)> {
    heading.rsplit_once('_')
}

fn is_with_unit(kind: LogKind, name: &str, suffix: &str) -> bool {
    let dimension = holds(kind, name).and_then(Holds::dimension);
    dimension.is_some_and(|dimension| Unit::of(suffix, dimension).is_some())
}

/// The known name that a heading is but for its spelling, with the unit that it leaves over.
fn alike<'h>(
    campaign: &Campaign,
    kind: LogKind,
    heading: &'h str,
    written_unit: Option<&'h str>,
) -> Option<(String, Option<&'h str>)> {
    let (bare, _) = split_unit(heading);
    let near = |text: &str| near_name(campaign, kind, text);
    let whole = near(heading).map(|name| (name, None));
    let of_bare = || written_unit.and_then(|unit| Some((near(bare)?, Some(unit))));
    let of_suffix = || {
        let (front, suffix) = with_suffix(heading)?;
        let name = near(front)?;
        is_with_unit(kind, &name, suffix).then_some((name, Some(suffix)))
    };
    whole.or_else(of_bare).or_else(of_suffix)
}

fn near_name(campaign: &Campaign, kind: LogKind, text: &str) -> Option<String> {
    let wanted = folded(text);
    let is_it = |name: &&str| folded(name) == wanted || folded(&format!("u_{name}")) == wanted;
    let of_design = known(kind).iter().map(|(name, _)| *name);
    let own = campaign_names(campaign, kind);
    let found = of_design.chain(own).find(is_it);
    let found = found.map(|name| match folded(name) == wanted {
        true => name.to_string(),
        false => format!("u_{name}"),
    });
    // Crops of the flat style have as many names as there are crops.
    let words = text.to_lowercase().replace('_', " ");
    let words: Vec<&str> = words.split_whitespace().collect();
    let words = words.join("_");
    found.or_else(|| holds(kind, &words).map(|_| words))
}

/// Columns of a log that the campaign file names.
fn campaign_names(campaign: &Campaign, kind: LogKind) -> Vec<&str> {
    let factors = campaign.factors.iter().map(|factor| factor.column());
    let responses = campaign.responses.iter().map(|of| of.column.as_str());
    let priced = campaign.prices.iter().flat_map(|prices| &prices.other);
    let priced = priced.map(|price| price.column.as_str());
    let impurities = campaign.oxidant.iter().flat_map(|of| &of.impurities);
    match kind {
        LogKind::Runs => factors.chain(responses).chain(priced).collect(),
        LogKind::Lots => impurities.map(|of| of.column.as_str()).collect(),
        _ => Vec::new(),
    }
}

/// The user's own headings that no log of their kind has.
pub(super) fn unmatched<'c>(
    campaign: &'c Campaign,
    kind: LogKind,
    heads: &[&Head],
) -> Vec<&'c ColumnMapping> {
    let mappings = campaign.columns.iter().enumerate();
    let of_kind = mappings.filter(|(_, mapping)| mapping.log == kind);
    let unmatched =
        of_kind.filter(|(position, _)| heads.iter().all(|head| head.mapping != Some(*position)));
    unmatched.map(|(_, mapping)| mapping).collect()
}

/// The fault of a heading of the user's own that no log of its kind has.
pub(super) fn not_found(campaign: &Campaign, mapping: &ColumnMapping, heads: &[&Head]) -> Error {
    let place = Place::new(&campaign.file, mapping.line);
    let (heading, log) = (&mapping.heading, mapping.log.key());
    let message = format!("no heading `{heading}` in the {log} log, which {place} asks for");
    let headings: Vec<&str> = heads.iter().map(|head| head.heading.as_str()).collect();
    let near = nearest_heading(heading, &headings);
    let hint = format!(
        "headings found: {}; the unit part of a heading may be left out",
        listed(&headings)
    );
    let cause = Cause::Things(format!("heading that the {log} log lacks"));
    let fault = place
        .fault(ErrorKind::MissingColumn, message, "")
        .in_column(heading);
    fault.alike(cause, Some(heading)).near(near, hint)
}

/// Headings that are listed; the others are counted.
const MOST_LISTED: usize = 24;

fn listed(headings: &[&str]) -> String {
    let told = headings.iter().take(MOST_LISTED);
    let told: Vec<String> = told.map(|heading| format!("`{heading}`")).collect();
    let more = match headings.len().saturating_sub(MOST_LISTED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    told.join(", ") + &more
}

/// The heading most like a name, its unit aside, where one is near enough to be meant.
fn nearest_heading<'h>(name: &str, headings: &[&'h str]) -> Option<&'h str> {
    let plain = |text: &str| folded(split_unit(text).0).replace('-', "");
    let bare: Vec<String> = headings.iter().map(|heading| plain(heading)).collect();
    let near = nearest(&plain(name), bare.iter().map(String::as_str))?;
    let place = bare.iter().position(|bare| bare == near)?;
    headings.get(place).copied()
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
    match nearest_heading(name, headings) {
        Some(near) => format!(
            "did you mean `{near}`? own headings go under `[columns.{key}]`: `{name} = {{ heading = \"{near}\" }}`"
        ),
        None => format!(
            "headings found: {}; own headings go under `[columns.{key}]`: `{name} = {{ heading = \"...\" }}`",
            listed(headings)
        ),
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
