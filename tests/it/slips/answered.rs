//! What a campaign answers, and whether an edited one settles what the clean one would not.
//!
//! In: an analysis. Out: [`Answered`], and the answers of an edited campaign that are settled and wrong.
//! This module never knows which entry was edited.

use std::collections::BTreeMap;

use residuum::answers::{FigureOf, Question, Status};
use residuum::decide::Comparison;
use residuum::pipeline::Analysis;
use residuum::regression::Setting;

/// What of the clean campaign an edited one must keep where it is settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// Winners and signs.
    Signs,
    /// Figures besides, to within twice their ±.
    Figures,
}

/// A figure with both ends of its interval.
#[derive(Debug, Clone, Copy)]
struct Known {
    value: f64,
    ends: [f64; 2],
}

/// Questions 3 to 6 of a campaign: where each stands, who wins, and its figures.
#[derive(Debug, Clone, Default)]
pub struct Answered {
    status: BTreeMap<Question, Status>,
    /// The best route, and each choice at the best settings.
    winners: BTreeMap<(Question, String), String>,
    figures: BTreeMap<(Question, String), Known>,
}

impl Answered {
    /// What an analysis answers.
    pub fn of(analysis: &Analysis) -> Self {
        let mut all = Self::default();
        for answer in &analysis.answers {
            let question = &answer.question;
            if !(3..=6).contains(&question.number()) {
                continue;
            }
            all.status.insert(question.clone(), answer.status);
            for figure in &answer.figures {
                let compared = match &figure.compared {
                    Some(Comparison::Level { level, .. }) => level.clone(),
                    Some(Comparison::Span { at, .. }) => format!("{at:?}"),
                    None => String::new(),
                };
                if figure.what == FigureOf::MeanYield {
                    let best = (question.clone(), "route".to_string());
                    all.winners.insert(best, figure.about.clone());
                }
                let Some(ends) = figure.interval else {
                    continue;
                };
                let name = format!("{:?} {} {compared}", figure.what, figure.about);
                let known = Known {
                    value: figure.value,
                    ends,
                };
                // Of several spans of one amount the first counts: where the others lie depends on the log.
                all.figures.entry((question.clone(), name)).or_insert(known);
            }
        }
        if let Some(Ok(best)) = &analysis.findings.settings {
            for chosen in &best.at {
                if let Setting::Level(level) = &chosen.value {
                    let of = (Question::Settings, chosen.factor.clone());
                    all.winners.insert(of, level.clone());
                }
            }
        }
        all
    }

    /// Answers that are settled here although winner, sign or, where that is asked, figure differ from the clean campaign's.
    pub fn wrongly_settled(&self, clean: &Answered, ask: Ask) -> Vec<String> {
        let settled = |question: &Question| self.status.get(question) == Some(&Status::Settled);
        let mut wrong = Vec::new();
        for ((question, what), winner) in self.winners.iter().filter(|((q, _), _)| settled(q)) {
            let true_one = clean.winners.get(&(question.clone(), what.clone()));
            if let Some(true_one) = true_one.filter(|true_one| *true_one != winner) {
                wrong.push(format!("{question:?} {what}: {winner}, not {true_one}"));
            }
        }
        for ((question, what), known) in self.figures.iter().filter(|((q, _), _)| settled(q)) {
            let Some(truth) = clean.figures.get(&(question.clone(), what.clone())) else {
                continue;
            };
            let half = (truth.ends[1] - truth.ends[0]) / 2.0;
            // An interval that still holds the truth is wide, not wrong.
            let holds = (known.ends[0]..=known.ends[1]).contains(&truth.value);
            let beyond = !holds && (known.value - truth.value).abs() > 2.0 * half;
            let firm = known.ends[0] * known.ends[1] > 0.0;
            let turned = firm && known.value * truth.value < 0.0;
            if turned || (beyond && ask == Ask::Figures) {
                wrong.push(format!(
                    "{question:?} {what}: {:.4} ({:.4} to {:.4}), not {:.4} ({:.4} to {:.4})",
                    known.value,
                    known.ends[0],
                    known.ends[1],
                    truth.value,
                    truth.ends[0],
                    truth.ends[1]
                ));
            }
        }
        wrong
    }
}
