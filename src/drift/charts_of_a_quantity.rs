//! All charts of one quantity.
//!
//! In: charted values in order, and what is known of the process in control. Out: [`Series`].
//! This module never reads a log.

use super::causes::Cause;
use super::chart::{ChartPoint, MovingRanges, points};
use super::false_alarms::{FalseAlarms, false_alarms, widened};
use super::in_control::{InControl, first_runs, in_control};
use super::lots_in_control::{runs_of_lots, spread_of_lots};
use super::signals::{Signal, signals};
use super::statistics::{ChartKind, steady_limits};
use crate::campaign::Drift;
use crate::caveat::NoLimits;
use crate::regression::{RunErrors, TermName};

/// What a series is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Subject {
    /// A response of this name.
    Response(String),
    /// The concentration of the titrant of this name.
    Titrant(String),
    /// What the control sample was found at.
    Control,
}

/// One charted value.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The run; of a titrant the date or the number of the standardisation.
    pub name: String,
    /// Its lot.
    pub lot: Option<String>,
    /// The value as logged.
    pub logged: f64,
    /// The value that is charted: effects of declared factors taken out.
    pub charted: f64,
    /// What is reckoned with on its day, where that is another value on each.
    pub used: Option<f64>,
}

/// All charts of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// What it is about.
    pub subject: Subject,
    /// Unit of the values; `1` for fractions.
    pub unit: String,
    /// The values, in run order.
    pub places: Vec<Place>,
    /// Where the process stands while nothing drifts.
    pub in_control: InControl,
    /// Standard deviation of lots that is part of a process in control, because the first runs show it.
    pub spread_of_lots: Option<f64>,
    /// Terms of the model that are taken out of what is charted.
    pub taken_out: Vec<TermName>,
    /// Distances of neighbouring runs.
    pub moving_ranges: MovingRanges,
    /// The charts.
    pub charts: Vec<ControlChart>,
    /// Chance that any of the charts flags in a log of this length though nothing drifts.
    pub chance_of_any_flag: f64,
    /// Settings of the charts, and what was known of the process.
    pub plan: Drift,
}

/// One chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlChart {
    /// Its kind.
    pub kind: ChartKind,
    /// Lower limit of the statistic after many runs, in the unit of the series.
    pub lower: f64,
    /// Upper limit of the statistic after many runs.
    pub upper: f64,
    /// One point for each place of the series.
    pub points: Vec<ChartPoint>,
    /// How many times as far out the limits stand as the settings say, because runs share errors; 1 where they do not.
    pub widened: f64,
    /// Where it flags, each with the first candidate cause.
    pub signals: Vec<Explained>,
    /// Chance that it flags in a log of this length though nothing drifts.
    pub chance_of_a_flag: f64,
}

/// A signal with the first candidate cause in the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Explained {
    /// The signal.
    pub signal: Signal,
    /// The change nearest to its onset; None where the log shows none.
    pub cause: Option<Cause>,
}

/// A quantity without charts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotCharted {
    /// What it is about.
    pub subject: Subject,
    /// Why there are none.
    pub reason: NoLimits,
}

/// What goes into a series.
pub(super) struct Material {
    pub subject: Subject,
    pub unit: String,
    pub places: Vec<Place>,
    pub taken_out: Vec<TermName>,
    /// The errors of the values, where they are known.
    pub errors: Option<Errors>,
}

/// What is known of the errors of charted values.
pub(super) struct Errors {
    pub of_runs: RunErrors,
    /// Whether lots may differ at random.
    pub lots_may_differ: bool,
}

/// The charts of these kinds.
///
/// # Errors
/// The reason why there can be none.
pub(super) fn series(
    material: Material,
    plan: Drift,
    kinds: &[ChartKind],
    cause: impl Fn(ChartKind, &Signal) -> Option<Cause>,
) -> Result<Series, NotCharted> {
    let values: Vec<f64> = material.places.iter().map(|place| place.charted).collect();
    let level = in_control(&values, &plan).map_err(|reason| NotCharted {
        subject: material.subject.clone(),
        reason,
    })?;
    let mut spread = None;
    let errors = material.errors.map(|known| {
        let lots = runs_of_lots(material.places.iter().map(|place| place.lot.as_deref()));
        if known.lots_may_differ {
            let first_runs = first_runs(values.len(), &plan);
            spread = spread_of_lots(&values, first_runs, &lots, &known.of_runs);
        }
        match &spread {
            Some(spread) => known.of_runs.with_groups(&lots, *spread),
            None => known.of_runs,
        }
    });
    let alarms = false_alarms(values.len(), kinds, &plan, errors.as_ref());
    let FalseAlarms { by_chart, any, .. } = &alarms;
    let of_kinds = kinds.iter().zip(by_chart).zip(&alarms.added);
    let charts = of_kinds.map(|((&kind, &chance), &added)| {
        let times = (1.0 + added / (level.sd * level.sd)).sqrt();
        let plan = widened(kind, &plan, times);
        let limits = steady_limits(kind, level, &plan);
        let points = points(kind, &values, level, &plan);
        let found = signals(kind, &values, &points, level, &plan.rules).into_iter();
        let explained = |signal| Explained {
            cause: cause(kind, &signal),
            signal,
        };
        ControlChart {
            kind,
            lower: limits.lower,
            upper: limits.upper,
            points,
            widened: times,
            signals: found.map(explained).collect(),
            chance_of_a_flag: chance,
        }
    });
    let charts = charts.collect();
    Ok(Series {
        subject: material.subject,
        unit: material.unit,
        in_control: level,
        spread_of_lots: spread,
        taken_out: material.taken_out,
        moving_ranges: MovingRanges::new(&values, level, plan.limits),
        charts,
        chance_of_any_flag: *any,
        plan,
        places: material.places,
    })
}

impl Series {
    /// All signals, those of single values first.
    pub fn signals(&self) -> impl Iterator<Item = (&ControlChart, &Explained)> {
        let charts = self.charts.iter();
        charts.flat_map(|chart| chart.signals.iter().map(move |found| (chart, found)))
    }

    /// The signal that tells most: the one furthest from the centre for longest, by size times the root of its runs.
    pub fn main_signal(&self) -> Option<(&ControlChart, &Explained)> {
        let weight = |explained: &Explained| {
            let signal = &explained.signal;
            let runs = (signal.furthest + 1 - signal.onset.min(signal.furthest)) as f64;
            signal.size_in_sd.abs() * runs.sqrt()
        };
        self.signals()
            .max_by(|(_, one), (_, other)| weight(one).total_cmp(&weight(other)))
    }
}
