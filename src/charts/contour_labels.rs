//! Where does the label of a contour line stand?
//!
//! In: contour lines in the picture with their labels, and what else stands there. Out: the lines drawn, each with its
//! label on a gap of paper.
//! This module never draws a label on a line that is too short for it.

use super::area::{Area, Place, place};
use super::canvas::{Anchor, Canvas, Label};
use super::{text, theme};

/// Places along a line that a label tries, as shares of its places.
const TRIED: [f64; 9] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9];
/// A line must be so many times as long as its label.
const LEAST_LENGTH: f64 = 1.6;

/// One contour line in the picture.
pub(super) struct Line<'a> {
    pub(super) label: &'a str,
    pub(super) places: Vec<Place>,
}

/// Draws all lines, then their labels, and returns the areas that the labels take.
pub(super) fn draw(
    canvas: &mut Canvas,
    lines: &[Line],
    bounds: Area,
    occupied: &[Area],
) -> Vec<Area> {
    for line in lines {
        canvas.path(line.places.clone(), theme::INK, theme::AXIS_STROKE);
    }
    let mut labels: Vec<Area> = Vec::new();
    for line in lines {
        let text = text::shorten(line.label, theme::LONGEST_NAME);
        let width = text::width(&text, theme::NAME_SIZE);
        if text.is_empty() || length(&line.places) < LEAST_LENGTH * width {
            continue;
        }
        let free = TRIED.iter().filter_map(|share| {
            let position = (share * line.places.len() as f64) as usize;
            let at = *line.places.get(position)?;
            let area = around(at, width);
            bounds.holds(area).then_some(area)
        });
        // Marks and other labels count against a place; among equals the first, nearest to the middle of the line.
        let chosen = free.min_by_key(|area| {
            let over = |others: &[Area]| others.iter().filter(|o| o.overlaps(*area)).count();
            (over(&labels), over(occupied))
        });
        let Some(area) = chosen.filter(|area| !labels.iter().any(|other| other.overlaps(*area)))
        else {
            continue;
        };
        canvas.area(area.corners(), theme::PAPER);
        let middle = place(
            (area.left + area.right) / 2.0,
            (area.top + area.bottom) / 2.0,
        );
        canvas.label(Label::new(text, middle, theme::NAME_SIZE).anchor(Anchor::Middle));
        labels.push(area);
    }
    labels
}

fn around(at: Place, width: f64) -> Area {
    let half = theme::NAME_SIZE * 0.62;
    Area {
        left: at.x - width / 2.0 - 1.0,
        right: at.x + width / 2.0 + 1.0,
        top: at.y - half,
        bottom: at.y + half,
    }
}

fn length(places: &[Place]) -> f64 {
    places
        .windows(2)
        .map(|pair| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_shorter_than_its_label_is_drawn_without_it() {
        let bounds = Area {
            left: 0.0,
            right: 100.0,
            top: 0.0,
            bottom: 100.0,
        };
        let mut canvas = Canvas::new(100.0, 100.0);
        let line = |to: f64| Line {
            label: "80 %",
            places: vec![place(40.0, 50.0), place(50.0, 50.0), place(to, 50.0)],
        };
        assert!(draw(&mut canvas, &[line(52.0)], bounds, &[]).is_empty());
        assert_eq!(draw(&mut canvas, &[line(98.0)], bounds, &[]).len(), 1);
    }
}
