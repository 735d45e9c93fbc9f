//! Charging residue in every run held against charging what was collected less often.
//!
//! In: the reference charge, the shares that stay on the filter, the models. Out: [`Policies`]: gain a run and a month of each,
//! with the chance that it is the best of them.
//! This module never gives one policy another error than the others have from the same source.

use std::collections::BTreeMap;

use super::answer::{Amount, Untold};
use super::bleeds::best_of_bleeds;
use super::case::{Case, from_runs};
use super::charging::{Charge, When, charges};
use super::cycle_gain::{Asked, at};
use super::gain::{Figure, Figures, gain};
use super::inputs::{degrees_of_rest, held_by_runs, stated};
use super::meeting_specification;
use super::solids::Retained;
use crate::measured::{Distribution, Measured, SourceId, Sources, Together, lower_root};
use crate::regression::{Method, Settings, Weighted};
use crate::seeded::{Seeded, stream};

/// Most runs from charge to charge that are looked at.
const MOST_BETWEEN: u32 = 6;
/// Draws for the chance of being best, which is then known to half a per cent.
const DRAWS: usize = 10_000;
/// Draws for how sure the chances of meeting the specification are.
const DRAWS_OF_WORTH: usize = 1_000;
/// A figure is moved by this share of itself, to see what the gain changes by.
const STEP: f64 = 1e-3;

/// Policies held against each other.
#[derive(Debug, Clone)]
pub struct Policies {
    /// Each of them, the one that charges most often first.
    pub each: Vec<Policy>,
    /// Chance that charging nothing is better than all of them.
    pub chance_never: f64,
    /// Runs in a month: as stated, else by the dates of the log.
    pub runs_a_month: Option<f64>,
    /// Coverage of intervals, which a chance must reach to settle which is best.
    pub confidence: f64,
}

impl Policies {
    /// The one that is best by the estimates; `None` where each of them loses.
    pub fn best(&self) -> Option<&Policy> {
        let gains = self.each.iter().filter(|of| of.gain.value > 0.0);
        gains.max_by(|a, b| a.gain.value.total_cmp(&b.gain.value))
    }
}

/// When to charge, and what that brings.
#[derive(Debug, Clone)]
pub struct Policy {
    /// When residue is charged.
    pub when: When,
    /// Share of the residue thrown away.
    pub bleed: f64,
    /// Runs that the gain is about, those without residue among them.
    pub runs: u32,
    /// The charges.
    pub charges: Vec<PolicyCharge>,
    /// Gain of a run, charged or not, against one where nothing is ever charged \[currency\].
    pub gain: Amount,
    /// Chance that it is the best of all, charging nothing among them.
    pub chance_best: f64,
}

/// A charge of a policy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PolicyCharge {
    /// Number of the run; the first, without residue, is number 0.
    pub run: u32,
    /// Residue charged \[g\].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
    /// Gain of this run \[currency\].
    pub gain: f64,
}

/// Follows each policy over so many charges, with a stated bleed or the best for each; `None` where none of them charges any.
///
/// # Assumes
/// What stays on the filter keeps its shares; residue that is collected charges like residue of the run before. What stands on
/// the shelf in the end counts nothing. Gains are straight over the figures that they rest on.
/// # Errors
/// Why the models cannot tell a gain.
/// # Source
/// JCGM 100:2008, 5.2.2 (propagation of shared errors), annex G.6.4 for intervals.
pub(super) fn policies(
    asked: &Asked,
    retained: &Retained,
    stated_bleed: Option<f64>,
    count: u32,
) -> Result<Option<Policies>, Untold> {
    let case = asked.case;
    let follow = |when: When| {
        let bleed = match stated_bleed {
            Some(stated) => stated,
            None => best_of_bleeds(case, asked, retained, when, count)?.bleed,
        };
        Ok::<_, Untold>((when, bleed, charges(case, retained, when, bleed, count)))
    };
    let mut found = Vec::new();
    for runs in 1..=MOST_BETWEEN {
        found.push(follow(When::Every(runs))?);
    }
    let full = follow(When::Full)?;
    let at = |charges: &[Charge]| charges.iter().map(|charge| charge.run).collect::<Vec<_>>();
    let is_new = found.iter().all(|(.., others)| at(others) != at(&full.2));
    if full.2.len() == count as usize && is_new {
        found.push(full);
    }
    // Where it is best to throw all of it away, nothing is charged.
    found.retain(|(.., charges)| charges.iter().any(|charge| charge.ratio > 0.0));
    if found.is_empty() {
        return Ok(None);
    }
    let mut worth = BTreeMap::new();
    let totals = found
        .iter()
        .map(|(.., charges)| total(asked, &mut worth, charges));
    let totals: Vec<Total> = totals.collect::<Result<_, Untold>>()?;
    let (together, degrees) = together(case, &totals)?;
    let mut random = Seeded::stream(case.material.seed, stream::POLICIES_OF_RESIDUE);
    let mut wins = vec![0_usize; totals.len() + 1];
    for gains in together.draws(DRAWS, degrees, &mut random) {
        let all = gains.iter().copied().chain([0.0]).enumerate();
        let winner = all.max_by(|(i, a), (j, b)| a.total_cmp(b).then(j.cmp(i)));
        wins[winner.map_or(0, |(position, _)| position)] += 1;
    }
    let chance = |position: usize| wins[position] as f64 / DRAWS as f64;
    let each = found.into_iter().zip(&totals).enumerate();
    let content = case.reference.content_per_assay;
    let each = each.map(|(position, ((when, bleed, charges), total))| {
        let mut gradient = vec![0.0; totals.len()];
        gradient[position] = 1.0;
        let spread = together.spread(&gradient);
        let (value, half) = (total.value, spread.expanded(case.confidence()));
        let charges = charges.iter().zip(&total.gains);
        Policy {
            when,
            bleed,
            runs: total.runs,
            charges: charges
                .map(|(charge, gain)| PolicyCharge {
                    run: charge.run,
                    residue: charge.ratio * case.reference.feed_mass,
                    assay: charge.waiting.assay(content),
                    gain: *gain,
                })
                .collect(),
            gain: Amount {
                value,
                uncertainty: spread.uncertainty,
                low: value - half,
                high: value + half,
            },
            chance_best: chance(position),
        }
    });
    Ok(Some(Policies {
        each: each.collect(),
        chance_never: chance(totals.len()),
        runs_a_month: runs_a_month(case),
        confidence: case.confidence(),
    }))
}

/// Runs in a month.
fn runs_a_month(case: &Case) -> Option<f64> {
    const DAYS_A_MONTH: f64 = 365.25 / 12.0;
    let plan = case.material.campaign.recycling.as_ref();
    let days = case.material.runs.results.iter();
    let days: Option<Vec<i32>> = days.map(|run| run.day).collect();
    let by_dates = || {
        let days = days?;
        let span = days.iter().max()? - days.iter().min()?;
        (span > 0).then(|| (days.len() - 1) as f64 / f64::from(span) * DAYS_A_MONTH)
    };
    plan.and_then(|plan| plan.runs_a_month).or_else(by_dates)
}

/// The mean gain of a run by a policy, with what it hangs on.
struct Total {
    runs: u32,
    gains: Vec<f64>,
    value: f64,
    /// What assays, prices and the errors of the runs bring.
    known: Measured,
    /// The means of the models by how much it hangs on them: of yield, further reagents, residue left, labour, second products.
    of_models: [Vec<Weighted>; 5],
    /// What of `known` the covariance of the model of yield holds as well.
    held: Measured,
    /// What draws of the chances of meeting the specification change it by.
    of_worth: Vec<f64>,
}

/// Draws of the chances of meeting the specification, by the bits of the ratio charged.
type WorthByRatio = BTreeMap<u64, Option<Vec<[f64; 2]>>>;

fn total(asked: &Asked, worth: &mut WorthByRatio, charges: &[Charge]) -> Result<Total, Untold> {
    let case = asked.case;
    let runs = charges.last().map_or(1, |charge| charge.run);
    let share = 1.0 / f64::from(runs);
    let mut found = Total {
        runs,
        gains: Vec::new(),
        value: 0.0,
        known: Measured::default(),
        of_models: Default::default(),
        held: Measured::default(),
        of_worth: vec![0.0; DRAWS_OF_WORTH],
    };
    let mut known = Vec::new();
    for charge in charges {
        if charge.ratio <= 0.0 {
            found.gains.push(0.0);
            continue;
        }
        let case = at(case, charge.ratio, charge.waiting);
        let reference = &case.reference;
        let content = reference.residue_content.value();
        let figures = asked.figures(charge.ratio)?;
        let figures = figures.with(Figure::ResidueContent, content);
        let of = |figures: &Figures| gain(figures, &reference.charged).total();
        let slope = |figure: Figure| {
            let (value, size) = (figures.get(figure), figures.get(figure).abs());
            let step = STEP * if size > 0.0 { size } else { 1.0 };
            let moved = |by: f64| of(&figures.with(figure, value + by));
            share * (moved(step) - moved(-step)) / (2.0 * step)
        };
        found.gains.push(of(&figures));
        let pairs = [
            (Figure::YieldWith, Figure::YieldWithout),
            (Figure::ReagentsExtra, Figure::ReagentsWithout),
            (Figure::ResidueOutExtra, Figure::ResidueOutWithout),
            (Figure::LabourExtra, Figure::RunLabour),
            (Figure::SecondExtra, Figure::SecondWithout),
        ];
        for (position, (with, without)) in pairs.into_iter().enumerate() {
            let (with, mut without) = (slope(with), slope(without));
            if position > 0 {
                // These are told by the mean without residue and by what a charged run takes more.
                without -= with;
            }
            let weighted = |weight: f64, settings: &Settings| Weighted {
                weight,
                settings: settings.clone(),
            };
            found.of_models[position].push(weighted(with, &reference.with));
            found.of_models[position].push(weighted(without, &reference.without));
        }
        for figure in Figure::ALL {
            let error = stated(&case, figure);
            if error.uncertainty() > 0.0 {
                known.push(error.from_sources(|_| true) * slope(figure));
            }
        }
        let drawn = || meeting_specification::drawn(&case, DRAWS_OF_WORTH);
        let worth = worth.entry(charge.ratio.to_bits());
        if let Some(worth) = worth.or_insert_with(drawn) {
            let (with, without) = (slope(Figure::WorthWith), slope(Figure::WorthWithout));
            for (sum, [with_draw, without_draw]) in found.of_worth.iter_mut().zip(worth) {
                *sum += with * *with_draw + without * *without_draw;
            }
        }
    }
    found.value = share * found.gains.iter().sum::<f64>();
    let of_contents = &case.reference.feed_content + &case.reference.residue_content;
    let carried = |source: SourceId| held_by_runs(case.yields, &of_contents, source);
    let weights = &found.of_models[0];
    let from_runs = from_runs(case.material.runs, case.yields, weights).map_err(Untold::Refused)?;
    let from_runs = from_runs.from_sources(carried);
    if case.yields.method == Method::Measured {
        found.held = from_runs.clone();
    }
    known.push(from_runs);
    found.known = Measured::sum(&known);
    Ok(found)
}

/// The totals with what they share, and the degrees of freedom of what the models estimated.
fn together(case: &Case, totals: &[Total]) -> Result<(Together, f64), Untold> {
    let side = &case.material.models.side;
    let labour = case.extra_labour().and(side.labour.as_ref());
    let yields = Some(case.yields);
    let models = [
        yields,
        side.reagents.as_ref(),
        side.residue_out.as_ref(),
        labour,
        side.second.as_ref(),
    ];
    let mut covariance = vec![vec![0.0; totals.len()]; totals.len()];
    for (position, model) in models.into_iter().enumerate() {
        let Some(model) = model else { continue };
        for (one, of_one) in totals.iter().enumerate() {
            for (other, of_other) in totals[..=one].iter().enumerate() {
                let [a, b] = [of_one, of_other].map(|total| &total.of_models[position]);
                let shared = model.covariance_of_sums(a, b).map_err(Untold::Refused)?;
                covariance[one][other] += shared;
            }
        }
    }
    let count = DRAWS_OF_WORTH as f64;
    let centre = |total: &Total| total.of_worth.iter().sum::<f64>() / count;
    for (one, a) in totals.iter().enumerate() {
        for (other, b) in totals[..=one].iter().enumerate() {
            let products = a.of_worth.iter().zip(&b.of_worth).map(|(x, y)| x * y);
            let of_worth = products.sum::<f64>() / count - centre(a) * centre(b);
            let both = covariance[one][other] + of_worth - a.held.covariance(&b.held);
            (covariance[one][other], covariance[other][one]) = (both, both);
        }
    }
    let degrees = degrees_of_rest(case, &totals[0].of_models[0], covariance[0][0])
        .map_err(Untold::Refused)?;
    let sources = case.material.costs.map(|costs| &costs.sources);
    let mut sources: Sources = sources.unwrap_or(&case.material.runs.sources).clone();
    let root = lower_root(&covariance);
    let own: Vec<SourceId> = totals
        .iter()
        .map(|_| sources.add("models", Distribution::Normal, degrees))
        .collect();
    for source in &own {
        sources.get_mut(*source).estimate = own.first().copied();
    }
    let value = |(total, row): (&Total, &Vec<f64>)| {
        let errors = own.iter().zip(row);
        let errors = errors.map(|(source, size)| Measured::new(0.0, *source, *size));
        let errors: Vec<Measured> = errors.collect();
        &(&Measured::exact(total.value) + &total.known) + &Measured::sum(&errors)
    };
    let values: Vec<Measured> = totals.iter().zip(&root).map(value).collect();
    let together = Together::of(&values, &sources);
    Ok((together, degrees))
}
