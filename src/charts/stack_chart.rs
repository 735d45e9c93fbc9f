//! Shares of a whole, stacked run by run.
//!
//! In: a [`StackChart`]. Out: its picture, one stacked bar a run; negative layers hang below zero.
//! This module never scales a stack to a whole: a bar beyond 100 % is shown beyond it.

use super::axis::{Range, is_drawable};
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::places::{Area, place};
use super::run_by_run::{Sheet, Surroundings};
use super::slots::thinned;
use super::{ReferenceLine, Slot, hatching, reference_lines, theme};
use crate::error::Error;

/// Share of a slot that a bar covers.
const BAR_SHARE: f64 = 0.76;
/// Widest bar.
const WIDEST_BAR: f64 = 64.0;

/// One layer of one run, between two values.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    run: usize,
    layer: usize,
    from: f64,
    to: f64,
}

/// Where it went: stacked bars run by run.
#[derive(Debug, Clone, PartialEq)]
pub struct StackChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Quantity and unit of the layers.
    pub y_label: String,
    /// Where the share of each layer went, from the zero line outwards.
    pub layers: Vec<String>,
    /// The runs, in the order in which they are drawn, each with a value for each layer; negative values hang below zero.
    pub runs: Vec<Slot<Vec<f64>>>,
    /// Horizontal reference lines.
    pub lines: Vec<ReferenceLine>,
}

impl StackChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        if let Some(runs) = thinned(&self.runs, |_| false) {
            return Self {
                runs,
                ..self.clone()
            }
            .drawn();
        }
        self.drawn()
    }

    /// The picture of all its runs.
    fn drawn(&self) -> Result<String, Error> {
        let pieces = self.pieces();
        let reached = pieces.iter().map(|piece| piece.to);
        let reached = reached.chain(reference_lines::values(&self.lines));
        let Some(range) = Range::covering(reached).filter(|_| !pieces.is_empty()) else {
            return Plan::nothing_to_show(&self.question);
        };
        let layers = self.layers.iter().enumerate();
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend: layers
                .map(|(position, name)| Key::new(Sample::Layer(position), name))
                .collect(),
            caption: "",
            lines: &self.lines,
            slot_width: theme::RUN_WIDTH,
        };
        let mut sheet = surroundings.open(&self.runs, range.with_zero().padded_from_zero());
        draw_pieces(&mut sheet, &pieces);
        // A line at 100 % must be seen across the bars that reach beyond it.
        sheet.draw_lines(&self.lines);
        sheet.frame.canvas.finish(&self.question)
    }

    /// All layers of all runs, positive ones stacked up from zero and negative ones down.
    fn pieces(&self) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for (run, slot) in self.runs.iter().enumerate() {
            let (mut up, mut down) = (0.0, 0.0);
            for (layer, value) in slot.shown.iter().enumerate() {
                let end = if *value < 0.0 { &mut down } else { &mut up };
                let (from, to) = (*end, *end + value);
                if is_drawable(to) {
                    pieces.push(Piece {
                        run,
                        layer,
                        from,
                        to,
                    });
                    *end = to;
                }
            }
        }
        pieces
    }
}

fn draw_pieces(sheet: &mut Sheet, pieces: &[Piece]) {
    let half = (sheet.categories.slot() * BAR_SHARE).min(WIDEST_BAR) / 2.0;
    for piece in pieces.iter().filter(|piece| piece.from != piece.to) {
        let middle = sheet.middle(piece.run);
        let area = Area::between(
            place(middle - half, sheet.axis.at(piece.from)),
            place(middle + half, sheet.axis.at(piece.to)),
        );
        let look = theme::layer_look(piece.layer);
        hatching::layer(&mut sheet.frame.canvas, look, area);
    }
    let zero = sheet.frame.area.across(sheet.axis.at(0.0));
    sheet.frame.canvas.path(&zero, theme::AXIS_LINE);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(layers: &[&[f64]]) -> StackChart {
        let run = |run: usize| Slot {
            name: format!("B-{run:03}"),
            group: None,
            shown: layers.iter().map(|values| values[run]).collect(),
        };
        StackChart {
            question: "Where did the copper go?".to_string(),
            y_label: "share of the copper charged / %".to_string(),
            layers: vec!["crop".to_string(); layers.len()],
            runs: (0..layers[0].len()).map(run).collect(),
            lines: Vec::new(),
        }
    }

    #[test]
    fn positive_layers_stack_up_and_negative_ones_hang_down() {
        let pieces = chart(&[&[60.0], &[-5.0], &[30.0], &[-2.0]]).pieces();
        let spans: Vec<[f64; 2]> = pieces.iter().map(|piece| [piece.from, piece.to]).collect();
        assert_eq!(
            spans,
            [[0.0, 60.0], [0.0, -5.0], [60.0, 90.0], [-5.0, -7.0]]
        );
    }

    #[test]
    fn a_layer_that_is_not_finite_is_skipped_and_the_next_one_takes_its_place() {
        let pieces = chart(&[&[60.0], &[f64::NAN], &[30.0]]).pieces();
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces[1].from, 60.0);
    }

    #[test]
    fn layers_of_zeros_make_a_chart() {
        let svg = chart(&[&[0.0, 0.0]]).svg().expect("a chart of zeros");
        assert!(!svg.contains("NaN"));
    }
}
