//! Control charts that show a drifting process: a bad lot, a tired titrant, a slipping method.
//!
//! In: a campaign, its runs and the models of its responses. Out: [`Drifts`]: control charts of each response and of each
//! titrant, with what they flag and the first candidate cause in the log.
//! This module never takes out what a lot gives, and never says that a candidate is the cause.

mod causes;
mod chart;
mod charts_of_a_quantity;
mod false_alarms;
mod in_control;
mod lots_in_control;
mod response_charts;
mod rules;
mod signals;
mod statistics;

pub use crate::caveat::NoLimits;
pub use causes::{Cause, Change};
pub use chart::{ChartPoint, MovingRanges, RuleAt, points};
pub use charts_of_a_quantity::{ControlChart, Explained, NotCharted, Place, Series, Subject};
pub use false_alarms::{FalseAlarms, false_alarms};
pub use in_control::{
    FEWEST_FOR_LIMITS, InControl, Origin, Side, USUAL_BASELINE, in_control, moving_ranges,
    range_of_two, spread_of_range_of_two,
};
pub use rules::chance_by_luck;
pub use signals::{Signal, SignalReason, signals};
pub use statistics::{ChartKind, Limited, Sums, cumulative_sums, steady_limits, weighted_means};

use crate::campaign::{Campaign, Drift};
use crate::caveat::{Caveat, Doubt};
use crate::regression::FittedModel;
use crate::runs::{ByDate, ControlResult, ResponseKind, Runs, TitrantResult, Used};
use charts_of_a_quantity::{Material, series};
use response_charts::of_response;

/// The charts of a campaign.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drifts {
    /// One series for each response, then one for each titrant and one for the control sample.
    pub series: Vec<Series>,
    /// What could not be charted, with the reason.
    pub not_charted: Vec<NotCharted>,
    /// Doubts about the charts.
    pub caveats: Vec<Caveat>,
}

/// Names of the responses that are charted: that of `only`, else that of `[drift]` with yield and purity, where there
/// is chemistry; without it the one stated, else all.
pub fn charted_responses(campaign: &Campaign, runs: &Runs, only: Option<&str>) -> Vec<String> {
    let stated = only.or(campaign.drift.response.as_deref());
    let mut names: Vec<String> = stated.map(String::from).into_iter().collect();
    if only.is_some() {
        return names;
    }
    for column in &runs.responses {
        let wanted = match campaign.chemistry {
            Some(_) => column.kind != ResponseKind::Declared,
            None => stated.is_none(),
        };
        let logged = column.values.iter().any(Option::is_some);
        if wanted && logged && !names.contains(&column.name) {
            names.push(column.name.clone());
        }
    }
    names
}

/// Charts each response in single values, weighted means and cumulative sums, each titrant and the control in the first two.
///
/// Charted is the response without the effects of the declared factors, as its model knows them; without a model the
/// response as logged. Centre and standard deviation that the campaign file states are those of the response that it
/// states, or of the first one; all else is estimated from the first runs.
pub fn drifts(
    campaign: &Campaign,
    runs: &Runs,
    models: &[FittedModel],
    only: Option<&str>,
) -> Drifts {
    let mut found = Drifts::default();
    let usual = charted_responses(campaign, runs, None);
    let stated = campaign.drift.response.as_ref().or(usual.first());
    for name in charted_responses(campaign, runs, only) {
        let Some(column) = runs.responses.iter().find(|column| column.name == name) else {
            continue;
        };
        let model = models.iter().find(|model| model.response == name);
        let is_stated = stated == Some(&name);
        let plan = Drift {
            centre: campaign.drift.centre.filter(|_| is_stated),
            sd: campaign.drift.sd.filter(|_| is_stated),
            ..campaign.drift.clone()
        };
        let (made, doubts) = of_response(runs, column, model, plan);
        found.add(made, doubts);
    }
    if only.is_none() {
        let plan = || Drift {
            centre: None,
            sd: None,
            baseline: None,
            ..campaign.drift.clone()
        };
        for titrant in &runs.titrants {
            found.add(of_titrant(titrant, plan()), Vec::new());
        }
        let sample = campaign.titration.as_ref();
        let sample = sample.and_then(|titration| titration.control.as_ref());
        for (control, sample) in runs.control.iter().zip(sample) {
            found.add(of_control(control, sample.purity, plan()), Vec::new());
        }
    }
    found
}

impl Drifts {
    /// The doubts, and the responses that could not be charted as doubts of their own.
    pub fn doubts(&self) -> Vec<Caveat> {
        let left = self.not_charted.iter().filter_map(|left| {
            let Subject::Response(name) = &left.subject else {
                return None;
            };
            let reason = left.reason;
            Some(Caveat::of_response(name, Doubt::NotCharted { reason }))
        });
        self.caveats.iter().cloned().chain(left).collect()
    }

    /// Adds a series with its doubts, or the reason why there is none.
    fn add(&mut self, made: Result<Series, NotCharted>, doubts: Vec<Caveat>) {
        match made {
            Ok(series) => {
                self.series.push(series);
                self.caveats.extend(doubts);
            }
            Err(reason) => self.not_charted.push(reason),
        }
    }
}

/// What was measured on one day, and as what.
struct OnADay<'a> {
    date: &'a Option<String>,
    value: f64,
    used: Option<f64>,
}

/// The charts of what was measured on several days; `one` names a measurement without a date.
fn of_days<'a>(
    subject: Subject,
    unit: &str,
    one: &str,
    days: impl Iterator<Item = OnADay<'a>>,
    plan: Drift,
) -> Result<Series, NotCharted> {
    let places = days.enumerate().map(|(number, day)| Place {
        name: day
            .date
            .clone()
            .unwrap_or_else(|| format!("{one} {}", number + 1)),
        lot: None,
        logged: day.value,
        charted: day.value,
        used: day.used,
    });
    let material = Material {
        subject,
        unit: unit.into(),
        places: places.collect(),
        taken_out: Vec::new(),
        errors: None,
    };
    let kinds = [ChartKind::Individuals, ChartKind::Ewma];
    series(material, plan, &kinds, |_, _| None)
}

fn of_titrant(titrant: &TitrantResult, plan: Drift) -> Result<Series, NotCharted> {
    let days = titrant.rows.iter().map(|row| OnADay {
        date: &row.date,
        value: row.concentration.value(),
        used: used(&titrant.by_date, row.day, 1.0),
    });
    let subject = Subject::Titrant(titrant.titrant.clone());
    of_days(subject, "mol/L", "standardisation", days, plan)
}

fn of_control(control: &ControlResult, stated: f64, plan: Drift) -> Result<Series, NotCharted> {
    let days = control.points.iter().map(|point| OnADay {
        date: &point.date,
        value: point.found.value(),
        used: used(&control.by_date, point.day, stated),
    });
    of_days(Subject::Control, "1", "titration", days, plan)
}

/// What is reckoned with on a day, where days differ.
fn used(by_date: &ByDate, day: Option<i32>, times: f64) -> Option<f64> {
    (by_date.used() != Used::Pooled).then(|| times * by_date.at(day).value())
}
