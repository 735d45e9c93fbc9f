//! Which run or level stands where?
//!
//! In: names in their order, and the group of each. Out: evenly spaced places, names below them, groups marked along.
//! This module never reorders a name.

use super::area::{Area, place};
use super::canvas::{Anchor, Canvas, Label, Turn};
use super::{text, theme};

/// Room between names and the marks of groups.
const GROUP_GAP: f64 = 8.0;
/// Longest name of a group that is written upright.
const LONGEST_UPRIGHT_GROUP: usize = 14;
/// Most changes of the group for which the data area shows where one ends.
const MOST_DIVIDERS: usize = 20;

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

impl Categories {
    /// Names and their groups on a width; names stand level where all of them fit, else upright.
    pub(super) fn new(names: &[String], groups: &[String], width: f64) -> Categories {
        let names: Vec<String> = names
            .iter()
            .map(|name| text::shorten(name, theme::LONGEST_NAME))
            .collect();
        let slot = width / names.len().max(1) as f64;
        let level: Option<Vec<Vec<String>>> =
            names.iter().map(|name| level_lines(name, slot)).collect();
        let groups = neighbours(groups);
        let group_fits =
            |group: &Group| text::width(&group.name, theme::NAME_SIZE) <= group.count as f64 * slot;
        Categories {
            turn: match level {
                Some(_) => Turn::Level,
                None => Turn::Upwards,
            },
            group_turn: if groups.iter().all(group_fits) {
                Turn::Level
            } else {
                Turn::Upwards
            },
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
            Turn::Upwards => self
                .lines
                .iter()
                .flatten()
                .map(|name| text::width(name, self.size()))
                .fold(0.0, f64::max),
        };
        extent + theme::GAP
    }

    fn group_room(&self) -> f64 {
        if self.groups.is_empty() {
            return 0.0;
        }
        let extent = match self.group_turn {
            Turn::Level => theme::NAME_SIZE * theme::LINE_HEIGHT,
            Turn::Upwards => self
                .groups
                .iter()
                .map(|group| text::width(&upright_group(&group.name), theme::NAME_SIZE))
                .fold(0.0, f64::max),
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
            canvas.line(
                place(x, area.top),
                place(x, area.bottom),
                theme::GRID,
                theme::AXIS_STROKE,
            );
        }
    }

    /// Draws the names and the groups; of more than about ninety runs only every second, third, ... has its name.
    pub(super) fn draw(&self, canvas: &mut Canvas, area: Area) {
        let every = self.lines.len().div_ceil(theme::MOST_RUN_NAMES).max(1);
        let top = area.bottom + theme::GAP;
        for (position, lines) in self.lines.iter().enumerate().step_by(every) {
            let x = self.at(area, position);
            for (row, line) in lines.iter().enumerate() {
                let down = (row as f64 * theme::LINE_HEIGHT + 0.5) * self.size();
                canvas.label(match self.turn {
                    Turn::Level => Label::new(line.clone(), place(x, top + down), self.size())
                        .anchor(Anchor::Middle),
                    Turn::Upwards => Label::new(line.clone(), place(x, top), self.size())
                        .anchor(Anchor::End)
                        .turn(Turn::Upwards),
                });
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
            canvas.line(
                place(left + inset, y),
                place(right - inset, y),
                theme::SOFT_INK,
                theme::BAR_STROKE,
            );
            let middle = (left + right) / 2.0;
            match self.group_turn {
                Turn::Level => canvas.label(
                    Label::new(
                        group.name.clone(),
                        place(middle, y + theme::GAP + theme::NAME_SIZE / 2.0),
                        theme::NAME_SIZE,
                    )
                    .anchor(Anchor::Middle),
                ),
                Turn::Upwards if middle - theme::NAME_SIZE / 2.0 >= free => {
                    free = middle + theme::NAME_SIZE / 2.0;
                    canvas.label(
                        Label::new(
                            upright_group(&group.name),
                            place(middle, y + theme::GAP),
                            theme::NAME_SIZE,
                        )
                        .anchor(Anchor::End)
                        .turn(Turn::Upwards),
                    );
                }
                Turn::Upwards => {}
            }
        }
    }
}

fn upright_group(name: &str) -> String {
    text::shorten(name, LONGEST_UPRIGHT_GROUP)
}

/// Groups of neighbours in the order in which they stand.
fn neighbours(groups: &[String]) -> Vec<Group> {
    let mut found: Vec<Group> = Vec::new();
    for (position, name) in groups.iter().enumerate() {
        let name = text::shorten(name, theme::LONGEST_NAME);
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

    fn names(count: usize) -> Vec<String> {
        (1..=count).map(|run| format!("B-{run:03}")).collect()
    }

    #[test]
    fn names_stand_level_only_where_all_of_them_fit() {
        assert_eq!(Categories::new(&names(6), &[], 760.0).turn, Turn::Level);
        assert_eq!(Categories::new(&names(64), &[], 760.0).turn, Turn::Upwards);
    }

    #[test]
    fn a_name_of_several_words_stands_level_in_two_lines() {
        let names = ["chill", "seeded chill overnight"].map(String::from);
        let categories = Categories::new(&names, &[], 260.0);
        assert_eq!(categories.turn, Turn::Level);
        assert_eq!(categories.lines[1], ["seeded chill", "overnight"]);
    }

    #[test]
    fn the_same_group_further_along_is_marked_again() {
        let groups = ["A", "A", "B", "A"].map(String::from);
        let found = neighbours(&groups);
        let counts: Vec<usize> = found.iter().map(|group| group.count).collect();
        assert_eq!(counts, [2, 1, 1]);
    }
}
