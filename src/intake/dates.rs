//! Day that a date means, and the order of day, month and year in dates of figures alone.
//!
//! In: the text of a cell, and the order that the campaign file states or the dates of its column show. Out: the day in
//! ISO 8601, or what the text could be.
//! This module never guesses which figure is the month.

use chrono::{Datelike, NaiveDate};

use super::cell_values::LoggedDate;
use super::date_forms::{Fields, Parts, iso, parts, with_name_of_month};
use crate::campaign::DateOrder;

/// Bytes of a date by ISO 8601.
const ISO: usize = 10;

const MINUTES_OF_A_DAY: f64 = 1440.0;

/// What to write in place of a text that is no date.
const WRITE: &str = "write year-month-day, such as `2025-10-03`";

/// Why a text is no date that can be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct NoDate {
    /// Continues "column `x` in `file` line n ...".
    pub what: &'static str,
    /// What to do.
    pub hint: String,
}

impl Default for NoDate {
    fn default() -> Self {
        NoDate {
            what: "is not a date",
            hint: WRITE.into(),
        }
    }
}

/// Orders in which the dates of figures alone of one column may be read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Orders {
    stated: Option<DateOrder>,
    /// Which of [`DateOrder::ALL`] reads none of the dates of the column.
    misfits: [bool; 3],
}

impl Orders {
    /// The order that is stated, else those that fit all dates of a column that have figures alone. A year of four figures in
    /// front can be read in one way only and says nothing about the others.
    pub fn of_column<'c>(
        stated: Option<DateOrder>,
        cells: impl Iterator<Item = &'c str>,
    ) -> Orders {
        let mut orders = Orders {
            stated,
            ..Orders::default()
        };
        if stated.is_some() {
            return orders;
        }
        // Nearly all cells are like this, and there may be millions of them.
        let is_iso = |cell: &&str| cell.get(..ISO).and_then(iso).is_some();
        let cells = cells.filter(|cell| !is_iso(cell));
        let fields = cells.filter_map(|cell| Fields::of(parts(cell)?.date));
        for fields in fields.filter(|fields| !fields.begins_with_year()) {
            for (misfit, order) in orders.misfits.iter_mut().zip(DateOrder::ALL) {
                *misfit |= fields.read(order).is_none();
            }
        }
        orders
    }

    /// Lets columns that leave several orders open take the only one that fits all columns of all logs: one person wrote them.
    pub fn agree<'o>(columns: impl Iterator<Item = &'o mut Orders>) {
        let columns: Vec<&mut Orders> = columns.collect();
        let mut misfits = [false; 3];
        for column in columns.iter().filter(|column| column.misfits != [true; 3]) {
            for (misfit, of_column) in misfits.iter_mut().zip(column.misfits) {
                *misfit |= of_column;
            }
        }
        let [only] = fitting(misfits)[..] else { return };
        for column in columns {
            if column.misfits != [true; 3] {
                column.stated = column.stated.or(Some(only));
            }
        }
    }

    /// The stated order; else those that fit all dates; else all, where the column mixes them.
    fn candidates(self) -> Vec<DateOrder> {
        match (self.stated, fitting(self.misfits)) {
            (Some(stated), _) => vec![stated],
            (None, fitting) if !fitting.is_empty() => fitting,
            (None, _) => DateOrder::ALL.to_vec(),
        }
    }
}

fn fitting(misfits: [bool; 3]) -> Vec<DateOrder> {
    let all = DateOrder::ALL.into_iter().zip(misfits);
    let fits = all.filter(|(_, misfit)| !misfit);
    fits.map(|(order, _)| order).collect()
}

/// Reads a date; a time of day may follow.
///
/// # Errors
/// What is wrong, for a text that is no date, that is one in another order than the stated one, or that can be two.
pub(super) fn date(text: &str, orders: Orders) -> Result<LoggedDate, NoDate> {
    let parts = parts(text).ok_or_else(NoDate::default)?;
    let (day, in_figures) = day(parts.date, orders)?;
    let time = parts.time.map(|time| format!("T{}", time.text));
    // Only a date of figures alone can have day and month exchanged.
    let swapped = NaiveDate::from_ymd_opt(day.year(), day.day(), day.month());
    let swapped = swapped.filter(|other| in_figures && *other != day);
    Ok(LoggedDate {
        text: format!("{day}{}", time.unwrap_or_default()).into(),
        day: day.num_days_from_ce(),
        swapped: swapped.map(|other| (other.to_string().into(), other.num_days_from_ce())),
    })
}

/// Minutes to a moment from the first day of 1970; `None` for a text without a time of day.
///
/// # Errors
/// As [`date`].
pub(super) fn minute(text: &str, orders: Orders) -> Option<Result<f64, NoDate>> {
    let Parts { date, time } = parts(text)?;
    let time = time?;
    let since = |day: NaiveDate| day.signed_duration_since(NaiveDate::default()).num_days();
    let days = day(date, orders).map(|(day, _)| since(day) as f64);
    Some(days.map(|days| days * MINUTES_OF_A_DAY + time.minutes))
}

/// The day, and whether figures alone say it.
fn day(text: &str, orders: Orders) -> Result<(NaiveDate, bool), NoDate> {
    if let Some(day) = iso(text) {
        return Ok((day, true));
    }
    if let Some(day) = with_name_of_month(text) {
        return Ok((day, false));
    }
    let fields = Fields::of(text).ok_or_else(NoDate::default)?;
    let read = |order: DateOrder| Some((order, fields.read(order)?));
    let candidates = orders.candidates();
    let mut days: Vec<_> = candidates.into_iter().filter_map(read).collect();
    if fields.begins_with_year() && orders.stated.is_none() {
        days = read(DateOrder::YearMonthDay).into_iter().collect();
    }
    match days.as_slice() {
        [] => {
            let other = DateOrder::ALL.into_iter().find_map(read);
            Err(in_another_order(orders, other))
        }
        [(_, day), others @ ..] if others.iter().all(|(_, other)| other == day) => Ok((*day, true)),
        several => {
            let by = |(order, day): &(DateOrder, NaiveDate)| {
                format!("{day} by `dates = \"{}\"`", order.key())
            };
            let each: Vec<String> = several.iter().map(by).collect();
            let each = each.join(" and ");
            Err(NoDate {
                what: "can be read as several dates",
                hint: format!("it is {each}: add the one that holds to `[logs]`, or {WRITE}"),
            })
        }
    }
}

/// A date that the stated order cannot read, with what it is in another one.
fn in_another_order(orders: Orders, other: Option<(DateOrder, NaiveDate)>) -> NoDate {
    match (orders.stated, other) {
        (Some(stated), Some((order, day))) => NoDate {
            what: "is not a date in the order that the campaign file states",
            hint: format!(
                "`dates` under `[logs]` says `{}`; by `{}` it is {day}: write it so",
                stated.key(),
                order.key()
            ),
        },
        _ => NoDate::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::name::Name;

    fn alone(text: &str) -> Result<LoggedDate, NoDate> {
        date(text, Orders::of_column(None, [text].into_iter()))
    }

    fn in_column(text: &str, column: &[&str]) -> Result<Name, NoDate> {
        let orders = Orders::of_column(None, column.iter().copied());
        date(text, orders).map(|date| date.text)
    }

    fn stated(text: &str, order: DateOrder) -> Result<Name, NoDate> {
        date(text, Orders::of_column(Some(order), [].into_iter())).map(|date| date.text)
    }

    #[test]
    fn a_time_may_follow_a_date_and_nothing_else() {
        // 2025-03-05 is day 739315: 2024 · 365 + 491 leap days = 739251 to the end of 2024, and 31 + 28 + 5.
        for (text, kept) in [
            ("2025-03-05", "2025-03-05"),
            ("2025-03-05T14:30", "2025-03-05T14:30"),
            ("2025-03-05 14:30:05.5", "2025-03-05T14:30:05.500"),
            ("2025-03-05T14:30Z", "2025-03-05T14:30Z"),
            ("2025-03-05T14:30+02:00", "2025-03-05T14:30+02:00"),
            ("5 Mar 2025, 9:30", "2025-03-05T09:30"),
            ("Mar 5, 2025 2:30 PM", "2025-03-05T14:30"),
        ] {
            let read = alone(text).unwrap();
            assert_eq!((read.day, read.text.as_str()), (739_315, kept), "{text}");
        }
        for text in [
            "2025-02-30",
            "2025-03-05 or so",
            "2025-03-05T25:00",
            "2025-03-051",
            "2025-03-0\u{fc}",
            "14:30",
            "2025",
            "3.2025",
            "",
        ] {
            assert_eq!(alone(text), Err(NoDate::default()), "{text}");
        }
    }

    #[test]
    fn a_month_may_be_called_by_its_name() {
        for text in [
            "18 Jan 2024",
            "18-Jan-24",
            "Jan 18, 2024",
            "18. January 2024",
            "January 18 2024",
            "18/jan/2024",
            "2024 Jan 18",
            "18.JAN.24",
        ] {
            let read = alone(text).unwrap();
            assert_eq!(
                (read.text.as_str(), read.swapped),
                ("2024-01-18", None),
                "{text}"
            );
        }
        assert_eq!(alone("3 Sept 2024").unwrap().text, "2024-09-03");
        for text in [
            "18 Ja 2024",
            "18 Janvier 2024",
            "31 Feb 2024",
            "18 Jan",
            "Jan 2024",
            "18 Jan 024",
        ] {
            assert!(alone(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_column_that_fits_one_order_alone_shows_it() {
        let column = [
            "10/01/2024",
            "12.01.24",
            "2024-01-15",
            "18 Jan 2024",
            "22/01/2024",
        ];
        assert_eq!(in_column("10/01/2024", &column).unwrap(), "2024-01-10");
        assert_eq!(in_column("12.01.24", &column).unwrap(), "2024-01-12");
        assert_eq!(
            in_column("1/10/2024", &["1/10/2024", "1/22/2024"]).unwrap(),
            "2024-01-10"
        );
        assert_eq!(
            in_column("2024/1/10", &["2024/1/10"]).unwrap(),
            "2024-01-10"
        );
    }

    #[test]
    fn a_date_that_two_orders_read_otherwise_is_refused_with_both() {
        let refused = in_column("10/01/2024", &["10/01/2024", "05/05/2024"]).unwrap_err();
        assert_eq!(refused.what, "can be read as several dates");
        assert_eq!(
            refused.hint,
            "it is 2024-01-10 by `dates = \"d.m.y\"` and 2024-10-01 by `dates = \"m.d.y\"`: add the one that holds to `[logs]`, or write year-month-day, such as `2025-10-03`"
        );
        let same = in_column("05/05/2024", &["10/01/2024", "05/05/2024"]);
        assert_eq!(same.unwrap(), "2024-05-05");
        // 2012 and 2025 are years too.
        assert!(in_column("12.01.24", &["12.01.24", "25.01.24"]).is_err());
    }

    #[test]
    fn a_column_of_mixed_orders_keeps_what_can_be_read_in_one_way() {
        let column = ["22/01/2024", "01/23/2024", "05/06/2024", "2024/1/10"];
        assert_eq!(in_column("22/01/2024", &column).unwrap(), "2024-01-22");
        assert_eq!(in_column("01/23/2024", &column).unwrap(), "2024-01-23");
        assert_eq!(in_column("2024/1/10", &column).unwrap(), "2024-01-10");
        assert!(in_column("05/06/2024", &column).is_err());
    }

    #[test]
    fn the_stated_order_holds_for_all_dates_of_figures() {
        assert_eq!(
            stated("10/01/2024", DateOrder::MonthDayYear).unwrap(),
            "2024-10-01"
        );
        assert_eq!(
            stated("24-1-10", DateOrder::YearMonthDay).unwrap(),
            "2024-01-10"
        );
        assert_eq!(
            stated("2024-01-10", DateOrder::DayMonthYear).unwrap(),
            "2024-01-10"
        );
        let refused = stated("01/18/2024", DateOrder::DayMonthYear).unwrap_err();
        assert_eq!(
            refused.hint,
            "`dates` under `[logs]` says `d.m.y`; by `m.d.y` it is 2024-01-18: write it so"
        );
        assert_eq!(
            stated("13/25/2024", DateOrder::DayMonthYear),
            Err(NoDate::default())
        );
    }

    #[test]
    fn day_and_month_are_exchanged_where_that_is_another_date() {
        let swapped = |text| alone(text).unwrap().swapped.map(|(text, _)| text);
        assert_eq!(swapped("2024-01-10").as_deref(), Some("2024-10-01"));
        assert_eq!(swapped("2024-01-22"), None);
        assert_eq!(swapped("2024-05-05"), None);
        assert_eq!(swapped("10 Jan 2024"), None);
    }

    #[test]
    fn moments_are_counted_in_minutes() {
        let minute = |text| minute(text, Orders::default()).map(|read| read.unwrap());
        let start = minute("2024-01-10T10:00").unwrap();
        assert_eq!(minute("10 Jan 2024 11:30"), Some(start + 90.0));
        assert_eq!(minute("2024-01-10 10:00:30"), Some(start + 0.5));
        assert_eq!(minute("2024-01-10T10:00+01:00"), Some(start - 60.0));
        assert_eq!(minute("2024-01-10"), None);
    }
}
