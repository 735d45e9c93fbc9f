//! Is the process drifting: a bad lot, a tired titrant, a slipping method?
//!
//! In: a campaign, its runs and the models of its responses. Out: [`Drifts`]: control charts of each response and of each
//! titrant, with what they flag and the first candidate cause in the log.
//! This module never takes out what a lot gives, and never says that a candidate is the cause.

mod causes;
mod chart;
mod charted;
mod cusum;
mod ewma;
mod false_alarms;
mod in_control;
mod rules;
mod series;
mod signals;

pub use crate::caveat::NoLimits;
pub use causes::{Cause, Change};
pub use chart::{ChartKind, ChartPlan, ChartPoint, MovingRanges, RuleAt, points};
pub use cusum::{Cusum, Sums};
pub use ewma::{Ewma, EwmaPlan, Limited, Side, Width};
pub use false_alarms::{FalseAlarms, false_alarms};
pub use in_control::{
    FEWEST_FOR_LIMITS, InControl, Known, Origin, USUAL_BASELINE, in_control, moving_ranges,
    range_of_two, spread_of_range_of_two,
};
pub use rules::chance_by_luck;
pub use series::{ControlChart, Explained, Place, Series, Subject};
pub use signals::{Signal, SignalReason, signals};

use crate::campaign::{Campaign, Drift};
use crate::caveat::{Caveat, Doubt};
use crate::regression::FittedModel;
use crate::runs::{ResponseColumn, ResponseKind, Runs, TitrantResult};
use causes::Lookout;
use charted::charted;
use series::{Material, series};

/// The charts of a campaign.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drifts {
    /// One series for each response, then one for each titrant.
    pub series: Vec<Series>,
    /// What could not be charted, with the reason.
    pub not_charted: Vec<NotCharted>,
    /// Doubts about the charts.
    pub caveats: Vec<Caveat>,
}

/// A quantity without charts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotCharted {
    /// What it is about.
    pub subject: Subject,
    /// Why there are none.
    pub reason: NoLimits,
}

/// Names of the responses that are charted: that of `only`, else that of `[drift]` with yield and purity, where there
/// is chemistry; without it the one stated, else all.
pub fn charted_responses(campaign: &Campaign, runs: &Runs, only: Option<&str>) -> Vec<String> {
    let stated = only.or(campaign.drift.response.as_deref());
    let mut names: Vec<String> = stated.map(String::from).into_iter().collect();
    if only.is_some() {
        return names;
    }
    let others = runs.responses.iter().filter(|column| {
        if campaign.chemistry.is_some() {
            column.kind != ResponseKind::Declared
        } else {
            stated.is_none()
        }
    });
    for column in others {
        let logged = column.values.iter().any(Option::is_some);
        if logged && !names.contains(&column.name) {
            names.push(column.name.clone());
        }
    }
    names
}

/// Charts each response in single values, weighted means and cumulative sums, each titrant in the first two.
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
    let plan = ChartPlan::from(&campaign.drift);
    let names = charted_responses(campaign, runs, only);
    let usual = charted_responses(campaign, runs, None);
    let stated = campaign.drift.response.as_ref().or(usual.first());
    for name in &names {
        let Some(column) = runs.responses.iter().find(|column| column.name == *name) else {
            continue;
        };
        let model = models.iter().find(|model| model.response == *name);
        let known = known(&campaign.drift, stated == Some(name));
        found.add_response(runs, column, model, &known, &plan);
    }
    if only.is_none() {
        for titrant in &runs.titrants {
            found.add_titrant(titrant, &plan);
        }
    }
    found
}

/// What the file says of a response: the number of first runs of any, the rest of the stated one alone.
fn known(drift: &Drift, is_stated: bool) -> Known {
    Known {
        centre: drift.centre.filter(|_| is_stated),
        sd: drift.sd.filter(|_| is_stated),
        baseline: drift.baseline.map(|runs| runs as usize),
    }
}

impl Drifts {
    /// Whether any chart flags.
    pub fn any_signal(&self) -> bool {
        self.series
            .iter()
            .any(|series| series.signals().next().is_some())
    }

    /// The doubts, and the responses that could not be charted as doubts of their own.
    pub fn doubts(&self) -> Vec<Caveat> {
        let left = self
            .not_charted
            .iter()
            .filter_map(|left| match &left.subject {
                Subject::Response(name) => {
                    let reason = left.reason;
                    Some(Caveat::of_response(name, Doubt::NotCharted { reason }))
                }
                Subject::Titrant(_) => None,
            });
        self.caveats.iter().cloned().chain(left).collect()
    }

    fn add_response(
        &mut self,
        runs: &Runs,
        column: &ResponseColumn,
        model: Option<&FittedModel>,
        known: &Known,
        plan: &ChartPlan,
    ) {
        let charted = charted(runs, column, model);
        let lookout = Lookout {
            runs,
            charted: &charted.positions,
            in_model: &charted.factors,
        };
        let places = charted
            .positions
            .iter()
            .enumerate()
            .map(|(place, &run)| Place {
                name: runs.results[run].run.clone(),
                lot: runs.results[run].lot.clone(),
                logged: charted.logged[place],
                charted: charted.values[place],
            });
        let material = Material {
            subject: Subject::Response(column.name.clone()),
            unit: column.unit.clone(),
            places: places.collect(),
            taken_out: charted.taken_out.clone(),
        };
        let kinds = [ChartKind::Individuals, ChartKind::Ewma, ChartKind::Cusum];
        let made = self.add(material, known, plan, &kinds, |kind, signal| {
            lookout.first_cause(kind, signal.onset, signal.first)
        });
        if made {
            self.caveats.extend(charted.caveat);
            self.caveats
                .extend(short_baseline(&column.name, known, charted.values.len()));
        }
    }

    fn add_titrant(&mut self, titrant: &TitrantResult, plan: &ChartPlan) {
        let places = titrant.rows.iter().enumerate().map(|(number, row)| {
            let concentration = row.concentration.value();
            Place {
                name: match &row.date {
                    Some(date) => date.clone(),
                    None => format!("standardisation {}", number + 1),
                },
                lot: None,
                logged: concentration,
                charted: concentration,
            }
        });
        let material = Material {
            subject: Subject::Titrant(titrant.titrant.clone()),
            unit: "mol/L".into(),
            places: places.collect(),
            taken_out: Vec::new(),
        };
        let kinds = [ChartKind::Individuals, ChartKind::Ewma];
        self.add(material, &Known::default(), plan, &kinds, |_, _| None);
    }

    /// Adds the series, or the reason why there is none; says whether it was added.
    fn add(
        &mut self,
        material: Material,
        known: &Known,
        plan: &ChartPlan,
        kinds: &[ChartKind],
        cause: impl Fn(ChartKind, &Signal) -> Option<Cause>,
    ) -> bool {
        let subject = material.subject.clone();
        match series(material, known, plan, kinds, cause) {
            Ok(made) => {
                self.series.push(made);
                true
            }
            Err(reason) => {
                self.not_charted.push(NotCharted { subject, reason });
                false
            }
        }
    }
}

/// A doubt where the file asks for more first runs than there are, and something is estimated from them.
fn short_baseline(response: &str, known: &Known, runs: usize) -> Option<Caveat> {
    let asked = known.baseline?;
    let estimated = known.centre.is_none() || known.sd.is_none();
    (estimated && runs < asked)
        .then(|| Caveat::of_response(response, Doubt::FewerRunsThanBaseline { asked, runs }))
}
