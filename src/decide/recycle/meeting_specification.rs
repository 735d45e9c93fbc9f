//! How often charged and uncharged runs meet the specification, and whether that counts as money.
//!
//! In: the model of purity. Out: [`Worth`]: chances with and without residue, with draws of both.
//! This module never counts the noise of a titration as a change of the product.

use super::case::Case;
use super::gain::{Figure, Figures};
use crate::campaign::{OffSpec, StandsFor};
use crate::decide::costs::{NotCounted, WorthUnknown};
use crate::decide::specification::share_beyond;
use crate::distributions::mean;
use crate::regression::{DrawnRuns, FittedModel, Settings};
use crate::seeded::{Seeded, stream};

/// Draws for how sure a chance is: a standard deviation from so many is known to about one and a half hundredths of itself.
pub(super) const DRAWS_OF_SPREAD: usize = 2_000;

/// Chances that the true purity of a new run meets the specification.
#[derive(Debug, Clone)]
pub struct Worth {
    /// The specification [mass fraction].
    pub spec: f64,
    /// Chance for a charged run.
    pub with: f64,
    /// Chance for a run without residue.
    pub without: f64,
    /// Whether product off specification is worth less than other, so that the chances count as money.
    pub counts: bool,
    /// The same chances for each draw of the means of purity.
    drawn: Vec<[f64; 2]>,
    /// Degrees of freedom of the difference that residue makes to purity.
    pub(super) degrees_of_freedom: f64,
}

impl Worth {
    /// Variance of the chance with residue, covariance of both, variance of that without.
    ///
    /// They are the moments of the drawn chances about their means, divided by the number of draws.
    pub(super) fn covariance(&self) -> [f64; 3] {
        let of_draws = |of: &dyn Fn(&[f64; 2]) -> f64| {
            let sum = self.drawn.iter().map(of).sum::<f64>();
            sum / self.drawn.len().max(1) as f64
        };
        let means = [of_draws(&|draw| draw[0]), of_draws(&|draw| draw[1])];
        [(0, 0), (0, 1), (1, 1)].map(|(one, other)| {
            of_draws(&|draw| (draw[one] - means[one]) * (draw[other] - means[other]))
        })
    }

    /// The figures of a draw with the chances of the same draw.
    pub(super) fn drawn(&self, figures: Figures, draw: usize) -> Figures {
        let [with, without] = self.drawn[draw % self.drawn.len()];
        figures
            .with(Figure::WorthWith, with)
            .with(Figure::WorthWithout, without)
    }
}

/// The chances with and without residue, where product off specification is worth less, without how sure they are.
pub(super) fn chances(case: &Case) -> Option<[f64; 2]> {
    let found = counts(case).then(|| worth(case, 0)).flatten()?;
    Some([found.with, found.without])
}

/// So many draws of the chances with and without residue, where product off specification is worth less.
pub(super) fn drawn(case: &Case, draws: usize) -> Option<Vec<[f64; 2]>> {
    let found = counts(case).then(|| worth(case, draws)).flatten();
    found.filter(|worth| worth.counts).map(|worth| worth.drawn)
}

/// What the chances are and how sure they are, where product off specification is worth less.
pub(super) fn counted(case: &Case) -> Option<Worth> {
    let found = counts(case).then(|| worth(case, DRAWS_OF_SPREAD));
    found.flatten().filter(|worth| worth.counts)
}

/// Whether product off specification is worth less than other.
fn is_worth_less(case: &Case) -> bool {
    let plan = case.material.campaign.recycling.as_ref();
    plan.is_some_and(|plan| plan.off_spec != OffSpec::Sold)
}

/// Whether the price of the product is known, where product off specification is held against it.
fn has_price(case: &Case) -> bool {
    let prices = case.material.costs.map(|costs| &costs.prices);
    case.reference.off_spec_price.value() == 0.0
        || prices.is_some_and(|prices| prices.product.as_ref().is_some_and(|p| p.value() > 0.0))
}

/// Whether the chances count as money.
pub(super) fn counts(case: &Case) -> bool {
    is_worth_less(case) && has_price(case)
}

/// What is said when product off specification should be worth less and no chance of meeting it is known.
pub(super) fn not_counted(case: &Case, worth: Option<&Worth>) -> Option<NotCounted> {
    let unknown = is_worth_less(case) && (worth.is_none() || !has_price(case));
    let why = match case.material.campaign.purity_spec {
        None => WorthUnknown::NoSpecification,
        Some(_) if worth.is_none() => WorthUnknown::NoModel,
        Some(_) => WorthUnknown::NoPrice,
    };
    unknown.then_some(NotCounted::OffSpecification(why))
}

/// The chances of meeting the specification; `None` without a specification or a model of purity that tells.
///
/// In a draw of the mean `μ` and of the scatter `σ` of true purities from run to run and between blocks the chance is
/// `1 − Φ((L − μ) / σ)`, with the specification `L`.
///
/// Each is the mean over the routes, and how sure it is comes from so many draws of both; from none where it does not count
/// as money.
pub(super) fn worth(case: &Case, draws: usize) -> Option<Worth> {
    let spec = case.material.campaign.purity_spec?;
    let model = case.material.models.purity()?;
    // Half of the runs by a route that always meets the specification and half by one that never does meet it in one case
    // of two, whatever the mean purity of both.
    let mut settings = by_route(case, &case.reference.with, model);
    settings.extend(by_route(case, &case.reference.without, model));
    let halves = |chances: &[f64]| {
        let (with, without) = chances.split_at(settings.len() / 2);
        [mean(with), mean(without)]
    };
    let chance = |settings: &Settings| model.chance_of_new_run_above(settings, spec).ok()?;
    let best: Vec<f64> = settings.iter().map(chance).collect::<Option<_>>()?;
    let [with, without] = halves(&best);
    let mut drawn = Vec::new();
    if draws > 0 {
        let streams = [stream::WORTH_OF_RESIDUE, stream::SCATTER_OF_WORTH];
        let streams = streams.map(|stream| Seeded::stream(case.material.seed, stream));
        let [mut of_means, mut of_scatter] = streams;
        let runs = model.draws_of_new_runs(&settings, draws, &mut of_means, &mut of_scatter);
        let of_settings = |runs: &DrawnRuns| {
            let away = runs.above_the_mean(spec).into_iter();
            away.map(share_beyond).collect::<Option<Vec<f64>>>()
        };
        let shares: Vec<Vec<f64>> = runs.ok()?.iter().map(of_settings).collect::<Option<_>>()?;
        drawn.extend(
            (0..shares[0].len())
                .map(|draw| halves(&shares.iter().map(|share| share[draw]).collect::<Vec<f64>>())),
        );
    }
    let apart = case.difference(model);
    Some(Worth {
        degrees_of_freedom: apart.map_or(f64::INFINITY, |apart| apart.degrees_of_freedom),
        spec,
        with,
        without,
        counts: counts(case) && !drawn.is_empty(),
        drawn,
    })
}

/// The charge with each route that the model of purity can tell; the charge itself where it names one or there is none.
fn by_route(case: &Case, charge: &Settings, model: &FittedModel) -> Vec<Settings> {
    let route = case.material.campaign.factor_for(StandsFor::Route);
    let route = route.filter(|route| charge.get(&route.name).is_none());
    let choices = model.levels_told();
    let of_route = choices.filter(|(choice, _)| route.is_some_and(|route| route.name == *choice));
    let told = of_route.flat_map(|(choice, levels)| {
        let told = levels.filter(|(_, told)| *told);
        told.map(move |(level, _)| charge.clone().level(choice, level))
    });
    let found: Vec<Settings> = told.collect();
    if found.is_empty() {
        vec![charge.clone()]
    } else {
        found
    }
}
