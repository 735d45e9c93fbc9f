//! The nine answers: what each question comes to, where it stands, and what would lift what is open.
//!
//! In: runs, models, findings, charts and costs of a campaign. Out: [`Answer`]s, always all nine.
//! This module never works out a figure anew and never writes a sentence: it takes the figures that are there.

mod answer;
mod balance;
mod basis;
mod costs;
mod doubts;
mod drift;
mod figure;
mod moves;
mod next;
mod residue;
mod routes;
mod settings;
mod why_open;
mod yields;

pub use answer::{Answer, Question, Status};
pub use basis::Basis;
pub use figure::{Figure, FigureOf};
pub use moves::{FactorStanding, untold};
pub use why_open::{ToDo, WhyOpen};

/// The answers to all nine questions, question 3 once for each model.
pub fn answers(basis: &Basis) -> Vec<Answer> {
    let mut all = vec![yields::answer(basis), balance::answer(basis)];
    all.extend(moves::answers(basis));
    all.extend([
        routes::answer(basis),
        residue::answer(basis),
        settings::answer(basis),
        next::answer(basis),
        drift::answer(basis),
        costs::answer(basis),
    ]);
    for answer in &mut all {
        answer.doubts = doubts::touching(basis, &answer.question);
    }
    all
}
