//! Axes: the place of a value in the picture, and the round numbers along the way.
//!
//! In: values in the unit of an axis. Out: ranges, round marks with their labels, places in the picture.
//! This module never draws. It is the only place in which a chart turns a number into text.

use super::{text, theme};

/// Largest size of a value that is drawn; beyond it the width of a range could overflow.
const LARGEST: f64 = 1e150;
/// Share of the data that stays empty at either end of an axis.
const PADDING: f64 = 0.05;
/// Ranges narrower than this share of their size are drawn as one value: their labels would need ten digits.
const NARROWEST: f64 = 1e-9;
/// Rounding in a division by the step must not lose a mark that stands at the very end of a range.
const STEP_SLACK: f64 = 1e-9;

/// How many widths of the middle half a value may lie from it before it is drawn at the edge; common practice takes 3 for
/// far out, and a chart has room for more.
const FAR: f64 = 4.0;
/// Fewer values than these have no middle half to speak of.
const FEWEST_FOR_MOST: usize = 8;

/// Whether a value can be drawn at all.
pub(super) fn is_drawable(value: f64) -> bool {
    value.abs() <= LARGEST
}

/// From the lowest to the highest value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    pub(super) low: f64,
    pub(super) high: f64,
}

impl Range {
    /// The range of all values that can be drawn; `None` without any.
    pub(super) fn covering(values: impl Iterator<Item = f64>) -> Option<Range> {
        let drawable = values.filter(|value| is_drawable(*value));
        drawable.fold(None, |range, value| {
            let Range { low, high } = range.unwrap_or(Range::at(value));
            Some(Range {
                low: low.min(value),
                high: high.max(value),
            })
        })
    }

    /// The range of most values that can be drawn: what lies further from the middle half of many than [`FAR`] times the
    /// width of that half does not stretch it.
    pub(super) fn of_most(values: &[f64]) -> Option<Range> {
        let mut sorted: Vec<f64> = values.iter().copied().filter(|v| is_drawable(*v)).collect();
        sorted.sort_by(f64::total_cmp);
        let (low, high) = (sorted.len() / 4, sorted.len() - sorted.len() / 4);
        let all = Range::covering(sorted.iter().copied());
        if sorted.len() < FEWEST_FOR_MOST {
            return all;
        }
        let half = Range::covering(sorted[low..high].iter().copied())?;
        let room = FAR * (half.high - half.low);
        if room == 0.0 {
            return all;
        }
        let near = |value: &f64| (half.low - room..=half.high + room).contains(value);
        Range::covering(sorted.into_iter().filter(near))
    }

    /// Whether a value lies in it.
    pub(super) fn holds(self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// The range of one lone value.
    pub(super) fn at(value: f64) -> Range {
        Range {
            low: value,
            high: value,
        }
    }

    /// The range stretched to hold zero.
    pub(super) fn with_zero(self) -> Range {
        Range {
            low: self.low.min(0.0),
            high: self.high.max(0.0),
        }
    }

    /// The range with some room at both ends; one lone value gets room around it.
    pub(super) fn padded(self) -> Range {
        let size = self.low.abs().max(self.high.abs());
        let span = self.high - self.low;
        let room = if span > size * NARROWEST {
            span * PADDING
        } else if size > f64::MIN_POSITIVE / NARROWEST {
            size * 2.0 * PADDING
        } else {
            1.0
        };
        Range {
            low: self.low - room,
            high: self.high + room,
        }
    }

    /// The range with some room at the ends that are not zero, for bars that stand on zero.
    pub(super) fn padded_from_zero(self) -> Range {
        let padded = self.padded();
        if self.low == self.high {
            return padded.with_zero();
        }
        Range {
            low: if self.low == 0.0 { 0.0 } else { padded.low },
            high: if self.high == 0.0 { 0.0 } else { padded.high },
        }
    }
}

/// A round number on an axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub(super) value: f64,
    pub(super) label: String,
}

/// A range between two places in the picture, with its round numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Axis {
    range: Range,
    start: f64,
    end: f64,
    pub(super) ticks: Vec<Tick>,
}

impl Axis {
    /// An axis from `start` to `end` in points of the picture, with about one mark for each `distance`.
    pub(super) fn new(range: Range, start: f64, end: f64, distance: f64) -> Axis {
        let wanted = ((end - start).abs() / distance).round().max(2.0);
        Axis {
            range,
            start,
            end,
            ticks: ticks(range, wanted),
        }
    }

    /// Where a value stands; the ends of the axis hold what lies beyond them.
    pub(super) fn at(&self, value: f64) -> f64 {
        let share = (value - self.range.low) / (self.range.high - self.range.low);
        self.start + share.clamp(0.0, 1.0) * (self.end - self.start)
    }

    /// Width of the widest label.
    pub(super) fn label_width(&self) -> f64 {
        let labels = self.ticks.iter().map(|tick| tick.label.as_str());
        text::widest(labels, theme::TICK_SIZE)
    }
}

/// A step of 1, 2 or 5 times a power of ten.
#[derive(Debug, Clone, Copy)]
struct Step {
    digit: f64,
    power: i32,
}

impl Step {
    /// The smallest such step that is not below `least`.
    fn at_least(least: f64) -> Step {
        let power = least.log10().floor() as i32;
        let share = least / 10f64.powi(power);
        let digit = [1.0, 2.0, 5.0]
            .into_iter()
            .find(|digit| share <= *digit * (1.0 + STEP_SLACK));
        match digit {
            Some(digit) => Step { digit, power },
            None => Step {
                digit: 1.0,
                power: power + 1,
            },
        }
    }

    /// So many steps; a power below one divides, so that 3 steps of 0.1 are the double nearest to 0.3.
    fn times(self, count: f64) -> f64 {
        if self.power < 0 {
            count * self.digit / 10f64.powi(-self.power)
        } else {
            count * self.digit * 10f64.powi(self.power)
        }
    }
}

/// The round numbers inside a range, about as many as wanted.
fn ticks(range: Range, wanted: f64) -> Vec<Tick> {
    let step = Step::at_least((range.high - range.low) / wanted);
    let first = (range.low / step.times(1.0) - STEP_SLACK).ceil();
    let last = (range.high / step.times(1.0) + STEP_SLACK).floor();
    let largest = step.times(first.abs().max(last.abs()));
    let count = (last - first).clamp(0.0, 100.0) as usize;
    (0..=count)
        .map(|position| step.times(first + position as f64))
        .map(|value| Tick {
            value,
            label: label(value, largest, step.power),
        })
        .collect()
}

/// A round number as text: with the decimals of its step, as a power of ten when the largest needs too many digits.
fn label(value: f64, largest: f64, step_power: i32) -> String {
    if value == 0.0 {
        return "0".to_string();
    }
    let plain = largest < 1e6 && step_power >= -5;
    let text = if plain {
        let decimals = usize::try_from(-step_power).unwrap_or(0);
        format!("{value:.decimals$}")
    } else {
        let power = largest.log10().floor() as i32;
        let decimals = usize::try_from(power - step_power).unwrap_or(0);
        let shown = if power < 0 {
            value * 10f64.powi(-power)
        } else {
            value / 10f64.powi(power)
        };
        format!("{shown:.decimals$}×10{}", superscript(power))
    };
    text.replace('-', "−")
}

/// A value that lies beyond an axis, to three digits.
pub(super) fn beyond(value: f64) -> String {
    let power = value.abs().log10().floor();
    if !power.is_finite() {
        return "0".to_string();
    }
    label(value, value.abs(), (power as i32 - 2).min(0))
}

/// An exponent in raised digits.
fn superscript(power: i32) -> String {
    const DIGITS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    let raised = |sign: char| {
        sign.to_digit(10)
            .map_or('⁻', |digit| DIGITS[digit as usize])
    };
    power.to_string().chars().map(raised).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(low: f64, high: f64, wanted: f64, expected: &[&str]) {
        let found: Vec<String> = ticks(Range { low, high }, wanted)
            .into_iter()
            .map(|tick| tick.label)
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn marks_are_round_and_free_of_noise() {
        check(
            0.0,
            0.7,
            7.0,
            &["0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6", "0.7"],
        );
        check(57.3, 84.0, 5.0, &["60", "70", "80"]);
        check(-1.2, 0.6, 4.0, &["−1.0", "−0.5", "0", "0.5"]);
        check(
            0.9812,
            0.9904,
            5.0,
            &["0.982", "0.984", "0.986", "0.988", "0.990"],
        );
    }

    #[test]
    fn large_and_small_numbers_are_powers_of_ten() {
        check(0.0, 3e7, 3.0, &["0", "1×10⁷", "2×10⁷", "3×10⁷"]);
        check(0.0, 2e-7, 2.0, &["0", "1×10⁻⁷", "2×10⁻⁷"]);
    }

    #[test]
    fn one_lone_value_gets_an_axis_around_it() {
        for value in [0.0, 71.4, -3.0, 1e-320, 1e150] {
            let range = Range::at(value).padded();
            assert!(range.low < value && value < range.high, "{value}");
            assert!(!ticks(range, 5.0).is_empty(), "{value}");
        }
    }

    #[test]
    fn values_that_cannot_be_drawn_do_not_stretch_a_range() {
        let values = [
            f64::NAN,
            2.0,
            f64::INFINITY,
            1.0,
            f64::NEG_INFINITY,
            f64::MAX,
        ];
        let range = Range::covering(values.into_iter());
        assert_eq!(
            range,
            Some(Range {
                low: 1.0,
                high: 2.0
            })
        );
        assert_eq!(Range::covering([f64::NAN].into_iter()), None);
    }

    #[test]
    fn bars_that_stand_on_zero_leave_no_room_below_it() {
        let range = Range {
            low: 0.0,
            high: 10.0,
        }
        .padded_from_zero();
        assert_eq!(range.low, 0.0);
        assert!(range.high > 10.0);
    }
}
