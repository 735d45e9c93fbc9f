//! The words: a finished report from an analysis.
//!
//! In: an [`Analysis`]. Out: [`ReportFile`]s: Markdown, pictures, tables and `result.json`, as bytes.
//! This module never computes a statistic and never touches a file.

mod answer_words;
mod answers_table;
mod appendix;
mod causes;
mod cautions;
mod chain;
mod columns;
mod costs;
mod diagnostic_words;
mod doubts;
mod doubts_and_gaps;
mod draft_file;
mod drift;
mod effects;
mod explain;
mod firmness;
mod first_screen;
mod foresee;
mod headlines;
mod html;
pub mod json;
mod next;
mod pictures;
mod print;
mod reasons;
mod recycling;
mod rounds;
mod routes;
pub mod schema;
mod sections;
mod settings;
mod table_files;
mod together;
mod yields;

use serde_json::{Map, Value, json};
use sha2::{Digest, Sha256};

use crate::at_once::on_all_cores;
use crate::error::Error;
use crate::history::{Record, Since};
use crate::pipeline::Analysis;
use crate::result::WholeResult;
use crate::together::Together;
pub use draft_file::{draft_file, lacks_titrants};
pub use explain::explain;
pub use foresee::refused::refused as not_foreseen;
use print::escape::made_visible;
pub use print::escape::{one_line, visible};
use print::numbers::committed_value;
use print::{Page, Picture};
pub use print::{Width, wrapped};
pub use rounds::index_page::{IndexRow, index_html, index_page, summary};
pub use rounds::section::{in_short, verdict_with_texts, with_texts};
pub use rounds::words::verdict_in_words;
pub use together::refused as not_together;

pub use pictures::of_factors::picture as picture_over;

/// The answers for a terminal or a pipe.
pub mod terminal {
    pub use crate::report::answer_words::still_missing;
    pub use crate::report::causes::used_as;
    pub use crate::report::chain::chain;
    pub use crate::report::columns::columns;
    pub use crate::report::costs::crops::terminal as crops;
    pub use crate::report::doubts_and_gaps::{caveats, caveats_by_kind, faults};
    pub use crate::report::drift::terminal::drift;
    pub use crate::report::effects::terminal::{models, over};
    pub use crate::report::firmness::terminal::in_doubt;
    pub use crate::report::first_screen::{doubts_listed, in_brief};
    pub use crate::report::foresee::terminal::foreseen;
    pub use crate::report::next::terminal::{
        CellToCome, RowToCome, appended, next, next_cells, next_rows,
    };
    pub use crate::report::recycling::terminal::recycling;
    pub use crate::report::routes::terminal::routes;
    pub use crate::report::settings::terminal::settings;
    pub use crate::report::together::terminal::together;
    pub use crate::report::yields::passed_over::passed_over;
    pub use crate::report::yields::terminal::{left_out, planned, superseded, yields};
}

/// One file of a report; nothing in it steers a terminal that shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReportFile {
    /// Path below the folder of the report, with `/`.
    pub path: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// Writes a whole report; the last file is `result.json`, whose manifest holds the digests of the others.
///
/// # Errors
/// What a chart cannot draw.
pub fn report(analysis: &Analysis) -> Result<Vec<ReportFile>, Error> {
    written(analysis, &json::whole(analysis), Form::default(), None, &[])
}

/// As [`report()`], with the campaign file that it is of; `result` is what [`json::whole`] gives.
///
/// # Errors
/// What a chart cannot draw.
pub fn report_of(
    analysis: &Analysis,
    result: &WholeResult,
    source: &str,
    form: Form,
) -> Result<Vec<ReportFile>, Error> {
    written(analysis, result, form, None, &[("source", json!(source))])
}

/// What a report is written as besides Markdown and CSV.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Form {
    /// As one page of HTML that needs no other file.
    pub page: bool,
    /// Each table also as Parquet.
    pub parquet: bool,
}

/// Tables that reports hold as Parquet, below one another; each row has the name that comes with its table in a first column.
///
/// # Errors
/// [`ErrorKind::Unwritable`](crate::error::ErrorKind::Unwritable) where a file is no Parquet or has other columns.
pub fn all_below(named: &str, tables: &[(String, Vec<u8>)]) -> Result<Vec<u8>, Error> {
    crate::sheets::below_one_another(named, tables)
}

/// What a report among many says of itself besides.
#[derive(Debug, Clone)]
pub struct Standing<'a> {
    /// Digest of the inputs it was worked out from.
    pub inputs: String,
    /// What changed since the report before, where there was one.
    pub since: Option<Since>,
    /// What is kept of the rounds so far, this one last.
    pub records: Vec<&'a Record>,
}

/// As [`report()`], with the section on what changed; `result` is what [`json::whole`] gives.
///
/// # Errors
/// What a chart cannot draw.
pub fn report_since(
    analysis: &Analysis,
    result: &WholeResult,
    standing: &Standing,
    form: Form,
) -> Result<Vec<ReportFile>, Error> {
    let since = standing.since.as_ref();
    let answers = pictures::of_rounds::answers_by_round(&standing.records)?;
    let kept = [
        ("inputs", json!(standing.inputs)),
        ("since", json!(since.map(rounds::section::with_texts))),
    ];
    written(analysis, result, form, since.zip(Some(answers)), &kept)
}

fn written(
    analysis: &Analysis,
    result: &WholeResult,
    form: Form,
    since: Option<(&Since, Option<Picture>)>,
    kept_besides: &[(&str, Value)],
) -> Result<Vec<ReportFile>, Error> {
    let mut pictures = pictures::pictures(analysis)?;
    let since = since.map(|(since, answers)| {
        pictures.extend(answers);
        since
    });
    let mut rest = Page::with(&pictures);
    if let Some(since) = since {
        rounds::section::write(&mut rest, since);
    }
    let mut behind = Page::with(&pictures);
    sections::write(&mut rest, &mut behind, analysis);
    cautions::section(&mut rest, &analysis.campaign.hazards);
    appendix::write(&mut behind, analysis);
    explain::write(&mut behind);
    let headings = [rest.headings(), behind.headings()].concat();
    let mut page = Page::with(&pictures);
    first_screen::write(&mut page, analysis, &headings);
    page.append(rest);
    let (front, behind) = (page.finish(), behind.finish());
    let mut files = vec![file("report.md".into(), format!("{front}\n{behind}"))];
    if form.page {
        let text = html::page(&analysis.campaign.title, &front, &behind, &pictures);
        files.push(file("report.html".into(), text));
    }
    let pictures = pictures.into_iter();
    files.extend(pictures.map(|picture| file(format!("charts/{}", picture.file), picture.svg)));
    let tables = on_all_cores(table_files::tables(analysis), |(name, table)| {
        let as_text = file(format!("tables/{name}.csv"), print::csv::table(&table));
        let as_parquet = form.parquet.then(|| {
            let path = format!("tables/{name}.parquet");
            print::parquet::table(&table).map(|bytes| ReportFile { path, bytes })
        });
        Ok::<_, Error>((as_text, as_parquet.transpose()?))
    });
    for table in tables {
        let (as_text, as_parquet) = table?;
        files.push(as_text);
        files.extend(as_parquet);
    }
    Ok(with_result(files, result, kept_besides))
}

/// The report on several campaigns; `hazards` are those of all, `source` names their files.
///
/// # Errors
/// What a chart cannot draw.
pub fn of_campaigns(
    found: &Together,
    result: &WholeResult,
    hazards: &[String],
    source: &str,
) -> Result<Vec<ReportFile>, Error> {
    let (page, pictures) = together::page(found, hazards)?;
    let mut files = vec![file("report.md".into(), page)];
    let pictures = pictures.into_iter();
    files.extend(pictures.map(|picture| file(format!("charts/{}", picture.file), picture.svg)));
    Ok(with_result(files, result, &[("source", json!(source))]))
}

/// The files of a report with `result.json` behind them, which holds their digests.
fn with_result(
    mut files: Vec<ReportFile>,
    result: &WholeResult,
    kept_besides: &[(&str, Value)],
) -> Vec<ReportFile> {
    let besides = kept_besides.iter().cloned();
    let mut besides: Map<String, Value> = besides.map(|(key, of)| (key.to_string(), of)).collect();
    besides.insert("manifest".into(), manifest(&files));
    let text = crate::result::text(result, &besides, committed_value);
    files.push(file("result.json".into(), text));
    files
}

fn file(path: String, text: String) -> ReportFile {
    ReportFile {
        path,
        bytes: made_visible(text).into_bytes(),
    }
}

/// SHA-256 of each file by its path: a report is whole when its files match.
fn manifest(files: &[ReportFile]) -> Value {
    let digest = |file: &ReportFile| (file.path.clone(), json!(sha256(&file.bytes)));
    Value::Object(files.iter().map(digest).collect())
}

/// SHA-256 of some bytes in hexadecimal, as the manifest holds it.
///
/// # Source
/// FIPS 180-4, Secure Hash Standard.
pub fn sha256(bytes: &[u8]) -> String {
    let bytes = Sha256::digest(bytes);
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
