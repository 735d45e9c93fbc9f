//! Headings of a log: which column each names, and in which unit.
//!
//! In: a heading of a log and the user's own headings. Out: [`Head`].
//! This module never reads a cell.

use super::columns::{Holds, holds, known};
use super::heading_units::{Cut, UnitSaid, cut, is_same, is_unit, said};
use crate::campaign::{
    AsAbove, Campaign, ColumnMapping, LogKind, PriceUnit, did_you_mean, folded, nearest,
};
use crate::chemistry::Formula;
use crate::error::{Cause, Error, ErrorKind, Place};
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
    /// Whether the heading is that of the column but for case, blanks, apostrophes or dashes.
    pub nearly: bool,
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
    let mapped = |is: fn(&str, &str) -> bool| {
        let mut mappings = campaign.columns.iter().enumerate();
        let texts = [heading, cut.name];
        mappings.find(|(_, m)| m.log == kind && texts.iter().any(|text| is(&m.heading, text)))
    };
    let of_mapping = |(position, mapping): (usize, &ColumnMapping)| Meant {
        mapping: Some(position),
        name: mapping.name.clone(),
        unit: mapping.unit.clone().or(cut.unit.map(str::to_string)),
    };
    let is_it = |name: &str| is_name(campaign, kind, name).then(|| name.to_string());
    let sought = |is: fn(&str, &str) -> bool, name_of: &dyn Fn(&str) -> Option<String>| {
        let mapped = mapped(is).map(of_mapping);
        mapped.or_else(|| named(campaign, kind, heading, cut, name_of))
    };
    let exact = sought(|own, text| own == text, &is_it);
    let is_exact = exact.is_some();
    let near = |text: &str| near_name(campaign, kind, text);
    let found = exact.or_else(|| sought(|own, text| folded(own) == folded(text), &near));
    let nearly = found.is_some() && !is_exact;
    let Meant {
        mapping,
        name,
        unit: unit_text,
    } = found.unwrap_or_else(|| Meant {
        mapping: None,
        name: heading.to_string(),
        unit: cut.unit.filter(|_| !cut.is_loose).map(str::to_string),
    });
    let mapping = mapping.map(|position| (position, &campaign.columns[position]));
    let unit_text = unit_text.as_deref();
    let holds = holds(kind, &name);
    let (said, misfit) = match said(campaign, &name, holds, unit_text, cut) {
        Ok(said) => (said, None),
        Err(hint) => (UnitSaid::default(), Some(hint)),
    };
    let two = mapping.and_then(|(_, mapping)| two_units(campaign, mapping, file, heading, cut));
    let fault = two.or(misfit.map(|hint| {
        let text = unit_text.unwrap_or(heading);
        let message =
            format!("column `{heading}` in `{file}` has a unit that does not fit: `{text}`");
        fault(heading, message, hint)
    }));
    let head = Head {
        heading: heading.to_string(),
        name,
        holds,
        unit_text: unit_text.map(str::to_string),
        unit: said.unit,
        formula: said.formula,
        price: said.price,
        empty: mapping.and_then(|(_, mapping)| {
            let empty = mapping.empty?;
            Some(said.unit.map_or(empty, |unit| unit.to_base(empty)))
        }),
        mapping: mapping.map(|(position, _)| position),
        nearly,
    };
    (head, fault)
}

fn fault(heading: &str, message: String, hint: String) -> Error {
    let fault = Error::new(ErrorKind::Heading, message);
    fault.in_column(heading).hint(hint)
}

/// The fault of a heading and its mapping that give one column two units.
fn two_units(
    campaign: &Campaign,
    mapping: &ColumnMapping,
    file: &str,
    heading: &str,
    cut: Cut,
) -> Option<Error> {
    let (written, given) = (cut.unit?, mapping.unit.as_deref()?);
    // What stands behind a heading that is given whole may be no unit at all.
    let may_be_name = cut.is_loose || !is_unit(campaign, written);
    let is_name = may_be_name && folded(&mapping.heading) == folded(heading);
    if is_same(campaign, written, given) || is_name {
        return None;
    }
    let message = format!(
        "column `{heading}` in `{file}` has two units: `{written}` in its heading, `{given}` on line {} in `{}`",
        mapping.line, campaign.file
    );
    let hint = format!(
        "leave out the one that is wrong: `unit = \"{given}\"` or the `{written}` in the heading"
    );
    Some(self::fault(heading, message, hint))
}

/// What a heading names.
struct Meant {
    /// Position of the mapping that says so.
    mapping: Option<usize>,
    name: String,
    unit: Option<String>,
}

/// Whether a heading names anything: a column of the design, one that the campaign file names, or one of its own headings.
pub(super) fn is_known(campaign: &Campaign, kind: LogKind, heading: &str) -> bool {
    let (head, _) = head(campaign, kind, "", heading);
    head.mapping.is_some() || is_name(campaign, kind, &head.name)
}

/// Whether a name is that of a column of the design, or one that the campaign file names, or of a `u_` partner of one.
fn is_name(campaign: &Campaign, kind: LogKind, name: &str) -> bool {
    let of_column = name.strip_prefix("u_").unwrap_or(name);
    holds(kind, name).is_some() || campaign_names(campaign, kind).contains(&of_column)
}

/// What a heading without a mapping names, where `name_of` knows it; a unit is cut off only where the rest is a name that is
/// known, and one that nothing but its text shows only where it fits.
fn named(
    campaign: &Campaign,
    kind: LogKind,
    heading: &str,
    cut: Cut,
    name_of: impl Fn(&str) -> Option<String>,
) -> Option<Meant> {
    let meant = |name: String, unit: Option<&str>| Meant {
        mapping: None,
        name,
        unit: unit.map(str::to_string),
    };
    if let Some(name) = name_of(heading) {
        return Some(meant(name, None));
    }
    if cut.unit.is_some()
        && let Some(name) = name_of(cut.name)
    {
        let holds = holds(kind, &name);
        let fits = || said(campaign, &name, holds, cut.unit, cut).is_ok();
        if !cut.is_loose || !holds.is_some_and(Holds::is_text) && fits() {
            return Some(meant(name, cut.unit));
        }
    }
    // `mass_g`
    let (front, suffix) = heading.rsplit_once('_')?;
    let name = name_of(front)?;
    let dimension = holds(kind, &name).and_then(Holds::dimension)?;
    Unit::of(suffix, dimension).map(|_| meant(name, Some(suffix)))
}

/// The known name that a text is but for its spelling.
fn near_name(campaign: &Campaign, kind: LogKind, text: &str) -> Option<String> {
    let wanted = folded(text);
    let is_it = |name: &&str| folded(name) == wanted || folded(&format!("u_{name}")) == wanted;
    let of_design = known(kind).map(|column| column.name);
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
    let priced = campaign.reagents().map(|price| price.column.as_str());
    let burnt = campaign.burnt().map(|of| of.column.as_str());
    let followed = campaign.impurities.iter().map(|of| of.name.as_str());
    let second = campaign.second.iter().map(|of| of.assay.as_str());
    let products = campaign.second.iter();
    let products = products.flat_map(|of| [of.mass_column.as_str(), of.purity_column.as_str()]);
    match kind {
        LogKind::Runs => {
            let own = factors.chain(responses).chain(priced);
            own.chain(products).collect()
        }
        LogKind::Lots => burnt.chain(second).collect(),
        LogKind::Crops => followed.collect(),
        LogKind::Residues => followed.chain(second).collect(),
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
    let fault = place.fault(ErrorKind::MissingColumn, message, "");
    let fault = fault.in_column(heading);
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
    let plain =
        |text: &str| folded(cut(text, |text| Unit::named(text).is_some()).name).replace('-', "");
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
        let hint = did_you_mean(column, names)
            .unwrap_or_else(|| "name a column, or copy its heading letter by letter".into());
        stops.push(place.fault(ErrorKind::MissingColumn, message, hint));
    }
}

/// A hint for a column that is needed and missing.
pub(super) fn hint_for_missing(kind: LogKind, name: &str, headings: &[&str]) -> String {
    let key = kind.key();
    // The uncertainty of a column never stands for the column.
    let mut candidates = headings.to_vec();
    candidates.retain(|heading| !heading.starts_with("u_"));
    match nearest_heading(name, &candidates) {
        Some(near) => format!(
            "did you mean `{near}`? own headings go under `[columns.{key}]`: `{name} = {{ heading = \"{near}\" }}`"
        ),
        None => format!(
            "headings found: {}; own headings go under `[columns.{key}]`: `{name} = {{ heading = \"...\" }}`",
            listed(headings)
        ),
    }
}
