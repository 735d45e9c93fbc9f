//! The figures that a gain rests on, with their errors and what several of them share.
//!
//! In: models, runs and prices. Out: [`Inputs`]: each figure as a [`Measured`] number, and intervals of what rests on them.
//! This module never decides what a gain is worth.
//!
//! The yields come from the model, the contents from the assays of the same runs. An assay that is stated too high makes
//! yields too low and contents too high by the same part, so that the product is hardly touched: each yield carries the
//! error of every source as far as the runs that it is estimated from carry it, and what remains of its variance is a
//! source of its own.

use std::borrow::Cow;

use super::answer::{Amount, SideModel, Untold};
use super::case::Case;
use super::gain::{Carried, Charged, Figure, Figures, gain};
use super::meeting_specification::Worth;
use crate::campaign::{Handling, RecyclingValue};
use crate::measured::{Distribution, Measured, SourceId, Sources, Together};
use crate::regression::{Estimate, FittedModel, Method, Refusal, Weighted};

/// The figures of a gain with their errors.
pub(super) struct Inputs {
    /// One for each [`Figure`].
    values: Vec<Measured>,
    /// Their best estimates.
    pub best: Figures,
    /// Their standard uncertainties.
    uncertainties: Figures,
    /// The same, ready to be drawn and combined.
    pub together: Together,
    charged: Charged,
    confidence: f64,
}

impl Inputs {
    /// The figures at a charge, with shares of product that are worth something where these count.
    pub fn of(case: &Case, worth: Option<&Worth>) -> Result<Self, Untold> {
        let sources = case.material.costs.map(|costs| &costs.sources);
        let mut sources = sources.unwrap_or(&case.material.runs.sources).clone();
        let side = &case.material.models.side;
        let [yield_with, yield_without] = yields(case, &mut sources)?;
        let mut pair = |model: Option<&FittedModel>, of| match model {
            Some(model) => pair(model, of, case, &mut sources),
            None => Ok([Measured::exact(0.0), Measured::exact(0.0)]),
        };
        let [reagents, more_reagents] = pair(side.reagents.as_ref(), SideModel::Reagents)?;
        let [out, more_out] = pair(side.residue_out.as_ref(), SideModel::ResidueOut)?;
        let [second, more_second] = pair(side.second.as_ref(), SideModel::Second)?;
        let [worth_with, worth_without] = match worth {
            Some(worth) => {
                let (covariance, degrees) = (worth.covariance(), worth.degrees_of_freedom);
                let errors = errors_of_one("model of purity", covariance, degrees, &mut sources);
                [
                    &Measured::exact(worth.with) + &errors[0],
                    &Measured::exact(worth.without) + &errors[1],
                ]
            }
            None => [Measured::exact(1.0), Measured::exact(1.0)],
        };
        let [labour, more_labour] = labour(case, &mut sources);
        let values = Figure::ALL
            .map(|figure| match figure {
                Figure::YieldWith => yield_with.clone(),
                Figure::YieldWithout => yield_without.clone(),
                Figure::ReagentsWithout => reagents.clone(),
                Figure::ReagentsExtra => more_reagents.clone(),
                Figure::ResidueOutWithout => out.clone(),
                Figure::ResidueOutExtra => more_out.clone(),
                Figure::SecondWithout => second.clone(),
                Figure::SecondExtra => more_second.clone(),
                Figure::WorthWith => worth_with.clone(),
                Figure::WorthWithout => worth_without.clone(),
                Figure::RunLabour => labour.clone(),
                Figure::LabourExtra => more_labour.clone(),
                stated => self::stated(case, stated).into_owned(),
            })
            .to_vec();
        Ok(Self {
            best: Figures::from(|figure| values[figure as usize].value()),
            uncertainties: Figures::from(|figure| values[figure as usize].uncertainty()),
            together: Together::of(&values, &sources),
            values,
            charged: case.reference.charged,
            confidence: case.confidence(),
        })
    }

    /// What is valued.
    pub fn valued(&self) -> RecyclingValue {
        self.charged.value
    }

    /// One figure.
    pub fn get(&self, figure: Figure) -> &Measured {
        &self.values[figure as usize]
    }

    /// The gain at other figures than the best [currency per charged run].
    pub fn gain(&self, figures: &Figures) -> f64 {
        gain(figures, &self.charged).total()
    }

    /// Change of a result per change of each figure, by symmetric differences; 0 for a figure that is exact.
    ///
    /// `gᵢ = (f(x + h uᵢ) − f(x − h uᵢ)) / (2 h uᵢ)`, `uᵢ` the standard uncertainty of the figure and `h` a thousandth.
    ///
    /// # Units and shapes
    /// One number for each [`Figure`], in the unit of the result per unit of the figure.
    /// # Source
    /// JCGM 100:2008, 5.1.3, note 2 (sensitivity coefficients by numerical differences).
    pub fn gradient(&self, at: &Figures, of: &impl Fn(&Figures) -> f64) -> Vec<f64> {
        let slope = |figure: Figure| {
            let step = STEP * self.uncertainties.get(figure);
            let shifted = |shift: f64| of(&at.with(figure, at.get(figure) + shift));
            if step > 0.0 {
                (shifted(step) - shifted(-step)) / (2.0 * step)
            } else {
                0.0
            }
        };
        Figure::ALL.map(slope).to_vec()
    }

    /// Half the width of the interval of the gain at other figures, some of which count as exact \[currency\].
    ///
    /// `t √(gᵀ C g)` with the covariance `C` of the figures at their best estimates and the derivatives `g` at these figures.
    ///
    /// # Assumes
    /// The figures keep their uncertainties where they are moved; the gain is straight over them.
    /// # Source
    /// JCGM 100:2008, 5.2.2, and annex G.6.4 for `t`.
    pub fn half_width(&self, at: &Figures, exact: &[Figure]) -> f64 {
        let mut slopes = self.gradient(at, &|figures| self.gain(figures));
        for figure in exact {
            slopes[*figure as usize] = 0.0;
        }
        self.together.spread(&slopes).expanded(self.confidence)
    }

    /// A result of the figures with its interval, by propagation.
    ///
    /// # Source
    /// JCGM 100:2008, 5.2.2, and annex G.6.4 for the interval.
    pub fn amount(&self, of: impl Fn(&Figures) -> f64) -> Amount {
        let spread = self.together.spread(&self.gradient(&self.best, &of));
        let (value, half) = (of(&self.best), spread.expanded(self.confidence));
        Amount {
            value,
            uncertainty: spread.uncertainty,
            low: value - half,
            high: value + half,
        }
    }
}

/// A figure that no model tells: contents, prices, times; 0 for the others.
pub(super) fn stated<'c>(case: &'c Case, figure: Figure) -> Cow<'c, Measured> {
    let prices = case.material.costs.map(|costs| &costs.prices);
    let leaves_residue = case.material.models.side.residue_out.is_some();
    let known = match figure {
        Figure::FeedContent => Some(&case.reference.feed_content),
        Figure::ResidueContent => Some(&case.reference.residue_content),
        Figure::OffSpecPrice => Some(&case.reference.off_spec_price),
        Figure::FeedPrice => case.reference.feed_price.as_ref(),
        Figure::ProductPrice => prices.and_then(|p| p.product.as_ref()),
        Figure::OxidantPrice => prices.and_then(|p| p.oxidant.as_ref()),
        Figure::LabourPrice => prices.and_then(|p| p.labour.as_ref()),
        Figure::DisposalPrice if leaves_residue => prices.and_then(|p| p.disposal.as_ref()),
        Figure::RunHeat => Some(&case.reference.heat),
        Figure::HandlingMinutes if case.reference.charged.carried == Carried::Liquor => None,
        Figure::HandlingMinutes => {
            // What the labour of charged runs holds already counts there, where anything tells how much it is.
            let is_held = case.handling == Handling::Logged && case.extra_labour().is_some();
            let stated = prices.and_then(|p| p.handling).filter(|_| !is_held);
            return Cow::Owned(Measured::exact(stated.unwrap_or(0.0)));
        }
        _ => None,
    };
    known.map_or_else(|| Cow::Owned(Measured::default()), Cow::Borrowed)
}

/// Labour of a run without residue, and what a charged run logs more \[min\]; 0 where none is logged or its model cannot tell.
fn labour(case: &Case, sources: &mut Sources) -> [Measured; 2] {
    let none = || [Measured::default(), Measured::default()];
    let (reference, model) = (&case.reference, &case.material.models.side.labour);
    let Some(model) = model else {
        return none();
    };
    let Ok(without) = model.estimate(&reference.without) else {
        return none();
    };
    let extra = case.extra_labour();
    let between = |one, other| model.covariance(one, other).ok().flatten().unwrap_or(0.0);
    let own = between(&reference.without, &reference.without);
    let [shared, more] = match extra {
        Some(_) => {
            let both = between(&reference.with, &reference.without);
            let with = between(&reference.with, &reference.with);
            [both - own, with - 2.0 * both + own]
        }
        None => [0.0, 0.0],
    };
    let known = extra.as_ref().unwrap_or(&without);
    let degrees = known.degrees_of_freedom;
    let of_model = [own, shared, more.max(0.0)];
    let errors = errors_of_one("model of labour", of_model, degrees, sources);
    let means = [without.value, extra.map_or(0.0, |extra| extra.value)];
    let [without, extra] = means.map(Measured::exact);
    [&without + &errors[0], &extra + &errors[1]]
}

/// Share of a standard uncertainty by which a figure is moved for a difference: curvature shows a millionth of itself.
const STEP: f64 = 1e-3;

/// The yield with and without residue \[fraction\].
///
/// Each is `ŷ + Σ wᵢ eᵢ + r`: the mean of the model, the errors `eᵢ` of the runs by their weights in the fit, and a rest `r`
/// whose covariance is what the model's own leaves beside these.
///
/// # Errors
/// [`Untold`] where the model refuses a mean or has no residual degrees of freedom.
fn yields(case: &Case, sources: &mut Sources) -> Result<[Measured; 2], Untold> {
    let (model, reference) = (case.yields, &case.reference);
    // As many terms as runs are tangled with anything: that there are so many is what stands in the way.
    if model.residual_df == 0 {
        return Err(Untold::NoFreedom);
    }
    let at = [&reference.with, &reference.without];
    let refused = Untold::Refused;
    let of_contents = &reference.feed_content + &reference.residue_content;
    let carried = |source: SourceId| held_by_runs(model, &of_contents, source);
    let mut known = Vec::new();
    for settings in at {
        let mean = model.estimate(settings).map_err(refused)?;
        let errors = case.errors_of_runs(settings).map_err(refused)?;
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
    let covariance = [rest(0, 0)?.max(0.0), rest(0, 1)?, rest(1, 1)?.max(0.0)];
    let parts = case.contrast();
    let rest = {
        let [with, without] = [parts[0].weight, parts[1].weight];
        let [own, shared, other] = covariance;
        with * with * own + 2.0 * with * without * shared + without * without * other
    };
    let degrees = degrees_of_rest(case, &parts, rest).map_err(refused)?;
    let [with, without] = errors_of_one("model of yield", covariance, degrees, sources);
    Ok([&known[0] + &with, &known[1] + &without])
}

/// What one estimate leaves open of a figure with residue and one without, as two sources of that estimate.
///
/// The covariance holds the variance of the first, the covariance, and the variance of the second. Its lower root gives the
/// first `a = √v₁`, the second `c / a` from the same source and `√(v₂ − c²/a²)` from one of its own.
fn errors_of_one(
    name: &str,
    [own, shared, other]: [f64; 3],
    degrees_of_freedom: f64,
    sources: &mut Sources,
) -> [Measured; 2] {
    let first = own.sqrt();
    let along = if first > 0.0 { shared / first } else { 0.0 };
    let second = (other - along * along).max(0.0).sqrt();
    let one = sources.add(name, Distribution::Normal, degrees_of_freedom);
    let two = sources.add(name, Distribution::Normal, degrees_of_freedom);
    sources.get_mut(two).estimate = Some(one);
    let error = |source: SourceId, size: f64| Measured::new(0.0, source, size);
    let without = &error(one, along) + &error(two, second);
    [error(one, first), without]
}

/// Degrees of freedom of what the model estimated of the error of a weighted sum of means, beside what was stated.
///
/// `ν_rest = ν (u_rest² / u²)²`: the degrees of freedom `ν` of the model are those of the whole variance `u²`, and the error
/// of the estimate, `2 u⁴ / ν`, is all in `u_rest²`. Counting the stated part in once more would take it for better known.
///
/// # Source
/// JCGM 100:2008, annex G.4.1, equation G.2b, solved for the one term that is estimated.
pub(super) fn degrees_of_rest(case: &Case, parts: &[Weighted], rest: f64) -> Result<f64, Refusal> {
    let whole = case.yields.weighted_sum(parts)?;
    let variance = whole.standard_error.unwrap_or(0.0).powi(2);
    Ok(if rest > 0.0 && variance > 0.0 {
        whole.degrees_of_freedom * (rest / variance).min(1.0).powi(2)
    } else {
        f64::INFINITY
    })
}

/// Whether the error of a source reaches yields beside what the covariance of their model tells.
///
/// A fit that knows the measurement holds all errors of the runs. A plain fit knows its scatter alone, and an assay that is wrong
/// by the same in all runs is not in that: what contents carry is carried by its yields besides, against them.
pub(super) fn held_by_runs(model: &FittedModel, of_contents: &Measured, source: SourceId) -> bool {
    match model.method {
        Method::Measured => true,
        Method::Plain => of_contents.parts().iter().any(|(id, _)| *id == source),
    }
}

/// A mean without residue and what residue adds, from a model whose errors nothing else shares.
fn pair(
    model: &FittedModel,
    of: SideModel,
    case: &Case,
    sources: &mut Sources,
) -> Result<[Measured; 2], Untold> {
    let name = of.source();
    let refused = |refusal| Untold::BySide { model: of, refusal };
    let without = model.estimate(&case.reference.without).map_err(refused)?;
    let extra = case.difference(model).map_err(refused)?;
    let mut number = |estimate: &Estimate, what: &str| {
        let (name, degrees) = (format!("model of {what}"), estimate.degrees_of_freedom);
        let source = sources.add(name, Distribution::Normal, degrees);
        let error = estimate.standard_error.unwrap_or(0.0);
        Measured::new(estimate.value, source, error)
    };
    Ok([
        number(&without, name),
        number(&extra, &format!("extra {name}")),
    ])
}
