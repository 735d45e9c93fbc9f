//! How uncertain are the figures that a gain rests on, and together?
//!
//! In: models, runs and prices. Out: [`Inputs`]: each figure as a [`Measured`] number, with what several of them share.
//! This module never works out a gain.
//!
//! The yields come from the model, the contents from the assays of the same runs. An assay that is stated too high makes
//! yields too low and contents too high by the same part, so that the product is hardly touched: each yield carries the
//! error of every source as far as the runs that it is estimated from carry it, and what remains of its variance is a
//! source of its own.

use super::gain::{Figure, Figures};
use super::reference::Reference;
use super::worth::Worth;
use crate::decide::costs::Costs;
use crate::measured::{Distribution, Measured, SourceId, Sources, Together};
use crate::regression::{FittedModel, Method, Refusal, Settings, Weighted};
use crate::runs::Runs;

/// The figures of a gain with their errors.
#[derive(Debug, Clone)]
pub(super) struct Inputs {
    /// One for each [`Figure`].
    values: Vec<Measured>,
    /// Every source that they rest on.
    pub sources: Sources,
}

/// What the models of the runs say for a charged and an uncharged run.
pub(super) struct Models<'a> {
    /// Of contained yield.
    pub yields: &'a FittedModel,
    /// Of further reagents [currency/g fresh feed].
    pub reagents: Option<&'a FittedModel>,
    /// Of residue taken out [g/g fresh feed].
    pub residue_out: Option<&'a FittedModel>,
}

/// Why a charged run cannot be told from one without residue.
#[derive(Debug, Clone, PartialEq)]
pub enum Untold {
    /// The model refuses to say.
    Refused(Refusal),
    /// A model that only this decision needs refuses to say.
    BySide {
        /// Which one.
        model: SideModel,
        /// Why.
        refusal: Refusal,
    },
    /// The model has no residual degrees of freedom, so that nothing is known of its error.
    NoFreedom,
}

/// A model that only this decision needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SideModel {
    /// Of the cost of further reagents.
    Reagents,
    /// Of the residue that runs leave.
    ResidueOut,
}

impl SideModel {
    /// Its name among the sources of uncertainty.
    fn source(self) -> &'static str {
        match self {
            SideModel::Reagents => "further reagents",
            SideModel::ResidueOut => "residue left",
        }
    }
}

/// A mean with and one without residue.
struct Pair {
    without: Measured,
    extra: Measured,
}

impl Inputs {
    /// The figures at the reference charge.
    pub fn of(
        runs: &Runs,
        costs: Option<&Costs>,
        models: &Models,
        reference: &Reference,
    ) -> Result<Self, Untold> {
        let mut sources = costs.map_or_else(|| runs.sources.clone(), |c| c.sources.clone());
        let [with, without] = yields(runs, models.yields, reference, &mut sources)?;
        let pair = |model: Option<&FittedModel>, of: SideModel, sources: &mut Sources| match model {
            Some(model) => pair(model, of, reference, sources),
            None => Ok(Pair {
                without: Measured::exact(0.0),
                extra: Measured::exact(0.0),
            }),
        };
        let reagents = pair(models.reagents, SideModel::Reagents, &mut sources)?;
        let out = pair(models.residue_out, SideModel::ResidueOut, &mut sources)?;
        let stated = Self::prices(costs, models, reference);
        let values = Figure::ALL
            .map(|figure| match figure {
                Figure::YieldWith => with.clone(),
                Figure::YieldWithout => without.clone(),
                Figure::ReagentsWithout => reagents.without.clone(),
                Figure::ReagentsExtra => reagents.extra.clone(),
                Figure::ResidueOutWithout => out.without.clone(),
                Figure::ResidueOutExtra => out.extra.clone(),
                other => stated(other),
            })
            .to_vec();
        Ok(Self { values, sources })
    }

    /// The figures that no model tells: contents, prices, times; 0 for the others.
    pub fn prices<'a>(
        costs: Option<&'a Costs>,
        models: &'a Models,
        reference: &'a Reference,
    ) -> impl Fn(Figure) -> Measured + 'a {
        let prices = costs.map(|costs| &costs.prices);
        let price = |of: Option<&Measured>| of.cloned().unwrap_or_default();
        move |figure| match figure {
            Figure::FeedContent => reference.feed_content.clone(),
            Figure::ResidueContent => reference.residue_content.clone(),
            Figure::ProductPrice => price(prices.and_then(|p| p.product.as_ref())),
            Figure::FeedPrice => price(reference.feed_price.as_ref()),
            Figure::OxidantPrice => price(prices.and_then(|p| p.oxidant.as_ref())),
            Figure::LabourPrice => price(prices.and_then(|p| p.labour.as_ref())),
            Figure::DisposalPrice if models.residue_out.is_some() => {
                price(prices.and_then(|p| p.disposal.as_ref()))
            }
            Figure::HandlingMinutes => {
                Measured::exact(prices.and_then(|p| p.handling).unwrap_or(0.0))
            }
            Figure::WorthWith | Figure::WorthWithout => Measured::exact(1.0),
            _ => Measured::exact(0.0),
        }
    }

    /// The best estimates.
    pub fn best(&self) -> Figures {
        Figures::from(|figure| self.get(figure).value())
    }

    /// One figure.
    pub fn get(&self, figure: Figure) -> &Measured {
        &self.values[figure as usize]
    }

    /// The same figures with shares of product that are worth something: with residue and without.
    pub fn worth(mut self, worth: &Worth) -> Self {
        let own = Own {
            name: "model of purity",
            covariance: worth.covariance(),
            degrees_of_freedom: worth.degrees_of_freedom,
        };
        let [with, without] = own.errors(&mut self.sources);
        self.values[Figure::WorthWith as usize] = &Measured::exact(worth.with) + &with;
        self.values[Figure::WorthWithout as usize] = &Measured::exact(worth.without) + &without;
        self
    }

    /// The figures ready to be drawn and combined.
    pub fn together(&self) -> Together {
        Together::of(&self.values, &self.sources)
    }
}

/// Change of a result per change of each figure, by symmetric differences; 0 for a figure that is exact.
pub(super) fn gradient(inputs: &Inputs, at: &Figures, of: &impl Fn(&Figures) -> f64) -> Vec<f64> {
    Figure::ALL
        .iter()
        .map(|figure| {
            let step = STEP * inputs.get(*figure).uncertainty();
            let shifted = |shift: f64| of(&at.with(*figure, at.get(*figure) + shift));
            if step > 0.0 {
                (shifted(step) - shifted(-step)) / (2.0 * step)
            } else {
                0.0
            }
        })
        .collect()
}

/// Share of a standard uncertainty by which a figure is moved for a difference: curvature shows a millionth of itself.
const STEP: f64 = 1e-3;

/// The yield with and without residue.
fn yields(
    runs: &Runs,
    model: &FittedModel,
    reference: &Reference,
    sources: &mut Sources,
) -> Result<[Measured; 2], Untold> {
    let at = [&reference.with, &reference.without];
    let refused = Untold::Refused;
    // A fit that knows the measurement holds all errors of the runs. A plain fit knows its scatter alone, and an assay that is
    // wrong by the same in all runs is not in that: what contents carry is carried by its yields besides, against them.
    let of_contents = &reference.feed_content + &reference.residue_content;
    let carried = |source: SourceId| match model.method {
        Method::Measured => true,
        Method::Plain => of_contents.parts().iter().any(|(id, _)| *id == source),
    };
    let mut known = Vec::new();
    for settings in at {
        let mean = model.estimate(settings).map_err(refused)?;
        let errors = from_runs(runs, model, settings).map_err(refused)?;
        known.push(&Measured::exact(mean.value) + &errors.from_sources(carried));
    }
    let rest = |one: usize, other: usize| -> Result<f64, Untold> {
        let all = model.covariance(at[one], at[other]).map_err(refused)?;
        let held = match model.method {
            Method::Measured => known[one].covariance(&known[other]),
            Method::Plain => 0.0,
        };
        Ok(all.ok_or(Untold::NoFreedom)? - held)
    };
    // What remains beyond the sources that the runs carry, as two sources of one estimate.
    let (own, shared, other) = (rest(0, 0)?.max(0.0), rest(0, 1)?, rest(1, 1)?.max(0.0));
    let covariance = [own, shared, other];
    let [with, without] = Own {
        name: "model of yield",
        covariance,
        degrees_of_freedom: degrees_of_rest(model, reference, covariance).map_err(refused)?,
    }
    .errors(sources);
    Ok([&known[0] + &with, &known[1] + &without])
}

/// What one estimate leaves open of a figure with and one without residue.
struct Own {
    name: &'static str,
    /// Variance of the first, covariance, variance of the second.
    covariance: [f64; 3],
    degrees_of_freedom: f64,
}

impl Own {
    /// The errors of both, as two sources of one estimate.
    fn errors(&self, sources: &mut Sources) -> [Measured; 2] {
        let [own, shared, other] = self.covariance;
        let first = own.sqrt();
        let along = if first > 0.0 { shared / first } else { 0.0 };
        let second = (other - along * along).max(0.0).sqrt();
        let one = sources.add(self.name, Distribution::Normal, self.degrees_of_freedom);
        let two = sources.add(self.name, Distribution::Normal, self.degrees_of_freedom);
        sources.get_mut(two).estimate = Some(one);
        let error = |source: SourceId, size: f64| Measured::new(0.0, source, size);
        let without = &error(one, along) + &error(two, second);
        [error(one, first), without]
    }
}

/// Degrees of freedom of what the model estimated of the error of the extra product, beside what was stated.
///
/// `ν_rest = ν (u_rest² / u²)²`: the degrees of freedom `ν` of the model are those of the whole variance `u²`, and the error
/// of the estimate, `2 u⁴ / ν`, is all in `u_rest²`. Counting the stated part in once more would take it for better known.
///
/// # Source
/// JCGM 100:2008, annex G.4.1, equation G.2b, solved for the one term that is estimated.
fn degrees_of_rest(
    model: &FittedModel,
    reference: &Reference,
    [own, shared, other]: [f64; 3],
) -> Result<f64, Refusal> {
    let parts = reference.contrast();
    let whole = model.weighted_sum(&parts)?;
    let [with, without] = parts.map(|part| part.weight);
    let rest = with * with * own + 2.0 * with * without * shared + without * without * other;
    let variance = whole.standard_error.unwrap_or(0.0).powi(2);
    Ok(if rest > 0.0 && variance > 0.0 {
        whole.degrees_of_freedom * (rest / variance).min(1.0).powi(2)
    } else {
        f64::INFINITY
    })
}

/// The errors that the measurements of the runs bring into a mean of the model.
fn from_runs(runs: &Runs, model: &FittedModel, settings: &Settings) -> Result<Measured, Refusal> {
    let weights = model.run_weights(settings)?;
    let mut results = runs.results.iter();
    let parts: Vec<Measured> = model
        .runs
        .iter()
        .zip(weights)
        .filter_map(|(name, weight)| {
            // The runs of a model stand in the order of the results.
            let run = results.find(|run| run.run == *name)?;
            let contained = run.contained.as_ref().ok()?;
            Some(contained.from_sources(|_| true) * weight)
        })
        .collect();
    Ok(Measured::sum(&parts))
}

/// A mean without residue and what residue adds, from a model whose errors nothing else shares.
fn pair(
    model: &FittedModel,
    of: SideModel,
    reference: &Reference,
    sources: &mut Sources,
) -> Result<Pair, Untold> {
    let name = of.source();
    let refused = |refusal| Untold::BySide { model: of, refusal };
    let without = model.estimate(&reference.without).map_err(refused)?;
    let extra = model
        .weighted_sum(&[
            Weighted {
                weight: 1.0,
                settings: reference.with.clone(),
            },
            Weighted {
                weight: -1.0,
                settings: reference.without.clone(),
            },
        ])
        .map_err(refused)?;
    let mut number = |estimate: &crate::regression::Estimate, what: &str| {
        let source = sources.add(
            format!("model of {what}"),
            Distribution::Normal,
            estimate.degrees_of_freedom,
        );
        Measured::new(
            estimate.value,
            source,
            estimate.standard_error.unwrap_or(0.0),
        )
    };
    Ok(Pair {
        without: number(&without, name),
        extra: number(&extra, &format!("extra {name}")),
    })
}
