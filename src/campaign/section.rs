//! Reader of one table of the campaign file, key by key.
//!
//! In: a parsed table. Out: values of the type asked for; every fault goes to one list with its line.
//! This module never stops at the first fault, and knows no key by name.

use std::cell::RefCell;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::figure::{range, short};
use super::keys::{Key, KeyHolds, declared, inside, is_declared};
use super::source::{At, Source};
use super::spelling::{did_you_mean, nearest};

type Value<'a> = Spanned<DeValue<'a>>;

/// One table, or no table at all, with the keys asked for so far.
pub(super) struct Section<'a> {
    pub source: &'a Source<'a>,
    name: String,
    /// The same path as keys are declared.
    declared: String,
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
            declared: String::new(),
            table: Some(table),
            position: 0,
            asked: RefCell::default(),
        }
    }

    /// Where the table stands.
    pub fn position(&self) -> usize {
        self.position
    }

    /// The key with the names of the tables around it.
    pub fn path(&self, key: &str) -> String {
        match self.name.as_str() {
            "" => key.to_string(),
            name => format!("{name}.{key}"),
        }
    }

    /// Notes a fault of the whole table.
    pub fn fault(&self, what: impl Into<String>, hint: impl Into<String>) {
        self.source.fault(self.position, what, hint);
    }

    /// Notes that a key must not have the value that it has.
    pub fn refuse(&self, key: &str, found: &At<String>, hint: impl Into<String>) {
        let what = format!("`{}` is `{}`", self.path(key), found.value);
        self.source.fault(found.position, what, hint);
    }

    /// Notes a name that nothing is called by, with the nearest one that exists, or else another hint.
    pub fn unknown<'n>(
        &self,
        name: &At<String>,
        what: impl Into<String>,
        known: impl Iterator<Item = &'n str>,
        otherwise: impl Into<String>,
    ) {
        let hint = did_you_mean(&name.value, known).unwrap_or_else(|| otherwise.into());
        self.source.fault(name.position, what, hint);
    }

    /// Whether a key is there, whatever it holds.
    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Whether a key is there and holds a table.
    pub fn holds_table(&self, key: &str) -> bool {
        let entry = self.entry(key);
        entry.is_some_and(|value| value.get_ref().is_table())
    }

    fn entry(&self, key: &str) -> Option<&'a Value<'a>> {
        let mut entries = self.table?.iter();
        let found = entries.find(|(name, _)| name.get_ref() == key);
        found.map(|(_, value)| value)
    }

    /// The value under a key; one of the wrong sort is a fault.
    fn value<T>(
        &self,
        key: &str,
        expected: &str,
        read: impl FnOnce(&'a Value<'a>) -> Option<T>,
    ) -> Option<At<T>> {
        let is_known = is_declared(&self.declared, key);
        debug_assert!(is_known, "{} is declared nowhere", self.path(key));
        self.any_value(key, expected, read)
    }

    /// The same, of a key that need not be declared.
    fn any_value<T>(
        &self,
        key: &str,
        expected: &str,
        read: impl FnOnce(&'a Value<'a>) -> Option<T>,
    ) -> Option<At<T>> {
        self.asked.borrow_mut().push(key.to_string());
        let value = self.entry(key)?;
        let position = value.span().start;
        let found = read(value);
        if found.is_none() {
            let (path, sort) = (self.path(key), value.get_ref().type_str());
            let what = format!("`{path}` is of type {sort}");
            let hint = format!("write {expected}");
            self.source.fault(position, what, hint);
        }
        found.map(|value| At { value, position })
    }

    /// A table inside this one; an empty section when it is absent.
    pub fn section(&self, key: &str) -> Section<'a> {
        let name = self.path(key);
        let expected = format!("a table `[{name}]`");
        let table = self.value(key, &expected, |value| value.get_ref().as_table());
        let entry = self.entry(key);
        Section {
            source: self.source,
            name,
            declared: inside(&self.declared, key),
            table: table.map(|table| table.value),
            position: entry.map_or(self.position, |value| value.span().start),
            asked: RefCell::default(),
        }
    }

    /// What is read from a table inside this one, where it may be absent; each key that the reading does not ask for
    /// is a fault.
    pub fn table<T>(&self, key: &str, read: impl FnOnce(&Section<'a>) -> T) -> T {
        let before = self.source.count();
        let section = self.section(key);
        let found = read(&section);
        section.finish();
        if self.source.count() > before {
            self.source.faulty.borrow_mut().push(self.path(key));
        }
        found
    }

    /// The same, where an absent table gives nothing.
    pub fn table_if_there<T>(
        &self,
        key: &str,
        read: impl FnOnce(&Section<'a>) -> Option<T>,
    ) -> Option<T> {
        self.table(key, |section| section.table.and_then(|_| read(section)))
    }

    /// What is read from each entry of a table whose keys are the user's own names, in the order of the file.
    pub fn by_name<T>(
        &self,
        key: &str,
        mut read: impl FnMut(&Section<'a>, At<String>) -> Option<T>,
    ) -> Vec<T> {
        self.table(key, |table| {
            let names = table.own_names().into_iter();
            names.filter_map(|name| read(table, name)).collect()
        })
    }

    /// A text.
    pub fn text(&self, key: &str) -> Option<At<String>> {
        self.value(key, "a text in quotes", text)
    }

    /// A text, wherever it stands.
    pub fn plain_text(&self, key: &str) -> Option<String> {
        self.text(key).map(|text| text.value)
    }

    /// What a text means; a text without meaning is a fault with the hint that the reading gives.
    pub fn meaning<T, H: Into<String>>(
        &self,
        key: &str,
        read: impl FnOnce(&str) -> Result<T, H>,
    ) -> Option<T> {
        let text = self.text(key)?;
        let meant = read(&text.value).map_err(|hint| self.refuse(key, &text, hint));
        meant.ok()
    }

    /// What one of a few words means, in the order in which they are declared; the first is the default.
    pub fn one_of<T: Copy, const COUNT: usize>(&self, key: &str, meant: [T; COUNT]) -> T {
        let words = match self.declaration(key).map(|key| key.holds) {
            Some(KeyHolds::Words(words)) => words,
            _ => &[],
        };
        let found = self.meaning(key, |text| {
            let mut words_meant = words.iter().zip(meant);
            let found = words_meant.find(|(word, _)| **word == text);
            found.map(|(_, meant)| meant).ok_or_else(|| {
                let known: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
                format!("write {}", known.join(" or "))
            })
        });
        found.unwrap_or(meant[0])
    }

    /// A number, whole or not.
    pub fn number(&self, key: &str) -> Option<At<f64>> {
        self.value(key, "a finite number without quotes", |value| {
            number(value.get_ref())
        })
    }

    /// A number that lies in its range, ends included.
    pub fn number_within(&self, key: &str) -> Option<f64> {
        let (low, high) = match self.declaration(key)?.holds {
            KeyHolds::Number(low, high) => (low, high),
            _ => (f64::MIN, f64::MAX),
        };
        let found = self.number(key)?;
        if (low..=high).contains(&found.value) {
            return Some(found.value);
        }
        let what = format!("`{}` is {}", self.path(key), short(found.value));
        self.source.fault(found.position, what, range(low, high));
        None
    }

    /// The same, or what counts where it is absent or faulty.
    pub fn number_or_usual(&self, key: &str) -> f64 {
        let usual = self.declaration(key).and_then(|key| key.usual);
        self.number_within(key).or(usual).unwrap_or_default()
    }

    /// The declaration of a key.
    fn declaration(&self, key: &str) -> Option<&'static Key> {
        declared(&self.declared, key)
    }

    /// A whole number that is at least as large as it must be.
    pub fn whole(&self, key: &str) -> Option<u32> {
        let least = match self.declaration(key)?.holds {
            KeyHolds::Whole(least) => least,
            _ => 0,
        };
        let found = self.number(key)?;
        if found.value.fract() == 0.0 && (f64::from(least)..=1e9).contains(&found.value) {
            return Some(found.value as u32);
        }
        let what = format!("`{}` is {}", self.path(key), found.value);
        let hint = format!("write a whole number of at least {least}");
        self.source.fault(found.position, what, hint);
        None
    }

    /// True or false.
    pub fn truth(&self, key: &str) -> Option<bool> {
        let found = self.value(key, "true or false", |value| value.get_ref().as_bool());
        found.map(|found| found.value)
    }

    /// A number or a text, as text; numbers keep the digits they were written with.
    pub fn figure(&self, key: &str) -> Option<At<String>> {
        let expected = "a number, or a text with its unit";
        self.any_value(key, expected, |value| figure(value.get_ref()))
    }

    /// One text, or a list of texts.
    pub fn texts(&self, key: &str) -> Option<Vec<At<String>>> {
        let found = self.value(key, "a text, or a list of texts", |value| {
            match value.get_ref() {
                DeValue::Array(items) => items.iter().map(text_at).collect(),
                _ => text_at(value).map(|text| vec![text]),
            }
        });
        found.map(|found| found.value)
    }

    /// A list of lists of texts.
    pub fn text_lists(&self, key: &str) -> Option<Vec<At<Vec<String>>>> {
        let expected = "a list of lists, such as `[[\"route\", \"heating\"]]`";
        let list = |item: &Value| {
            let (value, position) = (texts_of(item)?, item.span().start);
            Some(At { value, position })
        };
        let found = self.value(key, expected, |value| {
            value.get_ref().as_array()?.iter().map(list).collect()
        });
        found.map(|found| found.value)
    }

    /// A list whose items are tables or anything else; empty where there is none.
    pub fn items(&self, key: &str) -> &'a [Value<'a>] {
        let found = self.value(key, "a list", |value| value.get_ref().as_array());
        found.map(|found| &found.value[..]).unwrap_or_default()
    }

    /// All keys of a table whose keys are the user's own names, in the order of the file.
    pub fn own_names(&self) -> Vec<At<String>> {
        let keys = self.table.into_iter().flat_map(|table| table.keys());
        let mut names: Vec<At<String>> = keys
            .map(|key| At {
                value: key.get_ref().to_string(),
                position: key.span().start,
            })
            .collect();
        names.sort_by_key(|name| name.position);
        names
    }

    /// Keys that were asked for, each once, and those that nobody asked for.
    fn known_and_unknown(&self) -> (Vec<String>, Vec<At<String>>) {
        let mut known = self.asked.borrow().clone();
        known.sort();
        known.dedup();
        let mut unknown = self.own_names();
        unknown.retain(|name| !known.contains(&name.value));
        (known, unknown)
    }

    /// Keys that were likely meant by those that nobody asked for.
    pub fn mistyped(&self) -> Vec<String> {
        let (known, unknown) = self.known_and_unknown();
        let meant = |name: &At<String>| nearest(&name.value, known.iter().map(String::as_str));
        let meant = unknown.iter().filter_map(meant);
        meant.map(str::to_string).collect()
    }

    /// Reports every key that nobody asked for, with the nearest one that exists.
    pub fn finish(self) {
        let (known, unknown) = self.known_and_unknown();
        for name in unknown {
            let otherwise = match known.is_empty() {
                true => "take it out".to_string(),
                false => format!("known here: {}", known.join(", ")),
            };
            let what = format!("unknown key `{}`", self.path(&name.value));
            self.unknown(&name, what, known.iter().map(String::as_str), otherwise);
        }
    }
}

fn text(value: &Value) -> Option<String> {
    value.get_ref().as_str().map(str::to_string)
}

fn text_at(value: &Value) -> Option<At<String>> {
    let position = value.span().start;
    text(value).map(|value| At { value, position })
}

/// The texts of a list that holds nothing else.
pub(super) fn texts_of(value: &Value) -> Option<Vec<String>> {
    value.get_ref().as_array()?.iter().map(text).collect()
}

/// The finite number that a value holds.
pub(super) fn number(value: &DeValue<'_>) -> Option<f64> {
    let number: f64 = figure_of_number(value)?.parse().ok()?;
    number.is_finite().then_some(number)
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
    let text = value.as_str().map(str::to_string);
    text.or_else(|| figure_of_number(value))
}
