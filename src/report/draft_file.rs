//! Draft of a campaign file from what existing files hold.
//!
//! In: an [`Outline`]. Out: the text of a campaign file: what is sure as it counts, each guess with its reason, what is unsure behind `#`.
//! This module never guesses anything itself.

mod lines;

use crate::campaign::{Decimal, LogKind};
use crate::intake::outline::{ColumnOutline, Outline, TableOutline, Values};
use crate::report::print::{and_list, count, or_list, plain, when};
use lines::{is_called, mappings, quoted, slug};

/// Words in a heading of numbers that were set, not found.
const SET: [&str; 7] = [
    "excess", "ratio", "dose", "setpoint", "stoich", "strength", "hold",
];

/// Words in the heading of the recovery route.
const ROUTE: [&str; 3] = ["route", "recovery", "work-up"];

/// The text of a campaign file; `titrants` names a log of titrants to be filled in.
pub fn draft_file(outline: &Outline, titrants: Option<&str>) -> String {
    let draft = Draft {
        outline,
        tables: assigned(outline),
    };
    [
        OPENING.to_string(),
        draft.campaign(),
        draft.logs(titrants),
        draft.columns(),
        draft.factors(),
        draft.titration(),
        draft.ignition(),
        draft.prices(),
        draft.model(),
    ]
    .concat()
}

/// Whether titres stand there and no strength of their titrant.
pub fn lacks_titrants(outline: &Outline) -> bool {
    let tables = assigned(outline);
    let has = |kind: LogKind| tables.iter().any(|(_, log)| *log == Some(kind));
    has(LogKind::Titres) && !has(LogKind::Titrants)
}

const OPENING: &str = "# Drafted from the files below. What counts was told by headings and cells, with the reason beside it; read it through.\n# What stands behind # is for you to decide: write what is right and take the # away. `residuum check` says what is missing.\n# Editors that know JSON Schema complete the keys after `residuum schema campaign > campaign.schema.json`.\n#:schema ./campaign.schema.json\n\n";

/// The tables, each with the log that it is taken for; of two for one log with other columns only the larger.
fn assigned(outline: &Outline) -> Vec<(&TableOutline, Option<LogKind>)> {
    let mut tables: Vec<(&TableOutline, Option<LogKind>)> = Vec::new();
    for table in &outline.tables {
        let wanted = table.logs.first().map(|(log, _)| *log);
        let rival = tables
            .iter_mut()
            .find(|(_, log)| log.is_some() && *log == wanted);
        let log = match rival {
            Some((other, _)) if is_alike(other, table) => wanted,
            Some((other, log))
                if other.logs.first().map(|of| of.1) < table.logs.first().map(|of| of.1) =>
            {
                log.take()
            }
            Some(_) => None,
            None => wanted,
        };
        tables.push((table, log));
    }
    tables
}

fn is_alike(one: &TableOutline, other: &TableOutline) -> bool {
    let names = |table: &TableOutline| -> Vec<String> {
        table
            .columns
            .iter()
            .map(|column| column.heading.clone())
            .collect()
    };
    names(one) == names(other)
}

struct Draft<'o> {
    outline: &'o Outline,
    tables: Vec<(&'o TableOutline, Option<LogKind>)>,
}

impl<'o> Draft<'o> {
    fn of(&self, log: LogKind) -> Option<&'o TableOutline> {
        let mut tables = self.tables.iter();
        tables
            .find(|(_, of)| *of == Some(log))
            .map(|(table, _)| *table)
    }

    fn campaign(&self) -> String {
        let titled = self
            .outline
            .tables
            .iter()
            .find_map(|table| table.title.clone());
        let title = match &titled {
            Some(title) => format!(
                "title = {} # the line above the first table\n",
                quoted(title)
            ),
            None => "title = \"A campaign\" # write your own\n".into(),
        };
        let element = self.element();
        let (followed, why) = match &element {
            Some((symbol, times)) => (
                symbol.as_str(),
                format!("it stands in {}", count(*times, "heading")),
            ),
            None => ("Cu", "the element whose balance is followed".into()),
        };
        format!(
            "[campaign]\n{title}# product = \"CuSO4·5H2O\" # write the formula of your product\n# followed = {} # {why}\n# assay_as = {} # the formula that assays of feed and residue are stated as\n# purity_spec = 0.985 # the purity that the product must have\n\n",
            quoted(followed),
            quoted(followed)
        )
    }

    /// The symbol of an element that stands in most headings of fractions and strengths.
    fn element(&self) -> Option<(String, usize)> {
        let columns = self.outline.tables.iter().flat_map(|table| &table.columns);
        let mut counts: Vec<(String, usize)> = Vec::new();
        for column in columns {
            let words = column
                .heading
                .split(|sign: char| !sign.is_ascii_alphabetic());
            let symbols = words.filter(|word| {
                let bytes = word.as_bytes();
                bytes.len() == 2 && bytes[0].is_ascii_uppercase() && bytes[1].is_ascii_lowercase()
            });
            for symbol in symbols.filter(|symbol| crate::chemistry::Formula::parse(symbol).is_ok())
            {
                match counts.iter_mut().find(|(known, _)| known == symbol) {
                    Some((_, times)) => *times += 1,
                    None => counts.push((symbol.to_string(), 1)),
                }
            }
        }
        let most = counts.into_iter().rev().max_by_key(|(_, times)| *times);
        most.filter(|(_, times)| *times > 1)
    }

    fn logs(&self, titrants: Option<&str>) -> String {
        let mut text = String::from("[logs]\n");
        for kind in LogKind::ALL {
            let of_kind = self.tables.iter().filter(|(_, log)| *log == Some(kind));
            let tables: Vec<&TableOutline> = of_kind.map(|(table, _)| *table).collect();
            let names: Vec<String> = tables.iter().map(|table| quoted(&table.name)).collect();
            let rows: usize = tables.iter().map(|table| table.rows).sum();
            match names.as_slice() {
                [] => continue,
                [one] => text.push_str(&format!("{} = {one}", kind.key())),
                several => text.push_str(&format!("{} = [{}]", kind.key(), several.join(", "))),
            }
            let lines: Vec<String> = tables.iter().map(|table| table.line.to_string()).collect();
            let told = tables.iter().flat_map(|table| &table.columns);
            let told: Vec<String> = told
                .filter(|column| column.meaning.is_some())
                .map(|column| format!("`{}`", column.bare))
                .take(4)
                .collect();
            text.push_str(&format!(
                " # headings on line {}, {}; told by {}\n",
                and_list(lines),
                count(rows, "row"),
                and_list(told)
            ));
        }
        if let Some(runs) = self.of(LogKind::Runs).filter(|table| table.holds_residues) {
            let told = runs.columns.iter().filter(|column| {
                column
                    .of_residues
                    .as_deref()
                    .is_some_and(|name| name != "run")
            });
            let told = told.map(|column| format!("`{}`", column.heading));
            text.push_str(&format!(
                "residues = {} # {} stand in the table of the runs\n",
                quoted(&runs.name),
                and_list(told)
            ));
        }
        for (table, log) in &self.tables {
            if log.is_none() {
                let may_be = table.logs.iter().map(|(log, _)| format!("`{}`", log.key()));
                let may_be: Vec<String> = may_be.collect();
                let may_be = match may_be.as_slice() {
                    [] => "no log that its headings tell".to_string(),
                    some => format!("{}, if anything", or_list(some)),
                };
                text.push_str(&format!(
                    "# {} # {}, headings on line {}: {may_be}\n",
                    quoted(&table.name),
                    count(table.rows, "row"),
                    table.line
                ));
            }
        }
        if let Some(file) = titrants {
            text.push_str(&format!(
                "titrants = {} # written beside this file: fill it in\n",
                quoted(file)
            ));
        }
        match self.outline.decimal {
            Some(Decimal::Comma) => text.push_str("decimal = \",\" # most numbers show it\n"),
            Some(Decimal::Point) | None => {}
        }
        text.push_str("# dates = \"d.m.y\" # where dates such as 3/4/2025 can be read in two ways\n# plus_minus = \"standard\" # what stands behind a ± in a cell: \"standard\", \"k=2\" or \"rectangular\"\n# as_above = [\"lot\"] # columns whose empty cells repeat the one above\n\n");
        text
    }

    fn columns(&self) -> String {
        let mut text = String::new();
        for (table, log) in &self.tables {
            let Some(log) = log else { continue };
            text.push_str(&mappings(*log, table, |column| column.meaning.as_deref()));
            if *log == LogKind::Runs && table.holds_residues {
                let of_residues = |column: &'o ColumnOutline| column.of_residues.as_deref();
                text.push_str(&mappings(LogKind::Residues, table, of_residues));
            }
        }
        text
    }

    /// Columns of the runs that are none of the design.
    fn own(&self) -> impl Iterator<Item = &'o ColumnOutline> {
        let runs = self.of(LogKind::Runs).into_iter();
        let columns = runs.flat_map(|table| &table.columns);
        columns.filter(|column| column.meaning.is_none() && column.of_residues.is_none())
    }

    fn factors(&self) -> String {
        let mut text = String::new();
        for column in self.own() {
            let name = slug(&column.bare);
            let heading = quoted(&column.heading);
            match &column.values {
                Values::Levels(levels) => {
                    let listed = levels
                        .iter()
                        .map(|(level, times)| format!("{level} ({times})"));
                    let route = when(
                        is_called(column, &ROUTE),
                        "stands_for = \"route\" # by its name\n",
                    );
                    text.push_str(&format!(
                        "[factors.{name}] # {}\nkind = \"choice\"\ncolumn = {heading}\nbaseline = {} # the most frequent; the others are told as differences from it\n{route}# same_as = {{ level = [\"other spelling\"] }} # levels that are one\n\n",
                        and_list(listed.collect::<Vec<String>>()),
                        quoted(&levels[0].0)
                    ));
                }
                Values::Numbers { low, high, .. } if low < high => {
                    let is_set = is_called(column, &SET);
                    let unit = column.unit.as_deref();
                    let unit =
                        unit.map_or(String::new(), |unit| format!("unit = {}\n", quoted(unit)));
                    let why = if is_set {
                        "a number that was set, by its name"
                    } else {
                        "a factor if it was set; a response if it was found; nothing if neither"
                    };
                    let body = format!(
                        "[factors.{name}] # {why}\nkind = \"amount\"\ncolumn = {heading}\n{unit}low = {} # the least that was made; settings are recommended between the two\nhigh = {}\n",
                        plain(*low),
                        plain(*high)
                    );
                    match is_set {
                        true => text.push_str(&body),
                        false => text.extend(body.lines().map(|line| format!("# {line}\n"))),
                    }
                    text.push('\n');
                }
                _ => text.push_str(&format!("# {heading} is not used\n\n")),
            }
        }
        if let Some(high) = self.residue_ratio() {
            text.push_str(&format!(
                "[factors.residue_ratio] # g of residue for each g of feed, from their masses\nkind = \"amount\"\nlow = 0\nhigh = {high} # the largest that was charged, about\nstands_for = \"residue\"\n\n"
            ));
        }
        text
    }

    fn residue_ratio(&self) -> Option<String> {
        let runs = self.of(LogKind::Runs)?;
        let largest = |name: &str| {
            let mut columns = runs.columns.iter();
            let column = columns.find(|column| column.meaning.as_deref() == Some(name))?;
            match column.values {
                Values::Numbers { high, .. } if high > 0.0 => Some(high),
                _ => None,
            }
        };
        let ratio = largest("residue_mass")? / largest("feed_mass")?;
        Some(plain((20.0 * ratio).ceil() / 20.0))
    }

    fn titration(&self) -> String {
        let Some(titres) = self.of(LogKind::Titres) else {
            return String::new();
        };
        let titre = titres
            .columns
            .iter()
            .find(|column| column.meaning.as_deref() == Some("titre"));
        let name = titre.map_or("titrant", |column| column.bare.as_str());
        let name = if name.to_lowercase().contains("tit") {
            "titrant"
        } else {
            name
        };
        format!(
            "# [titration] # titres stand in `{}`; write what was titrated with what\n# analyte = \"CuSO4·5H2O\"\n# titrant = {}\n# ratio = 1 # mol of analyte for each mol of titrant\n# aliquot = 0.1 # 25 mL of a flask of 250 mL; leave it out where the whole sample was titrated\n\n",
            titres.name,
            quoted(name)
        )
    }

    /// What is left on ignition is for the user to say.
    fn ignition(&self) -> String {
        let crops = self.of(LogKind::Crops).into_iter();
        let mut columns = crops.flat_map(|table| &table.columns);
        let ignited = columns.find(|column| column.meaning.as_deref() == Some("ignited_mass"));
        ignited.map_or_else(String::new, |column| {
            format!(
                "# [ignition] # `{}` is what a crop leaves; write as which formula\n# leaves = \"CuO\"\n\n",
                column.heading
            )
        })
    }

    fn prices(&self) -> String {
        let lots = self.of(LogKind::Lots);
        let price = lots.and_then(|table| {
            let mut columns = table.columns.iter();
            columns.find(|column| column.meaning.as_deref() == Some("price"))
        });
        let currency = match price {
            Some(column) if column.heading.contains('$') => "USD",
            Some(column) if column.heading.contains('\u{a3}') => "GBP",
            _ => "EUR",
        };
        let feed = match price {
            Some(column) => format!(
                "# the feed has its price in the lots log: `{}`\n",
                column.heading
            ),
            None => "# feed = \"4 /kg\"\n".into(),
        };
        let is_amount = |column: &&ColumnOutline| {
            let unit = column.unit.as_deref();
            unit.is_some_and(|unit| ["g", "kg", "mL", "L"].contains(&unit))
        };
        let reagents = self.own().filter(is_amount);
        let reagents = reagents.map(|column| format!("{} = \"0.60 /kg\"", quoted(&column.heading)));
        let reagents: Vec<String> = reagents.collect();
        let reagents = match reagents.is_empty() {
            true => String::new(),
            false => format!(
                "# other = {{ {} }} # reagents; those that are none go out\n",
                reagents.join(", ")
            ),
        };
        format!(
            "# [prices] # what is left out is told as not counted\n# currency = \"{currency}\"\n{feed}# product = \"20 /kg\" # what it costs to buy\n# labour = \"20 /h\"\n{reagents}# residue_disposal = \"1 /kg\"\n# residue_handling = \"5 min/run\"\n\n"
        )
    }

    fn model(&self) -> String {
        let counted = self.own().filter(|column| match &column.values {
            Values::Levels(_) => true,
            Values::Numbers { low, high, .. } => low < high && is_called(column, &SET),
            _ => false,
        });
        let effects = counted.map(|column| quoted(&slug(&column.bare)));
        let residue = self.residue_ratio().map(|_| quoted("residue_ratio"));
        let effects: Vec<String> = effects.chain(residue).collect();
        format!(
            "# [model] # once product, followed and assay_as are written\n# responses = [\"yield\", \"purity\"]\n# effects = [{}]\n",
            effects.join(", ")
        )
    }
}
