//! Names beside points and labels on contour lines.
//!
//! In: named places, contour lines with their labels, and the areas of what else stands there. Out: names and labels out of
//! the way of marks and of each other.
//! This module never leaves the name of a point out (where no place is free, it takes the one with the least overlap), and
//! never draws a label on a contour line that is too short for it.

use super::canvas::{Anchor, Canvas, Label};
use super::places::{Area, Place, place};
use super::{text, theme};

/// Half the width that a mark keeps free around itself.
const CLEARANCE: f64 = 5.0;
/// Places along a contour line that a label tries, as shares of its places.
const TRIED: [f64; 9] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9];
/// A contour line must be so many times as long as its label.
const LEAST_LENGTH: f64 = 1.6;

/// A name and the point that it belongs to.
#[derive(Debug, Clone)]
pub(super) struct NamedPlace<'a> {
    pub(super) at: Place,
    pub(super) name: &'a str,
}

/// One contour line in the picture.
pub(super) struct Line<'a> {
    pub(super) label: &'a str,
    pub(super) places: Vec<Place>,
}

/// What lies behind a name: paper where names stand on hatching.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Ground {
    AsItIs,
    Paper,
}

/// The area that a mark keeps free.
pub(super) fn around(at: Place) -> Area {
    Area::around(at, CLEARANCE)
}

/// Draws all names inside an area, avoiding what is taken: marks and upright or level bars alike.
pub(super) fn draw_names(
    canvas: &mut Canvas,
    area: Area,
    named: &[NamedPlace],
    mut taken: Vec<Area>,
    ground: Ground,
) {
    for point in named {
        let name = text::shorten(point.name, theme::LONGEST_NAME);
        let Some(chosen) = best(&candidates(point.at, &name), area, &taken) else {
            continue;
        };
        taken.push(chosen);
        if ground == Ground::Paper {
            canvas.area(&chosen.corners(), theme::PAPER);
        }
        let at = place(chosen.left, (chosen.top + chosen.bottom) / 2.0);
        canvas.label(Label::new(name, at, theme::NAME_SIZE));
    }
}

/// Places for a name, the preferred ones first: at the sides, above and below, then at the corners.
fn candidates(at: Place, name: &str) -> Vec<Area> {
    let width = text::width(name, theme::NAME_SIZE);
    let half = theme::NAME_SIZE * 0.6;
    let step = CLEARANCE + 1.0 + half;
    let right = at.x + CLEARANCE + 1.0;
    let left = at.x - CLEARANCE - 1.0 - width;
    let centred = at.x - width / 2.0;
    let starts = [
        place(right, at.y),
        place(left, at.y),
        place(right, at.y - step * 0.7),
        place(right, at.y + step * 0.7),
        place(left, at.y - step * 0.7),
        place(left, at.y + step * 0.7),
        place(centred, at.y - step),
        place(centred, at.y + step),
    ];
    let area = |start: Place| {
        Area::between(
            place(start.x, start.y - half),
            place(start.x + width, start.y + half),
        )
    };
    starts.map(area).to_vec()
}

/// The candidate with the fewest overlaps, the first among equals; leaving the area counts most.
fn best(candidates: &[Area], area: Area, taken: &[Area]) -> Option<Area> {
    let overlaps = |candidate: &Area| overlaps(*candidate, taken);
    let cost = |candidate: &&Area| (!area.holds(**candidate), overlaps(candidate));
    candidates.iter().min_by_key(cost).copied()
}

fn overlaps(area: Area, others: &[Area]) -> usize {
    others.iter().filter(|other| other.overlaps(area)).count()
}

/// Draws all contour lines, then their labels, and returns the areas that the labels take.
pub(super) fn draw_contours(
    canvas: &mut Canvas,
    lines: &[Line],
    bounds: Area,
    occupied: &[Area],
) -> Vec<Area> {
    for line in lines {
        canvas.path(&line.places, theme::DARK_LINE);
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
            let area = on_line(*line.places.get(position)?, width);
            bounds.holds(area).then_some(area)
        });
        // Marks and other labels count against a place; among equals the first, nearest to the middle of the line.
        let chosen = free.min_by_key(|area| (overlaps(*area, &labels), overlaps(*area, occupied)));
        let Some(area) = chosen.filter(|area| overlaps(*area, &labels) == 0) else {
            continue;
        };
        canvas.area(&area.corners(), theme::PAPER);
        let (over, up) = (area.left + area.right, area.top + area.bottom);
        let label = Label::new(text, place(over / 2.0, up / 2.0), theme::NAME_SIZE);
        canvas.label(label.anchor(Anchor::Center));
        labels.push(area);
    }
    labels
}

/// The area of a label on a contour line.
fn on_line(at: Place, width: f64) -> Area {
    let half = theme::NAME_SIZE * 0.62;
    Area::between(
        place(at.x - width / 2.0 - 1.0, at.y - half),
        place(at.x + width / 2.0 + 1.0, at.y + half),
    )
}

fn length(places: &[Place]) -> f64 {
    let pairs = places.windows(2);
    pairs
        .map(|pair| (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_makes_way_for_a_neighbour() {
        let area = Area::between(place(0.0, 0.0), place(400.0, 400.0));
        let spots = candidates(place(200.0, 200.0), "B-001");
        assert_eq!(best(&spots, area, &[]), Some(spots[0]));
        let neighbour = around(place(215.0, 200.0));
        let chosen = best(&spots, area, &[neighbour]).expect("there are candidates");
        assert!(!chosen.overlaps(neighbour));
    }

    #[test]
    fn a_name_at_the_right_edge_stands_at_the_left_of_its_point() {
        let area = Area::between(place(0.0, 0.0), place(100.0, 100.0));
        let spots = candidates(place(98.0, 50.0), "B-001");
        let chosen = best(&spots, area, &[]).expect("there are candidates");
        assert!(chosen.right < 98.0);
    }

    #[test]
    fn a_line_shorter_than_its_label_is_drawn_without_it() {
        let bounds = Area::between(place(0.0, 0.0), place(100.0, 100.0));
        let mut canvas = Canvas::new(100.0, 100.0);
        let line = |to: f64| Line {
            label: "80 %",
            places: vec![place(40.0, 50.0), place(50.0, 50.0), place(to, 50.0)],
        };
        assert!(draw_contours(&mut canvas, &[line(52.0)], bounds, &[]).is_empty());
        assert_eq!(
            draw_contours(&mut canvas, &[line(98.0)], bounds, &[]).len(),
            1
        );
    }
}
