//! From the text of the campaign file to a campaign that can't be wrong.
//!
//! In: [`FileText`]. Out: [`Campaign`], or every fault of the file in one go.
//! This module never opens a file: the program hands it the text.

use std::cell::RefCell;

use toml::de::DeTable;

use super::section::{Section, Source};
use super::{Campaign, aims, basics, columns, factors, model, money, titration, uncertainty};
use crate::error::{Error, ErrorKind, Faults};

/// A text file with the name that messages call it by.
#[derive(Debug, Clone)]
pub struct FileText {
    /// Name for messages.
    pub file: String,
    /// The whole text.
    pub text: String,
}

/// A campaign file that parses as TOML but may still be wrong.
#[derive(Debug, Clone)]
pub struct CampaignDraft {
    file: FileText,
}

impl CampaignDraft {
    /// Takes a text whose syntax is sound.
    ///
    /// # Errors
    /// Every fault of syntax, with its line.
    pub fn read(file: FileText) -> Result<Self, Faults> {
        let (_, errors) = DeTable::parse_recoverable(&file.text);
        let source = source(&file);
        for error in errors {
            let position = error.span().map_or(0, |span| span.start);
            source.fault(
                position,
                format!(
                    "this is not TOML: {}",
                    error.message().trim_end_matches('.')
                ),
                "check quotes, brackets and doubled keys on that line",
            );
        }
        Faults::or(source.in_order(), ()).map(|()| CampaignDraft { file })
    }

    /// Checks every key and every relation between keys.
    ///
    /// # Errors
    /// All faults in one go, in the order of their lines.
    pub fn check(self) -> Result<Campaign, Faults> {
        let source = source(&self.file);
        let table = DeTable::parse(&self.file.text).map_err(|error| {
            Error::new(ErrorKind::Campaign, error.message()).in_file(&self.file.file)
        })?;
        let root = Section::root(&source, table.get_ref());
        let campaign = read_all(&root, &self.file.file);
        root.finish();
        Faults::or(source.in_order(), campaign)
    }
}

fn source(file: &FileText) -> Source<'_> {
    Source {
        file: &file.file,
        text: &file.text,
        faults: RefCell::default(),
    }
}

fn read_all(root: &Section, file: &str) -> Campaign {
    let basics = basics::campaign(root.section("campaign"));
    let factors = factors::factors(root.section("factors"));
    let responses = factors::responses(root.section("responses"));
    let mut response_names: Vec<String> = Vec::new();
    if basics.chemistry.is_there() {
        response_names.extend(["yield".to_string(), "purity".to_string()]);
    }
    response_names.extend(responses.iter().map(|response| response.name.clone()));
    let oxidant_section = root.section("oxidant");
    if oxidant_section.is_there() && !basics.chemistry.is_there() {
        root.source.fault(
            oxidant_section.position(),
            "`[oxidant]` without `product`, `followed` and `assay_as` in `[campaign]`".into(),
            "the need for oxidant is counted per followed atom",
        );
    }
    let factor_names: Vec<String> = factors
        .iter()
        .map(|factor| factor.name.clone())
        .chain(["lot".to_string()])
        .collect();
    Campaign {
        file: file.to_string(),
        title: basics.title,
        purity_spec: basics.purity_spec,
        logs: basics::logs(root.section("logs")),
        columns: columns::columns(root.section("columns")),
        oxidant: factors::oxidant(oxidant_section),
        model: model::model(root.section("model"), &factors, &response_names),
        uncertainty: uncertainty::plan(root.section("uncertainty")),
        titration: titration::titration(root.section("titration"), &basics.chemistry),
        prices: money::prices(root.section("prices")),
        recycling: money::recycling(root.section("recycling")),
        solubility: aims::solubility(root.section("solubility")),
        soak_above: aims::soak_above(root.section("readings")),
        shelf: aims::shelf(root.section("shelf")),
        aim: aims::aim(root.section("aim"), &response_names),
        limits: aims::limits(root.section("limits"), &factor_names),
        drift: aims::drift(root.section("drift"), &response_names),
        hazards: aims::hazards(root.section("hazards")),
        chemistry: basics.chemistry.sound().cloned(),
        factors,
        responses,
    }
}
