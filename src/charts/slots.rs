//! Slots along the lower edge: a name for each run or level, and the groups of neighbours.
//!
//! In: slots in their order, each with its name and its group. Out: evenly spaced places, names below them, groups marked along.
//! This module never reorders a slot.

use super::canvas::{Anchor, Canvas, Label, Turn};
use super::places::{Area, place};
use super::text;
use super::theme::{self, pen};
use crate::error::{Error, ErrorKind};

/// Room between names and the marks of groups.
const GROUP_GAP: f64 = 8.0;
/// Longest name of a group that is written upright.
const LONGEST_UPRIGHT_GROUP: usize = 14;
/// Most changes of the group for which the data area shows where one ends.
const MOST_DIVIDERS: usize = 20;

/// A run or a level along the lower edge of a chart, with what is shown of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot<T> {
    /// Its name.
    pub name: String,
    /// Its group (the lot of a run); neighbours of one group are marked together, unless no slot has any.
    pub group: Option<String>,
    /// What is shown of it.
    pub shown: T,
}

/// Most runs or points of which a chart draws each.
pub const MOST_DRAWN: usize = 2000;

/// Of too many evenly spread ones, and all that are to stay; None of [`MOST_DRAWN`] or fewer.
pub(super) fn thinned<T: Clone>(of: &[T], stays: impl Fn(&T) -> bool) -> Option<Vec<T>> {
    let every = of.len().div_ceil(MOST_DRAWN);
    let drawn = of.iter().enumerate();
    let drawn = drawn.filter(|(at, one)| at % every == 0 || stays(one));
    (every > 1).then(|| drawn.map(|(_, one)| one.clone()).collect())
}

/// Asks that each slot shows as many values as there are series, so that none stands under the name of another.
///
/// # Errors
/// [`ErrorKind::OutOfRange`] for the first slot that does not.
pub(super) fn one_for_each_series<T>(
    slots: &[Slot<T>],
    series: usize,
    count: impl Fn(&T) -> usize,
) -> Result<(), Error> {
    match slots.iter().find(|slot| count(&slot.shown) != series) {
        Some(slot) => Err(Error::new(
            ErrorKind::OutOfRange,
            format!(
                "{} values of {} for {series} series",
                count(&slot.shown),
                slot.name
            ),
        )),
        None => Ok(()),
    }
}

/// Names along the lower edge, each in the middle of its slot.
#[derive(Debug, Clone)]
pub(super) struct Categories {
    /// The lines of each name; one where names stand upright.
    lines: Vec<Vec<String>>,
    groups: Vec<Group>,
    slot: f64,
    turn: Turn,
    group_turn: Turn,
}

/// The lines of a name that fits its slot in one line or, between words, in two.
fn level_lines(name: &str, slot: f64) -> Option<Vec<String>> {
    let room = slot - theme::GAP;
    let fits = |word: &str| text::width(word, theme::TICK_SIZE) <= room;
    let fitted = text::fit(name, room, theme::TICK_SIZE, theme::TICK_SIZE, 3);
    (name.split(' ').all(fits) && fitted.lines.len() <= 2).then_some(fitted.lines)
}

/// Neighbours of the same group.
#[derive(Debug, Clone, PartialEq)]
struct Group {
    name: String,
    first: usize,
    count: usize,
}

impl Group {
    fn upright_name(&self) -> String {
        text::shorten(&self.name, LONGEST_UPRIGHT_GROUP)
    }
}

impl Categories {
    /// Names and their groups on a width; names stand level where all of them fit, else upright.
    pub(super) fn new<T>(slots: &[Slot<T>], width: f64) -> Categories {
        let names: Vec<String> = slots
            .iter()
            .map(|slot| text::shorten(&slot.name, theme::LONGEST_NAME))
            .collect();
        let slot = width / names.len().max(1) as f64;
        let level: Option<Vec<Vec<String>>> =
            names.iter().map(|name| level_lines(name, slot)).collect();
        let groups = neighbours(slots);
        let group_fits =
            |group: &Group| text::width(&group.name, theme::NAME_SIZE) <= group.count as f64 * slot;
        let turn = |fits: bool| if fits { Turn::Level } else { Turn::Upwards };
        Categories {
            turn: turn(level.is_some()),
            group_turn: turn(groups.iter().all(group_fits)),
            lines: level.unwrap_or_else(|| names.into_iter().map(|name| vec![name]).collect()),
            groups,
            slot,
        }
    }

    /// Width of one slot.
    pub(super) fn slot(&self) -> f64 {
        self.slot
    }

    /// Middle of a slot.
    pub(super) fn at(&self, area: Area, position: usize) -> f64 {
        area.left + (position as f64 + 0.5) * self.slot
    }

    /// Room that names and groups need below the data.
    pub(super) fn room_below(&self) -> f64 {
        self.name_room() + self.group_room()
    }

    fn size(&self) -> f64 {
        match self.turn {
            Turn::Level => theme::TICK_SIZE,
            Turn::Upwards => theme::NAME_SIZE,
        }
    }

    fn name_room(&self) -> f64 {
        let extent = match self.turn {
            Turn::Level => {
                let most = self.lines.iter().map(Vec::len).max().unwrap_or(1);
                most as f64 * self.size() * theme::LINE_HEIGHT
            }
            Turn::Upwards => {
                let names = self.lines.iter().flatten().map(String::as_str);
                text::widest(names, self.size())
            }
        };
        extent + theme::GAP
    }

    fn group_room(&self) -> f64 {
        if self.groups.is_empty() {
            return 0.0;
        }
        let extent = match self.group_turn {
            Turn::Level => theme::NAME_SIZE * theme::LINE_HEIGHT,
            Turn::Upwards => {
                let names: Vec<String> = self.groups.iter().map(Group::upright_name).collect();
                text::widest(names.iter().map(String::as_str), theme::NAME_SIZE)
            }
        };
        GROUP_GAP + theme::GAP + extent
    }

    /// Draws what belongs behind the data: where one group ends.
    pub(super) fn draw_dividers(&self, canvas: &mut Canvas, area: Area) {
        if self.groups.len() > MOST_DIVIDERS {
            return;
        }
        for group in self.groups.iter().skip(1) {
            let x = area.left + group.first as f64 * self.slot;
            canvas.path(&area.downwards(x), theme::DIVIDER);
        }
    }

    /// Draws the names and the groups; of more than forty runs only every second, third, ... has its name.
    pub(super) fn draw(&self, canvas: &mut Canvas, area: Area) {
        let every = self.lines.len().div_ceil(theme::MOST_RUN_NAMES).max(1);
        let top = area.bottom + theme::GAP;
        for (position, lines) in self.lines.iter().enumerate().step_by(every) {
            let x = self.at(area, position);
            for (row, line) in lines.iter().enumerate() {
                let down = (row as f64 * theme::LINE_HEIGHT + 0.5) * self.size();
                let (y, anchor) = match self.turn {
                    Turn::Level => (top + down, Anchor::Center),
                    Turn::Upwards => (top, Anchor::Right),
                };
                let label = Label::new(line, place(x, y), self.size());
                canvas.label(label.anchor(anchor).turn(self.turn));
            }
        }
        self.draw_groups(canvas, area);
    }

    fn draw_groups(&self, canvas: &mut Canvas, area: Area) {
        let y = area.bottom + self.name_room() + GROUP_GAP;
        let mut free = f64::NEG_INFINITY;
        for group in &self.groups {
            let left = area.left + group.first as f64 * self.slot;
            let right = left + group.count as f64 * self.slot;
            let inset = (self.slot * 0.15).min(3.0);
            let ends = [place(left + inset, y), place(right - inset, y)];
            canvas.path(&ends, pen(theme::SOFT_INK, theme::BAR_STROKE));
            let middle = (left + right) / 2.0;
            let half = theme::NAME_SIZE / 2.0;
            let (name, y, anchor) = match self.group_turn {
                Turn::Level => (group.name.clone(), y + theme::GAP + half, Anchor::Center),
                Turn::Upwards if middle - half >= free => {
                    free = middle + half;
                    (group.upright_name(), y + theme::GAP, Anchor::Right)
                }
                Turn::Upwards => continue,
            };
            let label = Label::new(name, place(middle, y), theme::NAME_SIZE);
            canvas.label(label.anchor(anchor).turn(self.group_turn));
        }
    }
}

/// Groups of neighbours in the order in which they stand; none where no slot has a group.
fn neighbours<T>(slots: &[Slot<T>]) -> Vec<Group> {
    let mut found: Vec<Group> = Vec::new();
    if slots.iter().all(|slot| slot.group.is_none()) {
        return found;
    }
    for (position, slot) in slots.iter().enumerate() {
        let name = text::shorten(slot.group.as_deref().unwrap_or(""), theme::LONGEST_NAME);
        match found.last_mut() {
            Some(group) if group.name == name => group.count += 1,
            _ => found.push(Group {
                name,
                first: position,
                count: 1,
            }),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(name: &str, group: Option<&str>) -> Slot<()> {
        Slot {
            name: name.to_string(),
            group: group.map(String::from),
            shown: (),
        }
    }

    fn slots(count: usize) -> Vec<Slot<()>> {
        (1..=count)
            .map(|run| slot(&format!("B-{run:03}"), None))
            .collect()
    }

    #[test]
    fn of_too_many_runs_evenly_spread_ones_are_drawn_and_those_that_are_to_stay() {
        let few = thinned(&slots(5000), |slot| slot.name == "B-5000").expect("too many");
        let names: Vec<&str> = few.iter().map(|slot| slot.name.as_str()).collect();
        assert_eq!(few.len(), 1668);
        assert_eq!(names[..2], ["B-001", "B-004"]);
        assert_eq!(names[1666..], ["B-4999", "B-5000"]);
        assert!(thinned(&slots(MOST_DRAWN), |_| false).is_none());
    }

    #[test]
    fn names_stand_level_only_where_all_of_them_fit() {
        assert_eq!(Categories::new(&slots(6), 760.0).turn, Turn::Level);
        assert_eq!(Categories::new(&slots(64), 760.0).turn, Turn::Upwards);
    }

    #[test]
    fn a_name_of_several_words_stands_level_in_two_lines() {
        let slots = ["chill", "seeded chill overnight"].map(|name| slot(name, None));
        let categories = Categories::new(&slots, 260.0);
        assert_eq!(categories.turn, Turn::Level);
        assert_eq!(categories.lines[1], ["seeded chill", "overnight"]);
    }

    #[test]
    fn the_same_group_further_along_is_marked_again() {
        let found = neighbours(&["A", "A", "B", "A"].map(|group| slot("", Some(group))));
        let counts: Vec<usize> = found.iter().map(|group| group.count).collect();
        assert_eq!(counts, [2, 1, 1]);
    }
}
