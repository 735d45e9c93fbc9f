//! Does charging residue change how often the product meets its specification, and does that count as money?
//!
//! In: the model of purity. Out: [`Worth`]: chances with and without residue, with draws of both.
//! This module never counts the noise of a titration as a change of the product.

use super::Question;
use super::gain::{Figure, Figures};
use super::gained::STREAMS;
use super::reference::Reference;
use crate::campaign::OffSpec;
use crate::distributions::t_upper;
use crate::seeded::Seeded;

/// For the chances alone.
const NO_DRAWS: usize = 0;
/// Draws for how sure a chance is: a standard deviation from so many is known to about one and a half hundredths of itself.
const DRAWS_OF_SPREAD: usize = 2_000;

/// Chances that the true purity of a new run meets the specification.
#[derive(Debug, Clone)]
pub struct Worth {
    /// The specification [mass fraction].
    pub spec: f64,
    /// Chance for a charged run.
    pub with: f64,
    /// Chance for a run without residue.
    pub without: f64,
    /// Whether product off specification is worth nothing, so that the chances count as money.
    pub counts: bool,
    /// The same chances for each draw of the means of purity.
    drawn: Vec<[f64; 2]>,
    /// Degrees of freedom of the difference that residue makes to purity.
    pub(super) degrees_of_freedom: f64,
}

impl Worth {
    /// Variance of the chance with residue, covariance of both, variance of that without; zero where they do not count.
    pub(super) fn covariance(&self) -> [f64; 3] {
        let count = self.drawn.len() as f64;
        if self.drawn.is_empty() {
            return [0.0; 3];
        }
        let mean = |place: usize| self.drawn.iter().map(|draw| draw[place]).sum::<f64>() / count;
        let means = [mean(0), mean(1)];
        let moment = |one: usize, other: usize| {
            let parts = self.drawn.iter();
            parts
                .map(|draw| (draw[one] - means[one]) * (draw[other] - means[other]))
                .sum::<f64>()
                / count
        };
        [moment(0, 0), moment(0, 1), moment(1, 1)]
    }

    /// The figures of a draw with the chances of the same draw.
    pub(super) fn drawn(&self, figures: Figures, draw: usize) -> Figures {
        let [with, without] = self.drawn[draw % self.drawn.len()];
        figures
            .with(Figure::WorthWith, with)
            .with(Figure::WorthWithout, without)
    }
}

/// The chances with and without residue, where product off specification is worth nothing, without how sure they are.
pub(super) fn chances(question: &Question, reference: &Reference) -> Option<[f64; 2]> {
    let found = worth(question, reference, NO_DRAWS)?;
    counts(question).then_some([found.with, found.without])
}

/// What the chances are and how sure they are, where product off specification is worth nothing.
pub(super) fn counted(question: &Question, reference: &Reference) -> Option<Worth> {
    worth(question, reference, DRAWS_OF_SPREAD).filter(|worth| worth.counts)
}

/// Whether product off specification is worth nothing.
fn counts(question: &Question) -> bool {
    let plan = question.campaign.recycling.as_ref();
    plan.is_some_and(|plan| plan.off_spec == OffSpec::Worthless)
}

/// What is said when product off specification should be worth nothing and no chance of meeting it is known.
pub(super) fn not_counted(question: &Question, worth: Option<&Worth>) -> Option<String> {
    let unknown = counts(question) && worth.is_none();
    unknown.then(|| {
        let reason = match question.campaign.purity_spec {
            None => "no `purity_spec` is stated",
            Some(_) => "no model of purity tells the chance of it",
        };
        format!("product off specification ({reason})")
    })
}

/// The chances of meeting the specification; `None` without a specification or a model of purity that tells.
pub(super) fn worth(question: &Question, reference: &Reference, draws: usize) -> Option<Worth> {
    let spec = question.campaign.purity_spec?;
    let model = question.model("purity")?;
    let settings = [reference.with.clone(), reference.without.clone()];
    let chance = |place: usize| {
        let asked = model.chance_of_new_run_above(&settings[place], spec);
        asked.ok().flatten()
    };
    let (with, without) = (chance(0)?, chance(1)?);
    let scatter = settings.each_ref().map(|settings| {
        let run = model.new_run_interval(settings).ok()?;
        let scatter = run.scatter?;
        Some((scatter.run_to_run + scatter.between_blocks).sqrt())
    });
    let counts = counts(question);
    let [own, other] = scatter;
    let scatter = [own?, other?];
    let drawn = if counts && draws > NO_DRAWS {
        let mut random = Seeded::stream(question.seed, STREAMS[1]);
        let means = model.draws_of_means(&settings, draws, &mut random).ok()?;
        let at = |place: usize, draw: usize| {
            let away = (spec - means[place][draw]) / scatter[place];
            t_upper(away, f64::INFINITY).unwrap_or(f64::from(u8::from(away <= 0.0)))
        };
        (0..means[0].len())
            .map(|draw| [at(0, draw), at(1, draw)])
            .collect()
    } else {
        Vec::new()
    };
    let apart = model.difference(&settings[0], &settings[1]);
    Some(Worth {
        degrees_of_freedom: apart.map_or(f64::INFINITY, |apart| apart.degrees_of_freedom),
        spec,
        with,
        without,
        counts: counts && !drawn.is_empty(),
        drawn,
    })
}
