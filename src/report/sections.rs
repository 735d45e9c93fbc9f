//! One section a question: a picture, a table, a reading, doubts; and what stands behind the answers, for the end.
//!
//! In: an analysis. Out: the middle part of the report, and the first part of its appendix.
//! This module never repeats a section that has nothing to say: it leaves it out.

use super::answer_words::{key, title};
use super::print::{Page, anchor};
use super::{costs, drift, effects, firmness, next, recycling, routes, settings, yields};
use crate::answers::Question;
use crate::pipeline::Analysis;

/// Writes the sections of questions 1 to 9 on one page and what stands behind them on another.
pub(super) fn write(page: &mut Page, behind: &mut Page, analysis: &Analysis) {
    let mut of = |question: Question, write: &dyn Fn(&mut Page), further: &dyn Fn(&mut Page)| {
        let mut section = page.beside();
        write(&mut section);
        let mut more = page.beside();
        further(&mut more);
        let heading = format!("Behind answer {}", key(analysis, &question));
        if !section.is_empty() {
            page.heading(2, &title(analysis, &question, str::to_string));
            page.append(section);
            if !more.is_empty() {
                page.marked(&format!("More: [{heading}](#{}).", anchor(&heading)));
            }
        }
        if !more.is_empty() {
            behind.heading(2, &heading);
            behind.append(more);
        }
    };
    of(
        Question::Given,
        &|page| yields::section::given(page, analysis),
        &|page| yields::further::given(page, analysis),
    );
    of(
        Question::Went,
        &|page| yields::section::went(page, analysis),
        &|page| yields::further::went(page, analysis),
    );
    for position in 0..analysis.findings.moves.len() {
        let answer = key(analysis, &Question::Moves(Some(position)));
        of(
            Question::Moves(Some(position)),
            &|page| effects::section::write(page, analysis, position, &answer),
            &|page| effects::further::write(page, analysis, position),
        );
    }
    of(
        Question::Routes,
        &|page| routes::section::write(page, analysis),
        &|page| routes::further::write(page, analysis),
    );
    of(
        Question::Residue,
        &|page| recycling::section::write(page, analysis),
        &|page| recycling::further::write(page, analysis),
    );
    of(
        Question::Settings,
        &|page| settings::section::write(page, analysis),
        &|page| {
            settings::section::further(page, analysis);
            firmness::write(page, analysis);
        },
    );
    of(
        Question::Next,
        &|page| next::section::write(page, analysis),
        &|page| next::section::further(page, analysis),
    );
    of(
        Question::Drift,
        &|page| drift::section::write(page, analysis),
        &|page| drift::further::write(page, analysis),
    );
    of(
        Question::Cost,
        &|page| costs::section::write(page, analysis),
        &|page| {
            costs::crops::write(page, analysis);
            costs::impurities::write(page, analysis.findings.impurities.as_ref());
        },
    );
}
