//! Which column a heading names, and in which unit.
//!
//! In: a heading of a log and the user's own headings. Out: [`Head`].
//! This module never reads a cell.

use super::columns::{Holds, holds, known};
use crate::campaign::{Campaign, ColumnMapping, LogKind, nearest};
use crate::error::{Error, ErrorKind};
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

/// Reads one heading of a log; a unit that does not fit its column is a fault, and the column is there all the same.
pub(super) fn head(
    campaign: &Campaign,
    kind: LogKind,
    file: &str,
    heading: &str,
    faults: &mut Vec<Error>,
) -> Head {
    let heading = heading.trim();
    let (bare, written_unit) = split_unit(heading);
    let mapping = campaign
        .columns
        .iter()
        .enumerate()
        .find(|(_, m)| m.log == kind && (m.heading == heading || m.heading == bare));
    let (full_name, unit_text) = match mapping {
        Some((_, mapping)) => {
            let unit = mapping.unit.clone().or(written_unit.map(str::to_string));
            (mapping.name.clone(), unit)
        }
        None => named(campaign, kind, heading, bare, written_unit),
    };
    let holds = holds(kind, full_name.strip_prefix("u_").unwrap_or(&full_name));
    let unit = unit_of(holds, unit_text.as_deref()).unwrap_or_else(|dimension| {
        let unit = unit_text.clone().unwrap_or_default();
        faults.push(
            Error::new(
                ErrorKind::MissingColumn,
                format!("column `{heading}` in `{file}` has a unit that does not fit: `{unit}`"),
            )
            .in_file(file)
            .in_column(heading)
            .hint(format!(
                "units that fit: {}",
                dimension.unit_names().join(", ")
            )),
        );
        None
    });
    Head {
        heading: heading.to_string(),
        name: full_name,
        holds,
        unit_text,
        unit,
        mapping: mapping.map(|(position, _)| position),
    }
}

fn unit_of(holds: Option<Holds>, text: Option<&str>) -> Result<Option<Unit>, Dimension> {
    let Some(text) = text else {
        return Ok(None);
    };
    match holds {
        Some(Holds::Number(dimension)) => Unit::of(text, dimension).map(Some).ok_or(dimension),
        Some(Holds::Moment) => Unit::of(text, Dimension::Time)
            .map(Some)
            .ok_or(Dimension::Time),
        _ => Ok(Unit::named(text)),
    }
}

/// The name of a heading without a mapping; a unit is cut off only where the rest is a name that is known.
fn named(
    campaign: &Campaign,
    kind: LogKind,
    heading: &str,
    bare: &str,
    written_unit: Option<&str>,
) -> (String, Option<String>) {
    let is_known = |name: &str| {
        let plain = name.strip_prefix("u_").unwrap_or(name);
        holds(kind, plain).is_some()
    };
    let is_own = |name: &str| {
        let plain = name.strip_prefix("u_").unwrap_or(name);
        kind == LogKind::Runs
            && (campaign
                .factors
                .iter()
                .any(|f| f.column.as_deref().unwrap_or(&f.name) == plain)
                || campaign.responses.iter().any(|r| r.column == plain)
                || campaign
                    .prices
                    .iter()
                    .flat_map(|p| &p.other)
                    .any(|o| o.column == plain))
    };
    if is_known(heading) || is_own(heading) {
        return (heading.to_string(), None);
    }
    if let Some(unit) = written_unit {
        if is_known(bare) || is_own(bare) {
            return (bare.to_string(), Some(unit.to_string()));
        }
        return (heading.to_string(), Some(unit.to_string()));
    }
    if let Some((name, suffix)) = heading.rsplit_once('_')
        && is_known(name)
    {
        let plain = name.strip_prefix("u_").unwrap_or(name);
        let fits = match holds(kind, plain) {
            Some(Holds::Number(dimension)) => Unit::of(suffix, dimension).is_some(),
            Some(Holds::Moment) => Unit::of(suffix, Dimension::Time).is_some(),
            _ => false,
        };
        if fits {
            return (name.to_string(), Some(suffix.to_string()));
        }
    }
    (heading.to_string(), None)
}

/// Reports the user's own headings that no log of their kind has.
pub(super) fn report_unmatched(
    campaign: &Campaign,
    kind: LogKind,
    used: &[usize],
    stops: &mut Vec<Error>,
) {
    for (position, mapping) in campaign.columns.iter().enumerate() {
        if mapping.log == kind && !used.contains(&position) {
            stops.push(unmatched(campaign, mapping));
        }
    }
}

/// Reports the user's own headings of a log that the campaign does not name.
pub(super) fn report_without_log(campaign: &Campaign, kind: LogKind, stops: &mut Vec<Error>) {
    if campaign.logs.files.iter().any(|log| log.kind == kind) {
        return;
    }
    let key = kind.key();
    for mapping in campaign.columns.iter().filter(|m| m.log == kind) {
        stops.push(
            Error::new(
                ErrorKind::MissingColumn,
                format!(
                    "`{}` line {} gives a heading of the {key} log, and `[logs]` names no such log: `{}`",
                    campaign.file, mapping.line, mapping.heading
                ),
            )
            .at(&campaign.file, mapping.line, &mapping.heading)
            .hint(format!(
                "add `{key} = \"{key}.csv\"` to `[logs]`, or take `[columns.{key}]` out"
            )),
        );
    }
}

fn unmatched(campaign: &Campaign, mapping: &ColumnMapping) -> Error {
    Error::new(
        ErrorKind::MissingColumn,
        format!(
            "no heading `{}` in the {} log, which `{}` line {} asks for",
            mapping.heading,
            mapping.log.key(),
            campaign.file,
            mapping.line
        ),
    )
    .at(&campaign.file, mapping.line, &mapping.heading)
    .hint("copy the heading from the log letter by letter; its unit part may be left out")
}

/// A hint for a column that is needed and missing.
pub(super) fn hint_for_missing(kind: LogKind, name: &str, headings: &[&str]) -> String {
    let near = nearest(name, headings.iter().copied());
    match near {
        Some(near) => format!(
            "did you mean `{near}`? own headings go under `[columns.{}]`: `{name} = {{ heading = \"{near}\" }}`",
            kind.key()
        ),
        None => {
            let names: Vec<&str> = known(kind).iter().map(|column| column.name).collect();
            format!(
                "columns of this log: {}; own headings go under `[columns.{}]`",
                names.join(", "),
                kind.key()
            )
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
