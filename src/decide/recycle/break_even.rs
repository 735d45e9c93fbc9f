//! The price, content or time at which the verdict flips.
//!
//! In: the figures of a gain. Out: [`BreakEven`]s: where the gain is zero, and between which values that cannot be told.
//! This module never looks outside the range that a figure can have.
//!
//! The interval holds every value of the figure at which the interval of the gain holds zero. Where that is so up to the end
//! of what the figure can be, the interval is open on that side.
//!
//! # Source
//! Fieller, Some problems in interval estimation, J. Roy. Statist. Soc. B 16 (1954) 175-185 (values that a test does not
//! reject); found here by bisection, so that the figure need not act in proportion.

use super::gain::Figure;
use super::inputs::Inputs;

/// Half-widths below this share of the range of gains are rounding: all but the figure itself is exact.
const CERTAIN: f64 = 1e-12;
/// Steps of a bisection that bring any bracket down to rounding.
const BISECTIONS: usize = 60;
/// Pieces in which a range is searched for a change of sign.
const PIECES: usize = 64;
/// A price or a time is followed up to so many times what it is now.
const FAR: f64 = 100.0;

/// Where the verdict flips as one figure changes.
#[derive(Debug, Clone, PartialEq)]
pub struct BreakEven {
    /// The figure.
    pub figure: Figure,
    /// Its value now, in its own unit.
    pub now: f64,
    /// Where the gain is zero, or why it never is.
    pub at: Result<f64, Never>,
    /// Lowest value at which the gain may be zero; `None` where that is so down to the least that it can be.
    pub low: Option<f64>,
    /// Highest such value; `None` where that is so up to the most that was looked at.
    pub high: Option<f64>,
}

/// Why a gain is zero nowhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Never {
    /// It is above zero over the whole range.
    AlwaysGain,
    /// It is below zero over the whole range.
    AlwaysLoss,
    /// The gain does not depend on the figure.
    NoMatter,
}

/// Where a function changes its sign between two values at which it has different ones.
fn crossing(of: impl Fn(f64) -> f64, mut from: f64, mut to: f64) -> f64 {
    let below = of(from) < 0.0;
    for _ in 0..BISECTIONS {
        let middle = from / 2.0 + to / 2.0;
        if (of(middle) < 0.0) == below {
            from = middle;
        } else {
            to = middle;
        }
    }
    from / 2.0 + to / 2.0
}

/// The first piece from one value towards another over which a function changes its sign.
fn bracket(of: impl Fn(f64) -> f64, from: f64, to: f64) -> Option<[f64; 2]> {
    let place = |piece: usize| from + (to - from) * piece as f64 / PIECES as f64;
    let start = of(from) < 0.0;
    (1..=PIECES)
        .find(|piece| (of(place(*piece)) < 0.0) != start)
        .map(|piece| [place(piece - 1), place(piece)])
}

/// A figure to follow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Asked {
    pub figure: Figure,
    /// The most that it can be, in its unit.
    pub most: f64,
}

impl Asked {
    /// A figure that can be anything from nothing to far more than it is.
    pub fn open(inputs: &Inputs, figure: Figure, typical: f64) -> Self {
        Self {
            figure,
            most: FAR * inputs.get(figure).value().max(typical),
        }
    }

    /// Where the verdict flips along the figure, from 0 to the most that it can be, all else as it is.
    pub fn break_even(self, inputs: &Inputs) -> BreakEven {
        let Asked { figure, most } = self;
        let gain = |value: f64| inputs.gain(&inputs.best.with(figure, value));
        // Half the width of the interval of the gain, the figure itself being exact.
        let half_width =
            |value: f64| inputs.half_width(&inputs.best.with(figure, value), &[figure]);
        let found = |at, [low, high]: [Option<f64>; 2]| BreakEven {
            figure,
            now: inputs.get(figure).value(),
            at,
            low,
            high,
        };
        let never = |why| found(Err(why), [None, None]);
        let (first, last) = (gain(0.0), gain(most));
        if first == last {
            return never(Never::NoMatter);
        }
        let Some([from, to]) = bracket(gain, 0.0, most) else {
            return never(if first > 0.0 {
                Never::AlwaysGain
            } else {
                Never::AlwaysLoss
            });
        };
        let zero = crossing(gain, from, to);
        if half_width(zero) <= CERTAIN * (last - first).abs() {
            return found(Ok(zero), [Some(zero), Some(zero)]);
        }
        // How far zero lies outside the interval of the gain; negative inside it.
        let outside = |value: f64| gain(value).abs() - half_width(value);
        let edge = |towards: f64| {
            let [from, to] = bracket(outside, zero, towards)?;
            Some(crossing(outside, from, to))
        };
        found(Ok(zero), [edge(0.0), edge(most)])
    }
}
