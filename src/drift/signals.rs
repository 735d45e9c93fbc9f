//! Departures that a chart flags: their size, and when they began.
//!
//! In: charted values and the points of one chart. Out: [`Signal`]s.
//! This module never looks for a cause.

use super::chart::ChartPoint;
use super::in_control::{InControl, Side};
use super::rules::runs_of;
use super::statistics::ChartKind;
use crate::campaign::RunRule;
use crate::distributions::mean;

/// What makes a signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SignalReason {
    /// The statistic lies beyond its limit.
    BeyondLimit,
    /// A rule on neighbouring runs holds.
    Rule(RunRule),
}

/// Flags of one departure, for one reason and on one side; positions count the charted runs from 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Signal {
    /// Why it is flagged.
    pub reason: SignalReason,
    /// On which side.
    pub side: Side,
    /// First flagged run.
    pub first: usize,
    /// Last flagged run of the same departure.
    pub last: usize,
    /// Where the statistic lies furthest out among them.
    pub furthest: usize,
    /// How far the statistic lies beyond its limit there, in the unit of what is charted; None for a rule.
    pub beyond: Option<f64>,
    /// Where the departure began, as far as the chart can tell.
    pub onset: usize,
    /// Mean departure from the centre between onset and the furthest run, in the unit of what is charted.
    ///
    /// It is taken where the chart saw most, so that it overstates a small departure a little.
    pub size: f64,
    /// The same in standard deviations.
    pub size_in_sd: f64,
}

/// All signals of a chart, in the order of their first run.
///
/// Onset: in cumulative sums the run after the sum was last zero, which estimates the change point; in a weighted mean
/// the run after the statistic was last on the other side of the centre; of single values the run itself; of a rule the
/// first of its runs.
///
/// # Source
/// Onset from the sum: Page, E. S., Biometrika 41 (1954) 100-115.
pub fn signals(
    kind: ChartKind,
    values: &[f64],
    points: &[ChartPoint],
    in_control: InControl,
    rules: &[RunRule],
) -> Vec<Signal> {
    let chart = Flagged {
        kind,
        values,
        points,
        in_control,
    };
    let rules = rules.iter().copied().map(SignalReason::Rule);
    let reasons = std::iter::once(SignalReason::BeyondLimit).chain(rules);
    let mut found: Vec<Signal> = reasons.flat_map(|of| chart.signals(of)).collect();
    found.sort_by_key(|signal| signal.first);
    found
}

struct Flagged<'a> {
    kind: ChartKind,
    values: &'a [f64],
    points: &'a [ChartPoint],
    in_control: InControl,
}

/// Runs that are flagged on one side, from the first to the last; positions count the charted runs from 0.
struct Stretch {
    side: Side,
    onset: usize,
    first: usize,
    last: usize,
}

impl Flagged<'_> {
    fn signals(&self, reason: SignalReason) -> Vec<Signal> {
        let side = |point: &ChartPoint| match reason {
            SignalReason::BeyondLimit => point.limited.beyond(),
            SignalReason::Rule(rule) => {
                let held = point.rules.iter().find(|at| at.rule == rule);
                held.map(|at| at.side)
            }
        };
        let sides: Vec<Option<Side>> = self.points.iter().map(side).collect();
        let mut stretches: Vec<Stretch> = Vec::new();
        let mut first = 0;
        for alike in sides.chunk_by(PartialEq::eq) {
            let last = first + alike.len() - 1;
            if let Some(side) = alike[0] {
                let onset = self.onset(reason, side, first);
                // A weighted mean that dips below its limit without going back to the centre is still the same departure.
                let same = |before: &&mut Stretch| {
                    let lasting = self.kind != ChartKind::Individuals;
                    lasting && (before.onset, before.side) == (onset, side)
                };
                match stretches.last_mut().filter(same) {
                    Some(before) => before.last = last,
                    None => stretches.push(Stretch {
                        side,
                        onset,
                        first,
                        last,
                    }),
                }
            }
            first = last + 1;
        }
        let signal = |stretch| self.signal(reason, stretch);
        stretches.into_iter().map(signal).collect()
    }

    fn onset(&self, reason: SignalReason, side: Side, position: usize) -> usize {
        match (reason, self.kind) {
            (SignalReason::Rule(rule), _) => (position + 1).saturating_sub(runs_of(rule)),
            (_, ChartKind::Individuals) => position,
            (_, ChartKind::Cusum) => {
                let runs = self.points[position].sums.map_or(1, |sums| sums.runs(side));
                (position + 1).saturating_sub(runs)
            }
            (_, ChartKind::Ewma) => {
                let other = |before: &usize| {
                    let off = self.points[*before].limited.statistic - self.in_control.centre;
                    match side {
                        Side::Above => off <= 0.0,
                        Side::Below => off >= 0.0,
                    }
                };
                let crossed = (0..position).rev().find(other);
                crossed.map_or(0, |before| before + 1)
            }
        }
    }

    fn signal(&self, reason: SignalReason, stretch: Stretch) -> Signal {
        let Stretch {
            side,
            onset,
            first,
            last,
        } = stretch;
        let outward = |position: usize| self.points[position].limited.outward(side);
        let further = |best, position| match outward(position) > outward(best) {
            true => position,
            false => best,
        };
        let furthest = (first..=last).fold(first, further);
        let beyond_limit = reason == SignalReason::BeyondLimit;
        let from = match self.kind {
            ChartKind::Individuals if beyond_limit => furthest,
            _ => onset,
        };
        let size = mean(&self.values[from..=furthest]) - self.in_control.centre;
        Signal {
            reason,
            side,
            first,
            last,
            furthest,
            beyond: beyond_limit.then(|| outward(furthest)),
            onset,
            size,
            size_in_sd: size / self.in_control.sd,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::chart::points;
    use crate::drift::in_control::usual;

    fn found(kind: ChartKind, values: &[f64]) -> Vec<Signal> {
        let in_control = InControl::stated(0.0, 1.0);
        let plan = usual();
        let charted = points(kind, values, in_control, &plan);
        signals(kind, values, &charted, in_control, &plan.rules)
    }

    #[test]
    fn a_step_is_one_signal_with_its_onset_and_its_size() {
        let mut values = vec![0.1, -0.1, 0.2, -0.2, 0.0];
        values.extend([2.0; 8]);
        for kind in [ChartKind::Ewma, ChartKind::Cusum] {
            let signals = found(kind, &values);
            assert_eq!(signals.len(), 1, "{kind:?}");
            assert_eq!((signals[0].onset, signals[0].last), (5, 12), "{kind:?}");
            assert!((signals[0].size - 2.0).abs() < 1e-12, "{kind:?}");
        }
    }

    #[test]
    fn a_departure_that_dips_within_the_limits_is_one_signal() {
        let signals = found(ChartKind::Ewma, &[0.0, 3.0, 3.0, 0.0, 3.0, 3.0]);
        let runs: Vec<(usize, usize)> = signals.iter().map(|s| (s.first, s.last)).collect();
        assert_eq!(runs, [(2, 5)]);
    }

    #[test]
    fn two_outlying_runs_apart_from_each_other_are_two_signals() {
        let signals = found(ChartKind::Individuals, &[0.0, 3.5, 0.0, -4.0, -4.5, 3.1]);
        let runs: Vec<(usize, usize)> = signals.iter().map(|s| (s.first, s.last)).collect();
        assert_eq!(runs, [(1, 1), (3, 4), (5, 5)]);
        assert_eq!((signals[1].furthest, signals[1].size), (4, -4.5));
        assert_eq!(signals[1].beyond, Some(1.5));
    }
}
