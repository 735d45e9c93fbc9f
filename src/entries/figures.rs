//! Entries side by side with others of their kind.
//!
//! In: a campaign and its logs. Out: [`Figure`]s, one for each number that has neighbours.
//! This module never judges a figure.

use std::collections::BTreeMap;

use super::rules::Kind;
use crate::campaign::{Campaign, StandsFor};
use crate::caveat::Part;
use crate::error::Place;
use crate::intake::{Logged, LoggedNumber, TitrantStrength};
use crate::runs::TitrantResult;
use crate::units::{Dimension, Unit};

/// One number of a log.
#[derive(Debug, Clone)]
pub(super) struct Figure<'a> {
    pub place: &'a Place,
    /// Its column as `[check] accept` names it.
    pub column: String,
    pub kind: Kind,
    /// What sets it apart from others of its kind: the number of a crop, a titrant, what was titrated.
    pub of: String,
    pub run: Option<&'a str>,
    /// What is withheld with it.
    pub part: Option<Part>,
    /// In the base unit.
    pub value: f64,
    /// What grows with it: the feed of its run, or of a feed the crops.
    pub batch: Option<f64>,
    /// The route of its run.
    pub route: Option<&'a str>,
    /// Whether it is the setting of a factor.
    pub is_factor: bool,
    /// Whether it stands in several runs or within the declared range, so that it is meant.
    pub is_setting: bool,
    /// Its standard uncertainty, where the log states one.
    pub uncertainty: Option<f64>,
}

/// The run of a figure, and what is known of it.
#[derive(Clone, Copy, Default)]
struct OfRun<'a> {
    run: Option<&'a str>,
    feed: Option<f64>,
    crops: Option<f64>,
    route: Option<&'a str>,
}

/// Where a number stands, and the run that it belongs to.
type At<'a> = (&'a Place, OfRun<'a>);

/// Kinds of numbers that stand in the row of a run.
const OF_RUNS: [Kind; 11] = [
    Kind::Feed,
    Kind::FeedAssay,
    Kind::Oxidant,
    Kind::ResidueCharged,
    Kind::ResidueChargedAssay,
    Kind::LiquorCharged,
    Kind::LiquorChargedStrength,
    Kind::Labour,
    Kind::LiquorVolume,
    Kind::LiquorStrength,
    Kind::Purity,
];

/// All numbers that have neighbours; those of runs set aside are left out.
pub(super) fn figures<'a>(
    campaign: &Campaign,
    logged: &'a Logged,
    titrants: &'a [TitrantResult],
) -> Vec<Figure<'a>> {
    let of_runs = of_runs(campaign, logged);
    let at = |place: &'a Place, run: &str| Some((place, *of_runs.get(run)?));
    let alone = |place: &'a Place| (place, OfRun::default());
    let mut all = Collected::default();
    for row in &logged.runs.rows {
        let Some(at) = at(&row.place, &row.run) else {
            continue;
        };
        for kind in OF_RUNS {
            all.add(at, kind, "", row.number(&kind.column("")));
        }
        for crop in &row.crops {
            let of = crop.crop.to_string();
            all.add(at, Kind::Crop, &of, crop.mass);
            all.add(at, Kind::Purity, &of, crop.purity);
        }
    }
    for row in &logged.crops {
        let (Some(at), of) = (at(&row.place, &row.run), row.crop.to_string()) else {
            continue;
        };
        all.add(at, Kind::Crop, &of, Some(row.mass));
        all.add(at, Kind::Share, "moisture", row.moist());
        all.add(at, Kind::LiquorVolume, &of, row.liquor_volume);
        all.add_as("temperature", at, Kind::Warmth, &of, row.temperature);
    }
    for row in &logged.residues {
        if let Some(at) = at(&row.place, &row.run) {
            all.add(at, Kind::Residue, "", Some(row.mass));
            all.add(at, Kind::ResidueAssay, "", row.assay);
        }
    }
    for row in &logged.titres {
        let at = at(&row.place, &row.run).unwrap_or(alone(&row.place));
        all.add(at, Kind::Blank, "", row.blank);
    }
    for row in &logged.blanks {
        all.add_as("titre", alone(&row.place), Kind::Blank, "", Some(row.titre));
    }
    let plain = LoggedNumber::plain;
    for curve in &logged.heating {
        if let Some(at) = at(&curve.place, &curve.run) {
            let heating = &curve.heating;
            let peak = Some(plain(heating.peak_temperature));
            all.add_as("temperature", at, Kind::Warmth, "peak", peak);
            let rate = heating.heating_rate.map(plain);
            all.add_as("time", at, Kind::Own, "heating rate", rate);
            let soak = heating.soak_time.map(plain);
            all.add_as("time", at, Kind::Own, "soak", soak);
        }
    }
    for row in &logged.lots {
        all.add(alone(&row.place), Kind::LotAssay, "", row.assay);
    }
    for titrant in titrants {
        for row in &titrant.rows {
            let strength = Some(plain(row.concentration.value()));
            let of = &titrant.titrant;
            all.add(alone(&row.place), Kind::Strength, of, strength);
        }
    }
    for row in &logged.titrants {
        if let TitrantStrength::Standardised { blank, .. } = &row.strength {
            all.add(alone(&row.place), Kind::Blank, "", *blank);
        }
    }
    own_columns(campaign, logged, &of_runs, &mut all);
    all.0
}

/// Feed, crops and route of each run that is not set aside.
fn of_runs<'a>(campaign: &Campaign, logged: &'a Logged) -> BTreeMap<&'a str, OfRun<'a>> {
    let route = campaign.factor_for(StandsFor::Route);
    let route = route.and_then(|plan| logged.runs.column(plan.column()));
    let mut crops: BTreeMap<&str, f64> = BTreeMap::new();
    for row in &logged.crops {
        *crops.entry(&row.run).or_default() += row.mass.value;
    }
    let rows = logged.runs.rows.iter().enumerate();
    let rows = rows.filter(|(_, row)| row.set_aside.is_none());
    rows.map(|(position, row)| {
        let flat = row.crops.iter().filter_map(|crop| crop.mass);
        let flat: f64 = flat.map(|mass| mass.value).sum();
        let mass = crops.get(row.run.as_str()).copied().unwrap_or_default() + flat;
        let of_run = OfRun {
            run: Some(&row.run),
            feed: row.feed_mass.map(|mass| mass.value),
            crops: Some(mass).filter(|mass| *mass > 0.0),
            route: route.and_then(|column| column.cells[position].as_deref()),
        };
        (row.run.as_str(), of_run)
    })
    .collect()
}

/// Columns of the user's own that are factors, responses or reagents, with numbers.
fn own_columns<'a>(
    campaign: &Campaign,
    logged: &'a Logged,
    of_runs: &BTreeMap<&'a str, OfRun<'a>>,
    all: &mut Collected<'a>,
) {
    let factors = campaign.factors.iter().map(|plan| {
        let [low, high] = plan.limits();
        (plan.column(), None, low.zip(high))
    });
    let responses = campaign.responses.iter();
    let responses = responses.map(|plan| (plan.column.as_str(), Some(Kind::Own), None));
    let reagents = campaign.reagents();
    let reagents = reagents.map(|other| (other.column.as_str(), Some(Kind::Reagent), None));
    let second = campaign.second.iter();
    let second = second.map(|of| (of.mass_column.as_str(), Some(Kind::Own), None));
    for (name, of, range) in factors.chain(responses).chain(reagents).chain(second) {
        let Some(column) = logged.runs.column(name) else {
            continue;
        };
        let unit = column.unit.as_deref().and_then(Unit::named);
        let of_unit = match unit.map(|unit| unit.dimension) {
            Some(Dimension::Temperature) => Kind::Warmth,
            Some(Dimension::Fraction) => Kind::Share,
            _ => Kind::Own,
        };
        let number = |position| column.number(campaign, position, None).ok().flatten();
        let numbers: Vec<Option<f64>> = (0..logged.runs.rows.len()).map(number).collect();
        let mut stands: BTreeMap<u64, usize> = BTreeMap::new();
        for value in numbers.iter().flatten() {
            *stands.entry(value.to_bits()).or_default() += 1;
        }
        for (row, number) in logged.runs.rows.iter().zip(&numbers) {
            let Some((value, of_run)) = number.zip(of_runs.get(row.run.as_str())) else {
                continue;
            };
            // What stands twice is a setting, and what lies within the declared range is one too.
            let twice = stands[&value.to_bits()] > 1;
            let within = range.is_some_and(|(low, high)| (low..=high).contains(&value));
            let (at, kind) = ((&row.place, *of_run), of.unwrap_or(of_unit));
            let figure = all.add_as(name, at, kind, name, Some(LoggedNumber::plain(value)));
            if let (None, Some(figure)) = (of, figure) {
                figure.is_factor = true;
                figure.is_setting = twice || within;
            }
        }
    }
}

#[derive(Default)]
struct Collected<'a>(Vec<Figure<'a>>);

impl<'a> Collected<'a> {
    fn add(&mut self, at: At<'a>, kind: Kind, of: &str, number: Option<LoggedNumber>) {
        self.add_as(&kind.column(of), at, kind, of, number);
    }

    /// Adds a number under a name of its column; none that is not above zero, for which there is no ratio to others.
    fn add_as(
        &mut self,
        column: &str,
        (place, run): At<'a>,
        kind: Kind,
        of: &str,
        number: Option<LoggedNumber>,
    ) -> Option<&mut Figure<'a>> {
        let number = number.filter(|number| kind.on_scale(number.value).is_some())?;
        let (batch, route) = match kind {
            Kind::Feed => (run.crops, run.route),
            Kind::Crop | Kind::Residue | Kind::LiquorVolume | Kind::Reagent => {
                (run.feed, run.route)
            }
            Kind::Oxidant | Kind::ResidueCharged | Kind::LiquorCharged => (run.feed, None),
            Kind::LiquorStrength | Kind::LiquorChargedStrength | Kind::Warmth => (None, run.route),
            _ => (None, None),
        };
        self.0.push(Figure {
            place,
            column: column.to_string(),
            kind,
            of: of.to_string(),
            run: run.run,
            part: run.run.and_then(|_| kind.part(of)),
            value: number.value,
            batch,
            route,
            is_factor: false,
            is_setting: false,
            uncertainty: number.uncertainty,
        });
        self.0.last_mut()
    }
}
