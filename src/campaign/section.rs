//! One table of the campaign file, read key by key.
//!
//! In: a parsed table. Out: values of the type asked for; every fault goes to one list with its line.
//! This module never stops at the first fault, and knows no key by name.

use std::cell::RefCell;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::error::{Error, ErrorKind};

/// The file that is being read and the faults found so far.
pub(super) struct Source<'a> {
    pub file: &'a str,
    pub text: &'a str,
    pub faults: RefCell<Vec<Error>>,
}

impl Source<'_> {
    /// Line of a byte position, counted from 1.
    pub fn line(&self, position: usize) -> usize {
        let end = position.min(self.text.len());
        1 + self.text.as_bytes()[..end]
            .iter()
            .filter(|b| **b == b'\n')
            .count()
    }

    /// All faults, in the order of their lines.
    pub fn in_order(self) -> Vec<Error> {
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(Error::line);
        faults
    }

    /// Notes a fault of the campaign file at a byte position.
    pub fn fault(&self, position: usize, what: String, hint: impl Into<String>) {
        let line = self.line(position);
        let message = format!("{what}, in `{}` line {line}", self.file);
        self.faults.borrow_mut().push(
            Error::new(ErrorKind::Campaign, message)
                .in_file(self.file)
                .on_line(line)
                .hint(hint),
        );
    }
}

/// A value with the place it stands at.
#[derive(Debug, Clone)]
pub(super) struct At<T> {
    pub value: T,
    pub position: usize,
}

/// One table, or no table at all, with the keys asked for so far.
pub(super) struct Section<'a> {
    pub source: &'a Source<'a>,
    name: String,
    table: Option<&'a DeTable<'a>>,
    position: usize,
    asked: RefCell<Vec<String>>,
}

impl<'a> Section<'a> {
    /// The whole file as one table.
    pub fn root(source: &'a Source<'a>, table: &'a DeTable<'a>) -> Self {
        Section {
            source,
            name: String::new(),
            table: Some(table),
            position: 0,
            asked: RefCell::default(),
        }
    }

    /// Whether the campaign file has this table.
    pub fn is_there(&self) -> bool {
        self.table.is_some()
    }

    /// Where the table stands.
    pub fn position(&self) -> usize {
        self.position
    }

    /// The key with the names of the tables around it.
    pub fn path(&self, key: &str) -> String {
        if self.name.is_empty() {
            key.to_string()
        } else {
            format!("{}.{key}", self.name)
        }
    }

    fn entry(&self, key: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.asked.borrow_mut().push(key.to_string());
        self.table?
            .iter()
            .find(|(name, _)| name.get_ref() == key)
            .map(|(_, value)| value)
    }

    /// Notes that the value of a key is of the wrong sort.
    fn wrong(&self, key: &str, value: &Spanned<DeValue<'a>>, expected: &str) {
        let found = value.get_ref().type_str();
        self.source.fault(
            value.span().start,
            format!("`{}` is of type {found}", self.path(key)),
            format!("write {expected}"),
        );
    }

    /// A table inside this one; an empty section when it is absent.
    pub fn section(&self, key: &str) -> Section<'a> {
        let entry = self.entry(key);
        let table = entry.and_then(|value| {
            let table = value.get_ref().as_table();
            if table.is_none() {
                self.wrong(key, value, &format!("a table `[{}]`", self.path(key)));
            }
            table
        });
        Section {
            source: self.source,
            name: self.path(key),
            table,
            position: entry.map_or(self.position, |value| value.span().start),
            asked: RefCell::default(),
        }
    }

    /// A text.
    pub fn text(&self, key: &str) -> Option<At<String>> {
        let value = self.entry(key)?;
        match value.get_ref().as_str() {
            Some(text) => Some(At {
                value: text.to_string(),
                position: value.span().start,
            }),
            None => {
                self.wrong(key, value, "a text in quotes");
                None
            }
        }
    }

    /// A number, whole or not.
    pub fn number(&self, key: &str) -> Option<At<f64>> {
        let value = self.entry(key)?;
        match number(value.get_ref()) {
            Some(figure) => Some(At {
                value: figure,
                position: value.span().start,
            }),
            None => {
                self.wrong(key, value, "a finite number without quotes");
                None
            }
        }
    }

    /// A number that lies in a range, ends included.
    pub fn number_within(&self, key: &str, low: f64, high: f64) -> Option<f64> {
        let found = self.number(key)?;
        if (low..=high).contains(&found.value) {
            return Some(found.value);
        }
        self.source.fault(
            found.position,
            format!("`{}` is {}", self.path(key), short(found.value)),
            range(low, high),
        );
        None
    }

    /// A whole number that is at least `least`.
    pub fn whole(&self, key: &str, least: u32) -> Option<u32> {
        let found = self.number(key)?;
        if found.value.fract() == 0.0 && (f64::from(least)..=1e9).contains(&found.value) {
            return Some(found.value as u32);
        }
        self.source.fault(
            found.position,
            format!("`{}` is {}", self.path(key), found.value),
            format!("write a whole number of at least {least}"),
        );
        None
    }

    /// True or false.
    pub fn truth(&self, key: &str) -> Option<bool> {
        let value = self.entry(key)?;
        let found = value.get_ref().as_bool();
        if found.is_none() {
            self.wrong(key, value, "true or false");
        }
        found
    }

    /// A number or a text, as text; numbers keep the digits they were written with.
    pub fn figure(&self, key: &str) -> Option<At<String>> {
        let value = self.entry(key)?;
        match figure(value.get_ref()) {
            Some(text) => Some(At {
                value: text,
                position: value.span().start,
            }),
            None => {
                self.wrong(key, value, "a number, or a text with its unit");
                None
            }
        }
    }

    /// One text, or a list of texts.
    pub fn texts(&self, key: &str) -> Option<Vec<At<String>>> {
        let value = self.entry(key)?;
        let texts = match value.get_ref() {
            DeValue::Array(items) => items.iter().map(text_at).collect(),
            _ => text_at(value).map(|text| vec![text]),
        };
        if texts.is_none() {
            self.wrong(key, value, "a text, or a list of texts");
        }
        texts
    }

    /// A list of lists of texts.
    pub fn text_lists(&self, key: &str) -> Option<Vec<At<Vec<String>>>> {
        let value = self.entry(key)?;
        let lists = value.get_ref().as_array().and_then(|outer| {
            outer
                .iter()
                .map(|inner| {
                    let texts: Option<Vec<String>> = inner
                        .get_ref()
                        .as_array()?
                        .iter()
                        .map(|item| item.get_ref().as_str().map(str::to_string))
                        .collect();
                    texts.map(|texts| At {
                        value: texts,
                        position: inner.span().start,
                    })
                })
                .collect::<Option<Vec<_>>>()
        });
        if lists.is_none() {
            self.wrong(
                key,
                value,
                "a list of lists, such as `[[\"route\", \"heating\"]]`",
            );
        }
        lists
    }

    /// A list whose items are tables or anything else.
    pub fn items(&self, key: &str) -> Option<&'a [Spanned<DeValue<'a>>]> {
        let value = self.entry(key)?;
        let items = value.get_ref().as_array();
        if items.is_none() {
            self.wrong(key, value, "a list");
        }
        items.map(|array| &array[..])
    }

    /// Whether a key is there and holds a table.
    pub fn holds_table(&self, key: &str) -> bool {
        self.table.is_some_and(|table| {
            table
                .iter()
                .any(|(name, value)| name.get_ref() == key && value.get_ref().is_table())
        })
    }

    /// All keys of a table whose keys are the user's own names, in the order of the file.
    pub fn own_names(&self) -> Vec<At<String>> {
        let mut names: Vec<At<String>> = self
            .table
            .into_iter()
            .flat_map(|table| table.keys())
            .map(|key| At {
                value: key.get_ref().to_string(),
                position: key.span().start,
            })
            .collect();
        names.sort_by_key(|name| name.position);
        names
    }

    /// Reports every key that nobody asked for, with the nearest one that exists.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        for name in self.own_names() {
            if !asked.contains(&name.value) {
                let hint = match nearest(&name.value, asked.iter().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None if asked.is_empty() => "take it out".to_string(),
                    None => {
                        let mut known = asked.clone();
                        known.sort();
                        known.dedup();
                        format!("known here: {}", known.join(", "))
                    }
                };
                self.source.fault(
                    name.position,
                    format!("unknown key `{}`", self.path(&name.value)),
                    hint,
                );
            }
        }
    }
}

/// Least ratio, count or fraction that is told from zero; smaller ones are slips, and dividing by them ends badly.
pub(super) const ABOVE_ZERO: f64 = 1e-9;

/// A number as people write it: with a power of ten where zeros would fill the line.
fn short(value: f64) -> String {
    if value == 0.0 || (1e-4..1e9).contains(&value.abs()) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

/// A range in words; its ends stand for no bound where no figure could reach them.
fn range(low: f64, high: f64) -> String {
    let unbounded = high == f64::MAX;
    if low == f64::MIN_POSITIVE && unbounded {
        "it must be above 0".into()
    } else if low == ABOVE_ZERO {
        format!("it must be above 0, from {} to {}", short(low), short(high))
    } else if unbounded {
        format!("it must be at least {low}")
    } else {
        format!("it must lie between {low} and {high}")
    }
}

fn text_at(value: &Spanned<DeValue<'_>>) -> Option<At<String>> {
    value.get_ref().as_str().map(|text| At {
        value: text.to_string(),
        position: value.span().start,
    })
}

/// The finite number that a value holds.
pub(super) fn number(value: &DeValue<'_>) -> Option<f64> {
    figure_of_number(value)?
        .parse::<f64>()
        .ok()
        .filter(|n| n.is_finite())
}

fn figure_of_number(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::Integer(whole) => i64::from_str_radix(whole.as_str(), whole.radix())
            .ok()
            .map(|n| n.to_string()),
        DeValue::Float(float) => Some(float.as_str().to_string()),
        _ => None,
    }
}

/// A number or a text, as text.
pub(super) fn figure(value: &DeValue<'_>) -> Option<String> {
    value
        .as_str()
        .map(str::to_string)
        .or_else(|| figure_of_number(value))
}

/// The name most like the one given, when one is near enough to be meant.
pub fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    let wanted = name.to_lowercase();
    known
        .map(|candidate| {
            (
                strsim::damerau_levenshtein(&wanted, &candidate.to_lowercase()),
                candidate,
            )
        })
        .filter(|(distance, candidate)| *distance <= 1 + candidate.len().min(name.len()) / 4)
        .min()
        .map(|(_, candidate)| candidate)
}
