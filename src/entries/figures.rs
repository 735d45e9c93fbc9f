//! Entries side by side with others of their kind.
//!
//! In: a campaign and its logs. Out: [`Figure`]s, one for each number that has neighbours.
//! This module never judges a figure.

use std::collections::BTreeMap;

use super::rules::Kind;
use crate::campaign::{Campaign, StandsFor};
use crate::caveat::Part;
use crate::error::Place;
use crate::intake::{Logged, LoggedNumber, RunRow, TitrantStrength, TitreOf};
use crate::runs::TitrantResult;

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
    of_runs.retain(|run, _| {
        let mut rows = logged.runs.rows.iter();
        rows.any(|row| row.run == *run && row.set_aside.is_none())
    });
    for row in &logged.crops {
        let Some(of_run) = of_runs.get(row.run.as_str()) else {
            continue;
        };
        let column = format!("crop{}_mass", row.crop);
        let part = Some(Part::Crop(row.crop));
        let figure = all.add(&row.place, column, Kind::Crop, Some(row.mass));
        figure.is_of(&row.run, of_run, part, &row.crop.to_string());
    }
    for row in &logged.residues {
        let Some(of_run) = of_runs.get(row.run.as_str()) else {
            continue;
        };
        let figure = all.add(&row.place, "residue_mass", Kind::Residue, Some(row.mass));
        figure.is_of(&row.run, of_run, Some(Part::Residue), "");
        let figure = all.add(&row.place, "residue_assay", Kind::ResidueAssay, row.assay);
        figure.is_of(&row.run, of_run, Some(Part::ResidueAssay), "");
    }
    for row in &logged.titres {
        let Some(of_run) = of_runs.get(row.run.as_str()) else {
            continue;
        };
        let of = match row.of {
            TitreOf::Crop(_) => "crop",
            TitreOf::Residue => "residue",
            TitreOf::Feed => "feed",
        };
        let numbers = [
            ("sample_mass", Kind::Sample, Some(row.sample_mass)),
            ("aliquot", Kind::Aliquot, row.aliquot),
            ("dilution", Kind::Dilution, row.dilution),
        ];
        for (column, kind, number) in numbers {
            let figure = all.add(&row.place, column, kind, number);
            figure.is_of(&row.run, of_run, None, of);
        }
        let blank = all.add(&row.place, "blank", Kind::Blank, row.blank);
        blank.is_of(&row.run, of_run, None, "");
    }
    for row in &logged.lots {
        all.add(&row.place, "assay", Kind::LotAssay, row.assay);
        let price = row.price.as_deref().and_then(leading_number);
        all.add(&row.place, "price", Kind::LotPrice, price);
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
    let route = route.map(|plan| plan.column.as_deref().unwrap_or(&plan.name));
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

/// Columns of the user's own that are factors or responses with numbers.
fn own_columns<'a>(
    campaign: &Campaign,
    logged: &'a Logged,
    of_runs: &BTreeMap<&'a str, OfRun<'a>>,
    all: &mut Collected<'a>,
) {
    let factors = campaign.factors.iter();
    let factors = factors.map(|plan| plan.column.as_deref().unwrap_or(&plan.name));
    let responses = campaign.responses.iter().map(|plan| plan.column.as_str());
    for name in factors.chain(responses) {
        let Some(column) = logged.runs.column(name) else {
            continue;
        };
        for (position, row) in logged.runs.rows.iter().enumerate() {
            let number = column.number(campaign, position, None).ok().flatten();
            let Some((value, of_run)) = number.zip(of_runs.get(row.run.as_str())) else {
                continue;
            };
            let figure = all.add(&row.place, name, Kind::Own, Some(plain(value)));
            figure.is_of(&row.run, of_run, None, name);
        }
    }
}

/// The number that a price begins with.
fn leading_number(text: &str) -> Option<LoggedNumber> {
    let digits = text.trim().split(|c: char| !c.is_ascii_digit() && c != '.');
    let value = digits.clone().find(|part| !part.is_empty())?.parse().ok()?;
    Some(plain(value))
}

fn plain(value: f64) -> LoggedNumber {
    LoggedNumber {
        value,
        uncertainty: None,
    }
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
        let Some(number) = number.filter(|number| number.value > 0.0) else {
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
            figure.is_of(&row.run, &of_run, Some(part), "");
        }
        for crop in &row.crops {
            let number = crop.crop;
            let of = number.to_string();
            let column = format!("crop{number}_mass");
            let figure = self.add(&row.place, column, Kind::Crop, crop.mass);
            figure.is_of(&row.run, &of_run, Some(Part::Crop(number)), &of);
            let column = format!("purity{number}");
            let figure = self.add(&row.place, column, Kind::Purity, crop.purity);
            figure.is_of(&row.run, &of_run, Some(Part::Purity), &of);
        }
    }
}

impl<'a> Added<'_, 'a> {
    fn of(self, of: &str) {
        if let Some(figure) = self.0 {
            figure.of = of.to_string();
        }
    }

    fn is_of(self, run: &'a str, of_run: &OfRun<'a>, part: Option<Part>, of: &str) {
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
            Kind::LiquorStrength => (None, of_run.route),
            _ => (None, None),
        };
    }
}
