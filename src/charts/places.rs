//! Places and rectangles in the picture.
//!
//! In: distances from the left and the upper rim, in points of the picture. Out: places, lines and rectangles.
//! This module never draws.

/// A place in the picture, in points from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) x: f64,
    pub(super) y: f64,
}

/// A place from its distances to the left and upper rim.
pub(super) fn place(x: f64, y: f64) -> Place {
    Place { x, y }
}

/// A rectangle in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl Area {
    /// The rectangle with two opposite corners.
    pub(super) fn between(one: Place, other: Place) -> Area {
        Area {
            left: one.x.min(other.x),
            right: one.x.max(other.x),
            top: one.y.min(other.y),
            bottom: one.y.max(other.y),
        }
    }

    /// The square around a place.
    pub(super) fn around(at: Place, half: f64) -> Area {
        Area::between(
            place(at.x - half, at.y - half),
            place(at.x + half, at.y + half),
        )
    }

    /// The place in the middle.
    pub(super) fn middle(self) -> Place {
        place(
            self.left + (self.right - self.left) / 2.0,
            self.top + (self.bottom - self.top) / 2.0,
        )
    }

    /// The level line across at a height.
    pub(super) fn across(self, y: f64) -> [Place; 2] {
        [place(self.left, y), place(self.right, y)]
    }

    /// The upright line from the upper to the lower side at a distance from the left rim of the picture.
    pub(super) fn downwards(self, x: f64) -> [Place; 2] {
        [place(x, self.top), place(x, self.bottom)]
    }

    /// The four corners, around once.
    pub(super) fn corners(self) -> Vec<Place> {
        let ([one, two], [four, three]) = (self.across(self.top), self.across(self.bottom));
        vec![one, two, three, four]
    }

    /// The place within the area that is nearest to another one.
    pub(super) fn nearest(self, to: Place) -> Place {
        place(
            to.x.clamp(self.left, self.right),
            to.y.clamp(self.top, self.bottom),
        )
    }

    pub(super) fn overlaps(self, other: Area) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(super) fn holds(self, other: Area) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }
}

/// The corners with the first two again at the end, so that the last corner is as sharp as the others.
pub(super) fn closed(mut corners: Vec<Place>) -> Vec<Place> {
    corners.extend_from_within(..corners.len().min(2));
    corners
}
