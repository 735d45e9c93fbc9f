//! The legend: samples of marks with their names.
//!
//! In: samples of marks, layers or bands with their names. Out: a legend in rows, above the data.
//! This module never stands within the area of the data.

use super::canvas::{Canvas, Label};
use super::cells::{self, Raster};
use super::places::{Area, Place, place};
use super::{hatching, marks, text, theme};

/// Width of the sample beside a name.
const SAMPLE: f64 = 18.0;
/// Height of one row.
const ROW: f64 = theme::TICK_SIZE * theme::LINE_HEIGHT;

/// What a legend shows beside a name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Sample {
    Series(usize),
    Layer(usize),
    Run,
    Mean,
    OpenMean,
    Band,
    Line,
    Region(theme::Hatching),
    Contour,
    Limits,
}

/// One entry of a legend.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Key {
    pub(super) sample: Sample,
    pub(super) name: String,
}

impl Key {
    pub(super) fn new(sample: Sample, name: &str) -> Key {
        Key {
            sample,
            name: text::shorten(name, theme::LONGEST_LEGEND_NAME),
        }
    }

    fn width(&self) -> f64 {
        SAMPLE + theme::GAP + text::width(&self.name, theme::TICK_SIZE) + 2.0 * theme::GAP
    }
}

/// A legend of one entry, with the text that is too long for it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Explanation<'a> {
    pub(super) legend: Vec<Key>,
    pub(super) caption: &'a str,
}

/// Explains a sample: in the legend where the text fits, else there by a short name and in the caption by the text.
pub(super) fn explain<'a>(sample: Sample, short_name: &str, text: &'a str) -> Explanation<'a> {
    let long = text.chars().count() > theme::LONGEST_EXPLANATION;
    let name = if long || text.is_empty() {
        short_name
    } else {
        text
    };
    Explanation {
        legend: vec![Key {
            sample,
            name: text::clean(name),
        }],
        caption: if long { text } else { "" },
    }
}

/// Height of the legend in a width.
pub(super) fn height(keys: &[Key], room: f64) -> f64 {
    rows(keys, room).len() as f64 * ROW
}

/// Draws the legend from its upper left corner.
pub(super) fn draw(canvas: &mut Canvas, keys: &[Key], from: Place, room: f64) {
    for (row, keys) in rows(keys, room).into_iter().enumerate() {
        let middle = from.y + (row as f64 + 0.5) * ROW;
        draw_row(canvas, keys, place(from.x, middle));
    }
}

/// The entries in rows of a width.
fn rows(keys: &[Key], room: f64) -> Vec<Vec<&Key>> {
    let mut rows: Vec<Vec<&Key>> = Vec::new();
    let mut used = 0.0;
    for key in keys {
        used += key.width();
        match rows.last_mut() {
            Some(row) if used <= room => row.push(key),
            _ => {
                rows.push(vec![key]);
                used = key.width();
            }
        }
    }
    rows
}

fn draw_row(canvas: &mut Canvas, keys: Vec<&Key>, from: Place) {
    let mut left = from.x;
    for key in keys {
        let swatch = Area::between(
            place(left, from.y - 5.5),
            place(left + SAMPLE, from.y + 5.5),
        );
        let middle = place(left + SAMPLE / 2.0, from.y);
        draw_sample(canvas, key.sample, swatch, middle);
        let at = place(left + SAMPLE + theme::GAP, from.y);
        canvas.label(Label::new(&key.name, at, theme::TICK_SIZE));
        left += key.width();
    }
}

fn draw_sample(canvas: &mut Canvas, sample: Sample, swatch: Area, middle: Place) {
    match sample {
        Sample::Series(position) => {
            let look = theme::series_look(position);
            marks::mark(canvas, look, middle, theme::MARK_RADIUS);
        }
        Sample::Layer(position) => hatching::layer(canvas, theme::layer_look(position), swatch),
        Sample::Run => canvas.disc(middle, theme::MARK_RADIUS * 0.8, theme::QUIET_MARK),
        Sample::OpenMean => marks::mark(canvas, theme::OPEN_MEAN, middle, theme::MARK_RADIUS),
        Sample::Mean => {
            let arm = SAMPLE / 2.0 - 1.0;
            let ends = [middle.x - arm, middle.x + arm];
            marks::level_bar(canvas, middle.y, ends, 3.0, theme::MEAN_BAR);
            marks::mark(canvas, theme::MEAN, middle, theme::MARK_RADIUS);
        }
        Sample::Limits => {
            canvas.area(&swatch.corners(), theme::BAND);
            for y in [swatch.top, swatch.bottom] {
                canvas.path(&swatch.across(y), theme::AXIS_LINE);
            }
        }
        Sample::Band => {
            canvas.area(&swatch.corners(), theme::BAND);
            canvas.path(&swatch.across(middle.y), theme::CURVE);
        }
        Sample::Region(hatching) => {
            let raster = Raster {
                across: vec![swatch.left, swatch.right],
                upwards: vec![swatch.bottom, swatch.top],
            };
            cells::hatched(canvas, &raster, &[true], hatching);
        }
        Sample::Line => canvas.path(&swatch.across(middle.y), theme::CURVE),
        Sample::Contour => canvas.path(&swatch.across(middle.y), theme::DARK_LINE),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_that_do_not_fit_beside_each_other_stand_in_rows() {
        let key = Key::new(Sample::Series(0), "contained yield");
        let room = 2.5 * key.width();
        let keys = vec![key; 5];
        let counts: Vec<usize> = rows(&keys, room).iter().map(Vec::len).collect();
        assert_eq!(counts, [2, 2, 1]);
        assert_eq!(height(&[], room), 0.0);
    }

    #[test]
    fn an_explanation_too_long_for_a_legend_moves_below_the_chart() {
        let long = "bars: 95 % intervals, ".repeat(9);
        let explanation = explain(Sample::Mean, "mean", &long);
        assert_eq!(explanation.legend[0].name, "mean");
        assert_eq!(explanation.caption, long);
        assert_eq!(explain(Sample::Mean, "mean", "bars: k = 1").caption, "");
    }
}
