//! `drift`: control charts.
//!
//! In: finished figures. Out: what is serialised under this key.
//! This module never computes.

use serde::Serialize;

/// One chart of one response or titrant.
///
/// `centre` is where the process stands; `lower` and `upper` are the limits of `statistic` after many runs, those at a
/// run stand with its point. Of cumulative sums, `statistic` is the larger of the two, with a minus if it is that of
/// departures downwards; both stand beside it.
#[derive(Debug, Clone, Serialize)]
pub struct Chart {
    /// What is charted.
    pub response: String,
    /// The titrant; null for a response.
    pub titrant: Option<String>,
    /// Unit of the values.
    pub unit: String,
    /// `individuals`, `ewma` or `cusum`.
    pub chart: &'static str,
    /// Where the process stands.
    pub centre: f64,
    /// Standard deviation from one to the next.
    pub sd: f64,
    /// Where the centre is from.
    pub centre_from: String,
    /// Where the standard deviation is from.
    pub sd_from: String,
    /// Lower limit after many runs.
    pub lower: f64,
    /// Upper limit after many runs.
    pub upper: f64,
    /// Terms taken out of what is charted.
    pub taken_out: Vec<String>,
    /// Chance of a flag without drift.
    pub false_alarm: f64,
    /// The same in any chart of the series.
    pub false_alarm_any_chart: f64,
    /// One point a run.
    pub points: Vec<Point>,
    /// What is out of the ordinary.
    pub signals: Vec<Signal>,
    /// How the chart is drawn.
    pub settings: ChartSettings,
    /// What it shows, in words.
    pub shows: &'static str,
    /// Distances of neighbours; of single values alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moving_range: Option<MovingRange>,
}

/// One point of a chart.
#[derive(Debug, Clone, Serialize)]
pub struct Point {
    /// The run or the standardisation.
    pub run: String,
    /// Its lot.
    pub lot: Option<String>,
    /// The value as logged.
    pub value: f64,
    /// The value as charted.
    pub charted: f64,
    /// The statistic.
    pub statistic: f64,
    /// Its lower limit here.
    pub lower: f64,
    /// Its upper limit here.
    pub upper: f64,
    /// What is out of the ordinary; null where nothing is.
    pub flag: Option<String>,
    /// The sum of departures upwards.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub upper_statistic: Option<f64>,
    /// The sum of departures downwards.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lower_statistic: Option<f64>,
    /// Distance from the one before; of single values alone, null for the first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moving_range: Option<Option<f64>>,
}

/// One signal.
#[derive(Debug, Clone, Serialize)]
pub struct Signal {
    /// Why it is flagged.
    pub flag: String,
    /// `above` or `below`.
    pub side: &'static str,
    /// First run of it.
    pub first_run: String,
    /// Last run of it.
    pub last_run: String,
    /// Run furthest out.
    pub furthest_run: String,
    /// How far beyond the limit that is.
    pub beyond_limit: Option<f64>,
    /// Where the departure began.
    pub onset: String,
    /// Mean departure.
    pub size: f64,
    /// The same in standard deviations.
    pub size_in_sd: f64,
    /// First candidate cause.
    pub candidate_cause: Option<String>,
}

/// How a chart is drawn.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum ChartSettings {
    /// Single values.
    Individuals {
        /// Limits in standard deviations.
        limits: f64,
        /// Rules asked for.
        rules: Vec<Rule>,
    },
    /// Weighted means.
    Ewma {
        /// Weight of the newest run.
        lambda: f64,
        /// Limits in standard deviations.
        limits: f64,
    },
    /// Cumulative sums.
    Cusum {
        /// Departures beyond this add up, in standard deviations.
        reference: f64,
        /// Limit in standard deviations.
        decision: f64,
    },
}

/// A rule that is asked for.
#[derive(Debug, Clone, Serialize)]
pub struct Rule {
    /// The rule in words.
    pub rule: &'static str,
    /// How often it holds by luck.
    pub false_alarm_per_run: f64,
}

/// Distances of neighbours.
#[derive(Debug, Clone, Serialize)]
pub struct MovingRange {
    /// Their mean.
    pub mean: f64,
    /// Their upper limit.
    pub upper: f64,
    /// Runs beyond it.
    pub beyond: Vec<String>,
}

/// A quantity without charts.
#[derive(Debug, Clone, Serialize)]
pub struct NotCharted {
    /// What it is.
    pub response: String,
    /// Why there are none.
    pub reason: String,
}
