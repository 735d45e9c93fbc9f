//! Where did it go, run by run?
//!
//! In: a [`StackChart`]. Out: its picture, one stacked bar a run; negative layers hang below zero.
//! This module never scales a stack to a whole: a bar beyond 100 % is shown beyond it.

use super::area::{Area, place};
use super::axis::{Range, is_drawable};
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::run_sheet::{RunSheet, Surroundings};
use super::{StackChart, hatching, one_each, reference_lines, theme};
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

impl StackChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::OutOfRange`] if a layer does not have one value a run;
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        for layer in &self.layers {
            one_each("values", layer.values.len(), self.runs.len())?;
        }
        let pieces = self.pieces();
        if pieces.is_empty() {
            return Plan::nothing_to_show(&self.question);
        }
        let reached = pieces.iter().map(|piece| piece.to);
        let reached = reached.chain(reference_lines::values(&self.lines));
        let range = Range::covering(reached.chain([0.0])).unwrap_or(Range {
            low: 0.0,
            high: 0.0,
        });
        let legend = self
            .layers
            .iter()
            .enumerate()
            .map(|(position, layer)| Key::new(Sample::Layer(position), &layer.name))
            .collect();
        let surroundings = Surroundings {
            question: &self.question,
            y_label: &self.y_label,
            legend,
            runs: &self.runs,
            groups: &[],
            lines: &self.lines,
        };
        let mut sheet = surroundings.open(range.padded_from_zero());
        draw_pieces(&mut sheet, &pieces);
        // A line at 100 % must be seen across the bars that reach beyond it.
        sheet.draw_lines(&self.lines);
        sheet.frame.canvas.finish(&self.question)
    }

    /// All layers of all runs, positive ones stacked up from zero and negative ones down.
    fn pieces(&self) -> Vec<Piece> {
        let mut pieces = Vec::new();
        for run in 0..self.runs.len() {
            let (mut up, mut down) = (0.0, 0.0);
            for (position, layer) in self.layers.iter().enumerate() {
                let value = layer.values[run];
                let from = if value < 0.0 { &mut down } else { &mut up };
                let to = *from + value;
                if is_drawable(to) {
                    pieces.push(Piece {
                        run,
                        layer: position,
                        from: *from,
                        to,
                    });
                    *from = to;
                }
            }
        }
        pieces
    }
}

fn draw_pieces(sheet: &mut RunSheet, pieces: &[Piece]) {
    let RunSheet {
        frame,
        axis,
        categories,
    } = sheet;
    let half = (categories.slot() * BAR_SHARE).min(WIDEST_BAR) / 2.0;
    for piece in pieces.iter().filter(|piece| piece.from != piece.to) {
        let middle = categories.at(frame.area, piece.run);
        let (from, to) = (axis.at(piece.from), axis.at(piece.to));
        let area = Area {
            left: middle - half,
            right: middle + half,
            top: from.min(to),
            bottom: from.max(to),
        };
        hatching::layer(&mut frame.canvas, theme::layer_look(piece.layer), area);
    }
    let zero = axis.at(0.0);
    frame.canvas.line(
        place(frame.area.left, zero),
        place(frame.area.right, zero),
        theme::SOFT_INK,
        theme::AXIS_STROKE,
    );
}

#[cfg(test)]
mod tests {
    use super::super::Layer;
    use super::*;

    fn chart(layers: &[&[f64]]) -> StackChart {
        StackChart {
            question: "Where did the copper go?".to_string(),
            y_label: "share of the copper charged / %".to_string(),
            runs: (0..layers[0].len())
                .map(|run| format!("B-{run:03}"))
                .collect(),
            layers: layers
                .iter()
                .map(|values| Layer {
                    name: "crop".to_string(),
                    values: values.to_vec(),
                })
                .collect(),
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
