//! Answers over time, each as a strip that changes where the answer does.
//!
//! In: a [`StripChart`]. Out: its picture, one row a question, from left to right in the order of time.
//! This module never decides whether two answers are the same: each stretch is given.

use super::canvas::{Anchor, Label};
use super::frame::Plan;
use super::legend::{Key, Sample};
use super::places::{Area, closed, place};
use super::slots::{Categories, Slot};
use super::{text, theme};
use crate::error::Error;

/// Height of a row.
const ROW: f64 = 40.0;
/// Room between the strips of two rows.
const BETWEEN: f64 = 4.0;
/// Sizes of answers, the first that breaks no word.
const SIZES: [f64; 3] = [theme::TICK_SIZE, theme::NAME_SIZE, 9.0];
/// Widest names of rows.
const WIDEST_NAME: f64 = 250.0;

/// Answers over time.
#[derive(Debug, Clone, PartialEq)]
pub struct StripChart {
    /// The question that the chart answers; its title.
    pub question: String,
    /// Points in time, from left to right.
    pub times: Vec<String>,
    /// One row a question, from top to bottom.
    pub rows: Vec<StripRow>,
    /// What a filled strip says, for the legend.
    pub firm: String,
    /// What an empty one says.
    pub open: String,
}

/// One row of a [`StripChart`].
#[derive(Debug, Clone, PartialEq)]
pub struct StripRow {
    /// What is asked.
    pub name: String,
    /// Its answers in the order of time; between two of them there may be none.
    pub stretches: Vec<Stretch>,
}

/// One answer, as long as it stood.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Position of the first point in time that has it.
    pub first: usize,
    /// Position of the last one.
    pub last: usize,
    /// The answer.
    pub answer: String,
    /// Whether it is a firm one.
    pub is_firm: bool,
}

impl StripChart {
    /// The picture as an SVG document.
    ///
    /// # Errors
    /// [`crate::error::ErrorKind::Unwritable`] if the picture cannot be drawn.
    pub fn svg(&self) -> Result<String, Error> {
        if self.times.is_empty() || self.rows.is_empty() {
            return Plan::nothing_to_show(&self.question);
        }
        let name =
            |row: &StripRow| text::fit(&row.name, WIDEST_NAME, theme::TICK_SIZE, SIZES[2], 2);
        let names: Vec<_> = self.rows.iter().map(name).collect();
        let widest = names.iter().map(text::Fitted::width).fold(0.0, f64::max);
        let left = theme::MARGIN + widest + 2.0 * theme::GAP;
        let slots: Vec<Slot<()>> = self.times.iter().map(|time| slot(time)).collect();
        let categories = Categories::new(&slots, theme::WIDTH - left - theme::MARGIN);
        let plan = Plan {
            question: &self.question,
            legend: vec![
                Key::new(Sample::Region(theme::Hatching::Plain), &self.firm),
                Key::new(Sample::Layer(4), &self.open),
            ],
            caption: "",
            width: theme::WIDTH,
            height: self.rows.len() as f64 * ROW,
            left,
            right: 0.0,
            above: 0.0,
            below: categories.room_below(),
        };
        let mut frame = plan.open();
        let area = frame.area;
        categories.draw(&mut frame.canvas, area);
        for (position, (row, name)) in self.rows.iter().zip(&names).enumerate() {
            let top = area.top + position as f64 * ROW;
            let down = |line: usize, of: &text::Fitted| {
                let middle = (of.lines.len() as f64 - 1.0) / 2.0;
                top + ROW / 2.0 + (line as f64 - middle) * of.size * theme::LINE_HEIGHT
            };
            for (line, words) in name.lines.iter().enumerate() {
                let at = place(theme::MARGIN, down(line, name));
                frame.canvas.label(Label::new(words, at, name.size));
            }
            for stretch in &row.stretches {
                let edge = |time: usize| area.left + time as f64 * categories.slot();
                let strip = Area::between(
                    place(edge(stretch.first) + 1.0, top + BETWEEN),
                    place(edge(stretch.last + 1) - 1.0, top + ROW - BETWEEN),
                );
                if stretch.is_firm {
                    frame.canvas.area(&strip.corners(), theme::BAND);
                }
                let outline = closed(strip.corners());
                frame.canvas.path(&outline, theme::AXIS_LINE);
                let room = strip.right - strip.left - theme::GAP;
                let size = largest(&stretch.answer, room);
                let answer = text::fit(&stretch.answer, room, size, SIZES[2], 2);
                for (line, words) in answer.lines.iter().enumerate() {
                    let at = place(strip.middle().x, down(line, &answer));
                    let label = Label::new(words, at, answer.size);
                    frame.canvas.label(label.anchor(Anchor::Center));
                }
            }
        }
        frame.edges();
        frame.canvas.finish(&self.question)
    }
}

/// The largest size at which each word has room.
fn largest(answer: &str, room: f64) -> f64 {
    let has_room = |size: &f64| {
        answer
            .split(' ')
            .all(|word| text::width(word, *size) <= room)
    };
    SIZES.into_iter().find(has_room).unwrap_or(SIZES[2])
}

fn slot(time: &str) -> Slot<()> {
    Slot {
        name: time.to_string(),
        group: None,
        shown: (),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_answer_stands_once_however_long_it_stood() {
        let stretch = |first, last, answer: &str| Stretch {
            first,
            last,
            answer: answer.into(),
            is_firm: first > 0,
        };
        let chart = StripChart {
            question: "How did the answers change?".into(),
            times: ["one", "two", "three"].map(String::from).into(),
            rows: vec![StripRow {
                name: "residue".into(),
                stretches: vec![stretch(0, 0, "open"), stretch(1, 2, "pays")],
            }],
            firm: "settled".into(),
            open: "not".into(),
        };
        let svg = chart.svg().expect("a chart of answers");
        assert_eq!(svg.matches("\npays\n").count(), 1);
        assert_eq!(svg.matches("\nopen\n").count(), 1);
        let empty = StripChart {
            rows: Vec::new(),
            ..chart
        };
        let svg = empty.svg().expect("a chart without rows");
        assert!(svg.contains("nothing to show"));
    }
}
