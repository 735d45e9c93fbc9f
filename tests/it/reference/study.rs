//! How does a published data set become a campaign?
//!
//! In: a [`Table`] of published data and a [`Study`], the model that was published with it. Out: a [`Model`], what
//! `residuum fit --json` printed for it.
//! This module never computes a statistic.

use serde_json::Value;

use crate::support::{
    CampaignFolder, check_digits, data, data_json, list, member, number, residuum_json,
};

/// Published data, cell by cell as printed.
pub struct Table {
    headings: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads `NAME.csv` from `tests/data`; no cell there holds a comma or a quote.
    pub fn read(name: &str) -> Self {
        let text = data(&format!("{name}.csv"));
        let mut lines = text
            .lines()
            .filter(|line| !line.is_empty())
            .map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
        let headings = lines.next().expect("published data has headings");
        let rows: Vec<_> = lines.collect();
        assert!(rows.iter().all(|row| row.len() == headings.len()));
        Self { headings, rows }
    }

    /// One column, as numbers.
    pub fn numbers(&self, heading: &str) -> Vec<f64> {
        let column = self
            .headings
            .iter()
            .position(|known| known == heading)
            .unwrap_or_else(|| panic!("no column `{heading}`"));
        self.rows
            .iter()
            .map(|row| row[column].parse().expect("a number"))
            .collect()
    }

    /// The table with one more column, its numbers written so that they read back unchanged.
    pub fn with(mut self, heading: &str, numbers: impl IntoIterator<Item = f64>) -> Self {
        self.headings.push(heading.to_owned());
        let mut numbers = numbers.into_iter();
        for row in &mut self.rows {
            row.push(numbers.next().expect("one number a row").to_string());
        }
        self
    }

    /// The runs log: the table as it is, with a column `run` before it.
    pub fn runs_log(&self) -> String {
        let mut text = format!("run,{}\n", self.headings.join(","));
        for (index, row) in self.rows.iter().enumerate() {
            text += &format!("r{:03},{}\n", index + 1, row.join(","));
        }
        text
    }
}

/// A published model of a data set.
pub struct Study<'a> {
    /// Columns that are factors with numbers.
    pub amounts: &'a [&'a str],
    /// Columns that are factors with named levels.
    pub choices: &'a [&'a str],
    /// The column that is explained.
    pub response: &'a str,
    /// Further lines of the `[model]` table; the effects are all amounts and choices, the method is plain.
    pub model: &'a str,
}

impl Study<'_> {
    /// The model that the program fits to the data.
    pub fn fit(&self, table: &Table) -> Model {
        let folder = CampaignFolder::new()
            .with("campaign.toml", &self.campaign())
            .with("runs.csv", &table.runs_log());
        let result = residuum_json("fit", folder.path());
        let models = list(&result, "models");
        assert_eq!(models.len(), 1, "one response, one model");
        Model {
            printed: models[0].clone(),
        }
    }

    fn campaign(&self) -> String {
        let mut text = String::from(
            "[campaign]\ntitle = \"A published data set\"\n\n[logs]\nruns = \"runs.csv\"\n\n",
        );
        for (kind, names) in [("amount", self.amounts), ("choice", self.choices)] {
            for name in names {
                text += &format!("[factors.{name}]\nkind = \"{kind}\"\n\n");
            }
        }
        let effects: Vec<&str> = self.amounts.iter().chain(self.choices).copied().collect();
        let response = self.response;
        text + &format!(
            "[responses.measured]\ncolumn = \"{response}\"\n\n[model]\nresponses = [\"measured\"]\n\
             effects = {effects:?}\nmethod = \"plain\"\n{}\n",
            self.model
        )
    }
}

/// One member of `models`, as printed.
pub struct Model {
    /// The JSON object.
    pub printed: Value,
}

impl Model {
    /// The term of this name.
    pub fn term(&self, name: &str) -> &Value {
        self.find_term(name)
            .unwrap_or_else(|| panic!("no term `{name}` in {}", self.printed["terms"]))
    }

    /// The term of this name, if it was estimated.
    pub fn find_term(&self, name: &str) -> Option<&Value> {
        member(list(&self.printed, "terms"), "term", name)
    }

    /// How many terms were estimated.
    pub fn term_count(&self) -> usize {
        list(&self.printed, "terms").len()
    }

    /// Whether this term stands among those that the data can't tell apart from others.
    pub fn is_not_separable(&self, name: &str) -> bool {
        list(&self.printed, "not_separable")
            .iter()
            .any(|group| list(group, "terms").iter().any(|term| term == name))
    }

    /// Compares figures of the whole fit with expected ones, by pairs of keys: as printed, as published.
    pub fn check_summary(&self, pairs: &[(&str, &str)], expected: &Value, at_least: f64) {
        for (key, published) in pairs {
            let what = format!("  {key}");
            let actual = number(&self.printed, key);
            check_digits(&what, actual, number(expected, published), at_least);
        }
    }
}

/// The `expected` part of `NAME.json` in `tests/data`.
pub fn expected(name: &str) -> Value {
    data_json(&format!("{name}.json"))["expected"].take()
}
