//! Does charging residue change how often the product meets its specification, and does that count as money?
//!
//! In: the model of purity. Out: [`Worth`]: chances with and without residue, with draws of both.
//! This module never counts the noise of a titration as a change of the product.

use super::Question;
use super::gain::{Figure, Figures};
use super::gained::STREAMS;
use super::reference::Reference;
use crate::campaign::{OffSpec, StandsFor};
use crate::decide::costs::{NotCounted, WorthUnknown};
use crate::distributions::t_upper;
use crate::regression::{FittedModel, Settings};
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
pub(super) fn not_counted(question: &Question, worth: Option<&Worth>) -> Option<NotCounted> {
    let unknown = counts(question) && worth.is_none();
    let why = match question.campaign.purity_spec {
        None => WorthUnknown::NoSpecification,
        Some(_) => WorthUnknown::NoModel,
    };
    unknown.then_some(NotCounted::OffSpecification(why))
}

/// The chances of meeting the specification; `None` without a specification or a model of purity that tells.
pub(super) fn worth(question: &Question, reference: &Reference, draws: usize) -> Option<Worth> {
    let spec = question.campaign.purity_spec?;
    let model = question.models.purity()?;
    // Half of the runs by a route that always meets the specification and half by one that never does meet it in one case
    // of two, whatever the mean purity of both.
    let mut settings = Vec::new();
    for charge in [&reference.with, &reference.without] {
        settings.extend(by_route(question, charge, model));
    }
    let routes = settings.len() / 2;
    let halves = |chances: &[f64]| {
        let mean = |part: &[f64]| part.iter().sum::<f64>() / routes as f64;
        [mean(&chances[..routes]), mean(&chances[routes..])]
    };
    let mut best = Vec::new();
    let mut scatter = Vec::new();
    for settings in &settings {
        best.push(model.chance_of_new_run_above(settings, spec).ok()??);
        let of_run = model.new_run_interval(settings).ok()?.scatter?;
        scatter.push((of_run.run_to_run + of_run.between_blocks).sqrt());
    }
    let [with, without] = halves(&best);
    let counts = counts(question);
    let drawn = if counts && draws > NO_DRAWS {
        let mut random = Seeded::stream(question.seed, STREAMS[1]);
        let means = model.draws_of_means(&settings, draws, &mut random).ok()?;
        let of_draw = |draw: usize| {
            let at = |place: usize| {
                let away = (spec - means[place][draw]) / scatter[place];
                t_upper(away, f64::INFINITY).unwrap_or(f64::from(u8::from(away <= 0.0)))
            };
            halves(&(0..settings.len()).map(at).collect::<Vec<f64>>())
        };
        (0..means[0].len()).map(of_draw).collect()
    } else {
        Vec::new()
    };
    let apart = model.difference(&reference.with, &reference.without);
    Some(Worth {
        degrees_of_freedom: apart.map_or(f64::INFINITY, |apart| apart.degrees_of_freedom),
        spec,
        with,
        without,
        counts: counts && !drawn.is_empty(),
        drawn,
    })
}

/// The charge with each route that the model of purity can tell; the charge itself where it names one or there is none.
fn by_route(question: &Question, charge: &Settings, model: &FittedModel) -> Vec<Settings> {
    let route = question.campaign.factor_for(StandsFor::Route);
    let means = route
        .filter(|route| charge.get(&route.name).is_none())
        .and_then(|route| {
            let mut all = model.adjusted_means.iter();
            all.find(|means| means.factor == route.name)
        });
    let Some(means) = means else {
        return vec![charge.clone()];
    };
    let told = means.levels.iter().filter(|level| level.mean.is_some());
    let found: Vec<Settings> = told
        .map(|level| charge.clone().level(&means.factor, &level.level))
        .collect();
    if found.is_empty() {
        vec![charge.clone()]
    } else {
        found
    }
}
