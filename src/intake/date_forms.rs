//! Forms in which people write a date and the time of day behind it.
//!
//! In: the text of a cell. Out: its [`Parts`], days by ISO 8601 or with the name of a month, and [`Fields`] of figures alone.
//! This module never decides which order of figures holds.

use chrono::{NaiveDate, NaiveTime};

use crate::campaign::DateOrder;

/// Years that are written with two figures begin here.
const CENTURY: i32 = 2000;

/// Names of the months; three letters or more of one are enough.
const MONTHS: &str =
    "january february march april may june july august september october november december";

/// Letters that tell each month from all others.
const LETTERS: usize = 3;

/// Forms of a time of day, each with the form that it is kept in.
const TIMES: [[&str; 2]; 4] = [
    ["%H:%M", "%H:%M"],
    ["%H:%M:%S%.f", "%H:%M:%S%.f"],
    ["%I:%M %p", "%H:%M"],
    ["%I:%M:%S %p", "%H:%M:%S"],
];

/// A date and the time of day behind it.
pub(super) struct Parts<'t> {
    /// The text in front of the time.
    pub date: &'t str,
    /// The time, where one stands there.
    pub time: Option<Time>,
}

pub(super) struct Time {
    /// In ISO form, its distance from UTC included.
    pub text: String,
    /// Since midnight, of UTC where a distance from it is stated.
    pub minutes: f64,
}

/// Takes date and time apart; `None` where what stands behind the date is no time.
pub(super) fn parts(text: &str) -> Option<Parts<'_>> {
    let text = text.trim();
    let Some(colon) = text.find(':') else {
        let (date, time) = (text, None);
        return Some(Parts { date, time });
    };
    let start = text[..colon].rfind(['T', ' '])?;
    Some(Parts {
        date: text[..start].trim_end().trim_end_matches(','),
        time: Some(time(&text[start + 1..])?),
    })
}

fn time(text: &str) -> Option<Time> {
    let (bare, zone, east) = match text.find(['+', '-']) {
        Some(sign) => {
            let distance = NaiveTime::parse_from_str(&text[sign + 1..], "%H:%M").ok()?;
            let is_east = text[sign..].starts_with('+');
            let east = if is_east { 1.0 } else { -1.0 };
            let zone = format!("{}{}", &text[sign..=sign], distance.format("%H:%M"));
            (&text[..sign], zone, east * minutes(distance))
        }
        None => match text.strip_suffix('Z') {
            Some(bare) => (bare, "Z".to_string(), 0.0),
            None => (text, String::new(), 0.0),
        },
    };
    TIMES.iter().find_map(|[form, kept]| {
        let time = NaiveTime::parse_from_str(bare, form).ok()?;
        Some(Time {
            text: format!("{}{zone}", time.format(kept)),
            minutes: minutes(time) - east,
        })
    })
}

fn minutes(time: NaiveTime) -> f64 {
    let since_midnight = time.signed_duration_since(NaiveTime::MIN);
    since_midnight.num_milliseconds() as f64 / 60_000.0
}

/// `2025-10-03` and nothing else.
pub(super) fn iso(text: &str) -> Option<NaiveDate> {
    let bytes = text.as_bytes();
    if bytes.len() != "yyyy-mm-dd".len() || bytes[4] != b'-' || bytes[7] != b'-' {
        return None;
    }
    let figure = |from: usize, to: usize| {
        let digits = bytes[from..to].iter();
        digits.copied().try_fold(0, |value, byte| {
            byte.is_ascii_digit()
                .then(|| 10 * value + u32::from(byte - b'0'))
        })
    };
    let year = i32::try_from(figure(0, 4)?).ok()?;
    NaiveDate::from_ymd_opt(year, figure(5, 7)?, figure(8, 10)?)
}

/// `18 Jan 2024`, `18-Jan-24`, `18. January 2024`, `Jan 18, 2024`, `2024 Jan 18`.
pub(super) fn with_name_of_month(text: &str) -> Option<NaiveDate> {
    if !text.contains(|c: char| c.is_ascii_alphabetic()) {
        return None;
    }
    let words = text.split([' ', '.', ',', '-', '/', '\u{a0}']);
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let [first, second, third] = words.try_into().ok()?;
    let (year, name, day) = match (month(first), month(second)) {
        (Some(month), None) => (third, month, second),
        (None, Some(month)) if first.len() == 4 => (first, month, third),
        (None, Some(month)) => (third, month, first),
        _ => return None,
    };
    let (year, day) = (Field::of(year)?, Field::of(day)?);
    NaiveDate::from_ymd_opt(year.as_year()?, name, day.as_day_or_month()?)
}

/// The number of a month by its name.
fn month(word: &str) -> Option<u32> {
    let word = word.to_ascii_lowercase();
    let is_meant = |name: &str| word.len() >= LETTERS && name.starts_with(&word);
    let position = MONTHS.split(' ').position(is_meant)?;
    u32::try_from(position + 1).ok()
}

/// Three figures with one sort of sign between them.
pub(super) struct Fields([Field; 3]);

#[derive(Clone, Copy)]
struct Field {
    value: u32,
    figures: usize,
}

impl Field {
    fn of(text: &str) -> Option<Field> {
        let text = text.trim();
        let is_short = (1..=4).contains(&text.len());
        let is_figure = is_short && text.bytes().all(|b| b.is_ascii_digit());
        let value = text.parse().ok().filter(|_| is_figure)?;
        let figures = text.len();
        Some(Field { value, figures })
    }

    fn as_year(self) -> Option<i32> {
        let year = i32::try_from(self.value).ok()?;
        match self.figures {
            2 => Some(CENTURY + year),
            4 => Some(year),
            _ => None,
        }
    }

    fn as_day_or_month(self) -> Option<u32> {
        (self.figures <= 2).then_some(self.value)
    }
}

impl Fields {
    /// Takes a text apart that is three figures with dots, slashes or hyphens between them.
    pub fn of(text: &str) -> Option<Fields> {
        let separator = text.chars().find(|c| !c.is_ascii_digit())?;
        if !matches!(separator, '.' | '/' | '-') {
            return None;
        }
        let mut fields = text.split(separator).map(Field::of);
        let three = [fields.next()??, fields.next()??, fields.next()??];
        fields.next().is_none().then_some(Fields(three))
    }

    /// Whether a year of four figures stands in front.
    pub fn begins_with_year(&self) -> bool {
        self.0[0].figures == 4
    }

    /// The day in that order, where it is one.
    pub fn read(&self, order: DateOrder) -> Option<NaiveDate> {
        let [first, second, third] = self.0;
        let (year, month, day) = match order {
            DateOrder::DayMonthYear => (third, second, first),
            DateOrder::MonthDayYear => (third, first, second),
            DateOrder::YearMonthDay => (first, second, third),
        };
        let month = month.as_day_or_month()?;
        NaiveDate::from_ymd_opt(year.as_year()?, month, day.as_day_or_month()?)
    }
}
