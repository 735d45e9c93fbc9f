//! What was understood of each column of each log.
//!
//! In: a campaign and its logs. Out: [`SeenColumn`]s, in the order of the logs and their headings.
//! This module never uses a cell for a result, and never minds a faulty one.

use std::collections::BTreeMap;

use super::columns::Holds;
use super::headings::Head;
use super::not_used::LogFile;
use super::number::plain;
use super::table::Table;
use crate::campaign::{Campaign, FactorPlan, LogKind};
use crate::error::Error;

/// Values of a column that are kept as they stand.
const FIRST: usize = 3;

/// One column of one log, over all of its files that have its heading.
#[derive(Debug, Clone)]
pub struct SeenColumn {
    /// The log.
    pub log: LogKind,
    /// Its files, in their order.
    pub files: Vec<String>,
    /// The heading as written.
    pub heading: String,
    /// What it is used as; empty where it is not used.
    pub roles: Vec<Role>,
    /// Unit of its numbers, as written or by itself.
    pub unit: Option<String>,
    /// How many rows there are.
    pub rows: usize,
    /// In how many of them the cell is empty.
    pub empty: usize,
    /// In how many of them it holds no number.
    pub no_number: usize,
    /// Lowest and highest number, in that unit; `None` where names are meant or no cell holds a number.
    pub range: Option<[f64; 2]>,
    /// How often each level or name stands, where names are meant.
    pub levels: BTreeMap<String, usize>,
    /// The first values as they stand.
    pub first: Vec<String>,
}

/// What a column is used as.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Role {
    /// A column of the design, by its name.
    Design(String),
    /// A factor.
    Factor(String),
    /// A response.
    Response(String),
    /// A reagent with a price.
    Priced,
    /// An impurity that is followed or uses up oxidant.
    Impurity,
    /// The assay of a second element, or the mass or the purity of its product.
    Second,
    /// It is kept, and a factor or response may be made of it.
    Kept,
}

/// Every column of every log that can be read, and why others cannot.
pub fn seen_columns(campaign: &Campaign, files: &[LogFile]) -> (Vec<SeenColumn>, Vec<Error>) {
    let mut seen: Vec<SeenColumn> = Vec::new();
    let mut faults = Vec::new();
    for kind in LogKind::ALL {
        for file in files.iter().filter(|file| file.kind == kind) {
            let table = match Table::read(campaign, file) {
                Ok(table) => table,
                Err(unread) => {
                    faults.extend(unread.into_errors());
                    continue;
                }
            };
            for (position, head) in table.heads.iter().enumerate() {
                let is_it = |known: &SeenColumn| known.log == kind && known.heading == head.heading;
                let known = seen.iter().position(is_it).unwrap_or(seen.len());
                if known == seen.len() {
                    seen.push(unread(campaign, &table, position));
                }
                seen[known].read(campaign, &table, position);
            }
        }
    }
    for column in &mut seen {
        column.settle(campaign);
    }
    (seen, faults)
}

/// A column of which no cell was looked at.
fn unread(campaign: &Campaign, table: &Table, position: usize) -> SeenColumn {
    let head = &table.heads[position];
    let is_first = table.column(&head.name).position == Some(position);
    let base = head.holds.and_then(Holds::dimension);
    let base = base.map(|dimension| dimension.base().to_string());
    SeenColumn {
        log: table.kind,
        files: Vec::new(),
        heading: head.heading.clone(),
        roles: match is_first {
            true => roles(campaign, table.kind, head),
            false => Vec::new(),
        },
        unit: head.unit_text.clone().or(base),
        rows: 0,
        empty: 0,
        no_number: 0,
        range: None,
        levels: BTreeMap::new(),
        first: Vec::new(),
    }
}

fn roles(campaign: &Campaign, kind: LogKind, head: &Head) -> Vec<Role> {
    let name = head.name.as_str();
    let mut roles = Vec::new();
    if head.holds.is_some() {
        roles.push(Role::Design(name.into()));
    }
    // The partner with the uncertainty is used as its column is.
    let of_name = name.strip_prefix("u_").unwrap_or(name);
    let is_impurity = match kind {
        LogKind::Lots => campaign.burnt().any(|of| of.column == of_name),
        LogKind::Crops | LogKind::Residues => {
            campaign.impurities.iter().any(|of| of.name == of_name)
        }
        _ => false,
    };
    if is_impurity {
        roles.push(Role::Impurity);
    }
    let mut second = campaign.second.iter();
    let is_second = match kind {
        LogKind::Lots | LogKind::Residues => second.any(|of| of.assay == of_name),
        LogKind::Runs => {
            second.any(|of| [&of.mass_column, &of.purity_column].contains(&&head.name))
        }
        _ => false,
    };
    if is_second {
        roles.push(Role::Second);
    }
    if kind != LogKind::Runs {
        return roles;
    }
    let factors = campaign.factors.iter().filter(|of| of.column() == name);
    roles.extend(factors.map(|of| Role::Factor(of.name.clone())));
    let responses = campaign.responses.iter().filter(|of| of.column == name);
    roles.extend(responses.map(|of| Role::Response(of.name.clone())));
    if campaign.reagents().any(|price| price.column == name) {
        roles.push(Role::Priced);
    }
    if roles.is_empty() {
        roles.push(Role::Kept);
    }
    roles
}

impl SeenColumn {
    fn read(&mut self, campaign: &Campaign, table: &Table, position: usize) {
        let name = &table.heads[position].name;
        self.files.push(table.file.to_string());
        for row in table.sound_rows() {
            self.rows += 1;
            let Some(text) = table.cell(position, row) else {
                self.empty += 1;
                continue;
            };
            let figure = text.strip_suffix('%').map_or(text, str::trim);
            match plain(figure, table.written.marks) {
                Ok(number) => {
                    let [low, high] = self.range.unwrap_or([number; 2]);
                    self.range = Some([low.min(number), high.max(number)]);
                }
                Err(_) => self.no_number += 1,
            }
            let level = campaign.level_of(name, text).to_string();
            *self.levels.entry(level).or_default() += 1;
            if self.first.len() < FIRST {
                self.first.push(text.to_string());
            }
        }
    }

    /// Whether half of the cells that hold anything hold no number.
    fn is_mostly_words(&self) -> bool {
        2 * self.no_number >= self.rows - self.empty
    }

    /// Numbers or names: names where a choice or the design asks for them, or where a column that nothing asks for is mostly words.
    fn settle(&mut self, campaign: &Campaign) {
        let are_names = self.roles.iter().any(|role| match role {
            Role::Factor(name) => campaign.factor(name).is_some_and(FactorPlan::is_choice),
            Role::Design(_) => self.unit.is_none(),
            Role::Response(_) | Role::Priced | Role::Impurity | Role::Second => false,
            Role::Kept => self.is_mostly_words(),
        });
        let are_names = are_names || self.roles.is_empty() && self.is_mostly_words();
        if are_names {
            self.range = None;
            self.no_number = 0;
        } else {
            self.levels.clear();
        }
    }
}
