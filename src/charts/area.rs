//! Where in the picture?
//!
//! In: distances from the left and the upper rim, in points of the picture. Out: places and rectangles.
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
    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(self) -> f64 {
        self.bottom - self.top
    }

    /// The four corners, around once.
    pub(super) fn corners(self) -> Vec<Place> {
        vec![
            place(self.left, self.top),
            place(self.right, self.top),
            place(self.right, self.bottom),
            place(self.left, self.bottom),
        ]
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
    let again: Vec<Place> = corners.iter().take(2).copied().collect();
    corners.extend(again);
    corners
}
