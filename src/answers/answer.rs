//! An answer: its question, where it stands, and what would lift what is open.
//!
//! In: nothing of its own. Out: [`Answer`] with its parts.
//! This module never decides where an answer stands.

use serde::Serialize;

use super::figure::Figure;
use super::why_open::{ToDo, WhyOpen};
use crate::decide::Shaken;

/// One of the questions that a campaign is asked.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Question {
    /// 1: what did the runs give?
    Given,
    /// 2: where did the rest go?
    Went,
    /// 3: what moves a response? Its position among the models; `None` where there is no model at all.
    Moves(Option<usize>),
    /// 4: which recovery route is best?
    Routes,
    /// 5: does it pay to feed the residue forward?
    Residue,
    /// 6: which settings are best?
    Settings,
    /// 7: which runs should be made next?
    Next,
    /// 8: is the process drifting?
    Drift,
    /// 9: what did a gram of product cost, against buying it?
    Cost,
}

impl Question {
    /// Its number, 1 to 9.
    pub fn number(&self) -> u32 {
        match self {
            Question::Given => 1,
            Question::Went => 2,
            Question::Moves(_) => 3,
            Question::Routes => 4,
            Question::Residue => 5,
            Question::Settings => 6,
            Question::Next => 7,
            Question::Drift => 8,
            Question::Cost => 9,
        }
    }
}

/// Where an answer stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// The log carries it.
    Settled,
    /// The log carries a part of it.
    #[serde(rename = "partly open")]
    PartlyOpen,
    /// The log leaves it open.
    Open,
    /// It would be settled, but something that it rests on is doubtful.
    #[serde(rename = "in doubt")]
    InDoubt,
    /// The campaign has nothing to do with it.
    #[serde(rename = "not asked")]
    NotAsked,
}

/// The answer to one question.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The question.
    pub question: Question,
    /// Where the answer stands.
    pub status: Status,
    /// The figures that it rests on, those of the headline first.
    pub figures: Vec<Figure>,
    /// The one reason that matters most why it is not settled; `None` where it is.
    pub reason: Option<WhyOpen>,
    /// The doubts that touch it, as positions in the list of all doubts.
    pub doubts: Vec<usize>,
    /// What to log, declare or run, the most useful first.
    pub to_do: Vec<ToDo>,
}

impl Answer {
    /// An answer without figures: what stands in its way, and what would help.
    pub(super) fn without(
        question: Question,
        status: Status,
        reason: WhyOpen,
        to_do: Vec<ToDo>,
    ) -> Self {
        Self {
            status,
            ..Self::with(question, Vec::new(), Some(reason), to_do)
        }
    }

    /// The same in doubt, where it would be settled but something shakes it; as it is where it is open already.
    pub(super) fn unless_shaken(self, shaken: Option<&Shaken>) -> Self {
        match (self.status, shaken) {
            (Status::Settled, Some(shaken)) => Self {
                status: Status::InDoubt,
                reason: Some(WhyOpen::Shaken {
                    about: None,
                    by: Box::new(shaken.clone()),
                }),
                ..self
            },
            _ => self,
        }
    }

    /// An answer with figures; open where there is a reason, else settled.
    pub(super) fn with(
        question: Question,
        figures: Vec<Figure>,
        reason: Option<WhyOpen>,
        to_do: Vec<ToDo>,
    ) -> Self {
        Self {
            question,
            status: match reason {
                None => Status::Settled,
                Some(_) => Status::Open,
            },
            figures,
            reason,
            doubts: Vec::new(),
            to_do,
        }
    }
}
