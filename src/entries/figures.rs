//! Entries side by side with others of their kind.
//!
//! In: a campaign and its logs. Out: [`Figure`]s, one for each number that has neighbours.
//! This module never judges a figure.

use std::collections::BTreeMap;

use super::rules::Kind;
use crate::campaign::{Campaign, FactorKind, StandsFor};
use crate::caveat::Part;
use crate::error::Place;
use crate::intake::{Logged, LoggedNumber, RunRow, TitrantStrength};
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

/// What is known of the run of a figure.
#[derive(Clone, Copy, Default)]
struct OfRun<'a> {
    feed: Option<f64>,
    crops: Option<f64>,
    route: Option<&'a str>,
}

/// All numbers that have neighbours; those of runs set aside are left out.
pub(super) fn figures<'a>(
    campaign: &Campaign,
    logged: &'a Logged,
    titrants: &'a [TitrantResult],
) -> Vec<Figure<'a>> {
    let mut of_runs = of_runs(campaign, logged);
    let mut all = Collected::default();
    for row in logged
        .runs
        .rows
        .iter()
        .filter(|row| row.set_aside.is_none())
    {
        all.of_run(row, of_runs[row.run.as_str()]);
    }
    let rows = logged.runs.rows.iter();
    for row in rows.filter(|row| row.set_aside.is_some()) {
        of_runs.remove(row.run.as_str());
    }
    for row in &logged.crops {
        let Some(of_run) = of_runs.get(row.run.as_str()) else {
            continue;
        };
        let column = format!("crop{}_mass", row.crop);
        let part = Some(Part::Crop(row.crop));
        let figure = all.add(&row.place, column, Kind::Crop, Some(row.mass));
        figure.of_run(&row.run, of_run, part, &row.crop.to_string());
        let moisture = all.add(&row.place, "moisture", Kind::Share, row.moisture);
        moisture.of_run(&row.run, of_run, None, "moisture");
        let volume = all.add(
            &row.place,
            "liquor_volume",
            Kind::LiquorVolume,
            row.liquor_volume,
        );
        volume.of_run(&row.run, of_run, None, &row.crop.to_string());
        let warmth = all.add(&row.place, "temperature", Kind::Warmth, row.temperature);
        warmth.of_run(&row.run, of_run, None, &row.crop.to_string());
    }
    for row in &logged.residues {
        let Some(of_run) = of_runs.get(row.run.as_str()) else {
            continue;
        };
        let figure = all.add(&row.place, "residue_mass", Kind::Residue, Some(row.mass));
        figure.of_run(&row.run, of_run, Some(Part::Residue), "");
        let figure = all.add(&row.place, "residue_assay", Kind::ResidueAssay, row.assay);
        figure.of_run(&row.run, of_run, Some(Part::ResidueAssay), "");
    }
    for row in &logged.titres {
        let blank = all.add(&row.place, "blank", Kind::Blank, row.blank);
        if let Some(of_run) = of_runs.get(row.run.as_str()) {
            blank.of_run(&row.run, of_run, None, "");
        }
    }
    for curve in &logged.heating {
        let Some(of_run) = of_runs.get(curve.run.as_str()) else {
            continue;
        };
        let heating = &curve.heating;
        let peak = Some(plain(heating.peak_temperature));
        let figure = all.add(&curve.place, "temperature", Kind::Warmth, peak);
        figure.of_run(&curve.run, of_run, None, "peak");
        let rate = heating.heating_rate.map(plain);
        let figure = all.add(&curve.place, "time", Kind::Own, rate);
        figure.of_run(&curve.run, of_run, None, "heating rate");
        let soak = heating.soak_time.map(plain);
        let figure = all.add(&curve.place, "time", Kind::Own, soak);
        figure.of_run(&curve.run, of_run, None, "soak");
    }
    for row in &logged.lots {
        all.add(&row.place, "assay", Kind::LotAssay, row.assay);
    }
    for titrant in titrants {
        for row in &titrant.rows {
            let strength = Some(plain(row.concentration.value()));
            let figure = all.add(&row.place, "concentration", Kind::Strength, strength);
            figure.of(&titrant.titrant);
        }
    }
    for row in &logged.titrants {
        if let TitrantStrength::Standardised { blank, .. } = &row.strength {
            all.add(&row.place, "blank", Kind::Blank, *blank);
        }
    }
    own_columns(campaign, logged, &of_runs, &mut all);
    all.figures
}

/// Feed, crops and route of each run.
fn of_runs<'a>(campaign: &Campaign, logged: &'a Logged) -> BTreeMap<&'a str, OfRun<'a>> {
    let route = campaign.factor_for(StandsFor::Route);
    let route = route.map(|plan| plan.column());
    let route = route.and_then(|name| logged.runs.column(name));
    let mut crops: BTreeMap<&str, f64> = BTreeMap::new();
    for row in &logged.crops {
        *crops.entry(&row.run).or_default() += row.mass.value;
    }
    let rows = logged.runs.rows.iter().enumerate();
    rows.map(|(position, row)| {
        let flat = row.crops.iter().filter_map(|crop| crop.mass);
        let flat: f64 = flat.map(|mass| mass.value).sum();
        let mass = crops.get(row.run.as_str()).copied().unwrap_or_default() + flat;
        let of_run = OfRun {
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
        let range = match &plan.kind {
            FactorKind::Amount { low, high, .. } => low.zip(*high),
            FactorKind::Choice { .. } => None,
        };
        (plan.column(), None, range)
    });
    let responses = campaign.responses.iter();
    let responses = responses.map(|plan| (plan.column.as_str(), Some(Kind::Own), None));
    let reagents = campaign.prices.iter().flat_map(|prices| &prices.other);
    let reagents = reagents.map(|other| (other.column.as_str(), Some(Kind::Reagent), None));
    for (name, of, range) in factors.chain(responses).chain(reagents) {
        let Some(column) = logged.runs.column(name) else {
            continue;
        };
        let unit = column.unit.as_deref().and_then(Unit::named);
        let of_unit = match unit.map(|unit| unit.dimension) {
            Some(Dimension::Temperature) => Kind::Warmth,
            Some(Dimension::Fraction) => Kind::Share,
            _ => Kind::Own,
        };
        let numbers = (0..logged.runs.rows.len())
            .map(|position| column.number(campaign, position, None).ok().flatten());
        let numbers: Vec<Option<f64>> = numbers.collect();
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
            let figure = all.add(&row.place, name, of.unwrap_or(of_unit), Some(plain(value)));
            figure.of_run(&row.run, of_run, None, name);
            if let (None, Some(figure)) = (of, all.figures.last_mut()) {
                figure.is_factor = true;
                figure.is_setting = twice || within;
            }
        }
    }
}

fn plain(value: f64) -> LoggedNumber {
    LoggedNumber::plain(value)
}

#[derive(Default)]
struct Collected<'a> {
    figures: Vec<Figure<'a>>,
}

/// The figure added last, to be completed; none where there was no number above zero, for which there is no ratio to others.
struct Added<'f, 'a>(Option<&'f mut Figure<'a>>);

impl<'a> Collected<'a> {
    fn add(
        &mut self,
        place: &'a Place,
        column: impl Into<String>,
        kind: Kind,
        number: Option<LoggedNumber>,
    ) -> Added<'_, 'a> {
        let number = number.filter(|number| kind.on_scale(number.value).is_some());
        let Some(number) = number else {
            return Added(None);
        };
        self.figures.push(Figure {
            place,
            column: column.into(),
            kind,
            of: String::new(),
            run: None,
            part: None,
            value: number.value,
            batch: None,
            route: None,
            is_factor: false,
            is_setting: false,
            uncertainty: number.uncertainty,
        });
        Added(self.figures.last_mut())
    }

    fn of_run(&mut self, row: &'a RunRow, of_run: OfRun<'a>) {
        let numbers = [
            ("feed_mass", Kind::Feed, row.feed_mass, Part::Feed),
            (
                "feed_assay",
                Kind::FeedAssay,
                row.feed_assay,
                Part::FeedAssay,
            ),
            (
                "oxidant_mass",
                Kind::Oxidant,
                row.oxidant_mass,
                Part::Oxidant,
            ),
            (
                "residue_mass",
                Kind::ResidueCharged,
                row.residue_mass,
                Part::Charged,
            ),
            (
                "residue_assay",
                Kind::ResidueChargedAssay,
                row.residue_assay,
                Part::Charged,
            ),
            ("labour", Kind::Labour, row.labour, Part::Labour),
            (
                "liquor_volume",
                Kind::LiquorVolume,
                row.liquor_volume,
                Part::Liquor,
            ),
            (
                "liquor_conc",
                Kind::LiquorStrength,
                row.liquor_conc,
                Part::Liquor,
            ),
            ("purity", Kind::Purity, row.purity, Part::Purity),
        ];
        for (column, kind, number, part) in numbers {
            let figure = self.add(&row.place, column, kind, number);
            figure.of_run(&row.run, &of_run, Some(part), "");
        }
        for crop in &row.crops {
            let number = crop.crop;
            let of = number.to_string();
            let column = format!("crop{number}_mass");
            let figure = self.add(&row.place, column, Kind::Crop, crop.mass);
            figure.of_run(&row.run, &of_run, Some(Part::Crop(number)), &of);
            let column = format!("purity{number}");
            let figure = self.add(&row.place, column, Kind::Purity, crop.purity);
            figure.of_run(&row.run, &of_run, Some(Part::Purity), &of);
        }
    }
}

impl<'a> Added<'_, 'a> {
    fn of(self, of: &str) {
        if let Some(figure) = self.0 {
            figure.of = of.to_string();
        }
    }

    fn of_run(self, run: &'a str, of_run: &OfRun<'a>, part: Option<Part>, of: &str) {
        let Some(figure) = self.0 else {
            return;
        };
        figure.run = Some(run);
        figure.part = part;
        figure.of = of.to_string();
        (figure.batch, figure.route) = match figure.kind {
            Kind::Feed => (of_run.crops, of_run.route),
            Kind::Crop | Kind::Residue | Kind::LiquorVolume => (of_run.feed, of_run.route),
            Kind::Oxidant | Kind::ResidueCharged => (of_run.feed, None),
            Kind::LiquorStrength | Kind::Warmth => (None, of_run.route),
            Kind::Reagent => (of_run.feed, of_run.route),
            _ => (None, None),
        };
    }
}
