//! Where does the name of a point stand?
//!
//! In: named places and the places of all marks. Out: names beside their points, out of the way of marks and other names.
//! This module never leaves a name out: where no place is free, it takes the one with the least overlap.

use super::area::{Area, Place, place};
use super::canvas::{Canvas, Label};
use super::{text, theme};

/// Half the width that a mark keeps free around itself.
const CLEARANCE: f64 = 5.0;

/// A name and the point that it belongs to.
#[derive(Debug, Clone)]
pub(super) struct NamedPlace {
    pub(super) at: Place,
    pub(super) name: String,
}

/// Draws all names inside an area, avoiding marks and upright or level bars alike.
pub(super) fn draw(canvas: &mut Canvas, area: Area, named: &[NamedPlace], taken: &[Area]) {
    write(canvas, area, named, taken, Ground::AsItIs);
}

/// The same with paper behind each name, for names that stand on hatching.
pub(super) fn draw_on_paper(canvas: &mut Canvas, area: Area, named: &[NamedPlace], taken: &[Area]) {
    write(canvas, area, named, taken, Ground::Paper);
}

/// What lies behind a name.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Ground {
    AsItIs,
    Paper,
}

fn write(canvas: &mut Canvas, area: Area, named: &[NamedPlace], taken: &[Area], ground: Ground) {
    let mut taken = taken.to_vec();
    for point in named {
        let name = text::shorten(&point.name, theme::LONGEST_NAME);
        let Some(chosen) = best(&candidates(point.at, &name), area, &taken) else {
            continue;
        };
        taken.push(chosen);
        if ground == Ground::Paper {
            canvas.area(chosen.corners(), theme::PAPER);
        }
        canvas.label(Label::new(
            name,
            place(chosen.left, (chosen.top + chosen.bottom) / 2.0),
            theme::NAME_SIZE,
        ));
    }
}

/// The area that a mark keeps free.
pub(super) fn around(at: Place) -> Area {
    Area {
        left: at.x - CLEARANCE,
        right: at.x + CLEARANCE,
        top: at.y - CLEARANCE,
        bottom: at.y + CLEARANCE,
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
    [
        place(right, at.y),
        place(left, at.y),
        place(right, at.y - step * 0.7),
        place(right, at.y + step * 0.7),
        place(left, at.y - step * 0.7),
        place(left, at.y + step * 0.7),
        place(centred, at.y - step),
        place(centred, at.y + step),
    ]
    .into_iter()
    .map(|start| Area {
        left: start.x,
        right: start.x + width,
        top: start.y - half,
        bottom: start.y + half,
    })
    .collect()
}

/// The candidate with the fewest overlaps, the first among equals; leaving the area counts most.
fn best(candidates: &[Area], area: Area, taken: &[Area]) -> Option<Area> {
    candidates.iter().copied().min_by_key(|candidate| {
        let overlaps = taken
            .iter()
            .filter(|other| candidate.overlaps(**other))
            .count();
        (!area.holds(*candidate), overlaps)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_makes_way_for_a_neighbour() {
        let area = Area {
            left: 0.0,
            right: 400.0,
            top: 0.0,
            bottom: 400.0,
        };
        let spots = candidates(place(200.0, 200.0), "B-001");
        assert_eq!(best(&spots, area, &[]), Some(spots[0]));
        let neighbour = around(place(215.0, 200.0));
        let chosen = best(&spots, area, &[neighbour]).expect("there are candidates");
        assert!(!chosen.overlaps(neighbour));
    }

    #[test]
    fn a_name_at_the_right_edge_stands_at_the_left_of_its_point() {
        let area = Area {
            left: 0.0,
            right: 100.0,
            top: 0.0,
            bottom: 100.0,
        };
        let spots = candidates(place(98.0, 50.0), "B-001");
        let chosen = best(&spots, area, &[]).expect("there are candidates");
        assert!(chosen.right < 98.0);
    }
}
