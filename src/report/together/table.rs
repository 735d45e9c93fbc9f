//! Tables of what several campaigns say together.
//!
//! In: what was found. Out: one [`Table`] a question.
//! This module never fits and never judges.

use super::words::{differing as differs, figure, reason, spread};
use crate::report::answer_words::status;
use crate::report::print::{Cell, Columns, Table, and_list, joined};
use crate::together::{OfResponse, Together};

/// Each effect with where it stands.
pub(super) fn effects(of: &OfResponse) -> Table {
    let mut rows = Columns::of(&of.effects);
    rows.words("effect", |effect| effect.name.to_string());
    rows.figures("the same in all", |effect| {
        let common = effect.common.as_ref();
        common.map(|term| figure(of, effect, term.value, term.interval))
    });
    rows.figures("another in each", |effect| {
        let across = effect
            .across
            .as_ref()
            .filter(|_| effect.across_interval.is_some());
        across.map(|across| figure(of, effect, across.value, effect.across_interval))
    });
    rows.figures("standard deviation between campaigns", |effect| {
        spread(of, effect).map_or_else(|| Cell::because(""), Cell::text)
    });
    rows.words("stands", |effect| status(effect.status));
    rows.words("because", |effect| {
        joined(effect.why.iter().map(|why| reason(*why)), "; ")
    });
    rows.answer("What do the campaigns say together?")
}

/// Each effect in each campaign alone.
pub(super) fn by_campaign(found: &Together, of: &OfResponse) -> Table {
    let mut rows = Columns::of(&of.effects);
    rows.words("effect", |effect| effect.name.to_string());
    for (campaign, title) in found.titles.iter().enumerate() {
        rows.figures(title.as_str(), |effect| {
            let own = effect.own.get(campaign)?.as_ref()?;
            Some(figure(of, effect, own.value, own.interval))
        });
    }
    rows.answer("What does each campaign say alone?")
}

/// Whether each effect differs.
pub(super) fn differing(of: &OfResponse) -> Table {
    let luck = 1.0 - of.model.confidence;
    let mut rows = Columns::of(&of.differs);
    rows.words("effect", |differing| and_list(&differing.factors));
    rows.figures("chance by luck", |differing| differing.p.map(Cell::Chance));
    rows.figures("counted for all effects", |differing| {
        differing.corrected.map(Cell::Chance)
    });
    rows.words("reading", |differing| differs(differing, luck));
    rows.answer("Does an effect differ among the campaigns?")
}
