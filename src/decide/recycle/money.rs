//! What the residue is worth, how sure that is, and what moves it.
//!
//! In: the figures of a gain with what they share. Out: [`Money`].
//! This module never counts what has no price.

use super::answer::{Amount, Unanswered, Verdict};
use super::break_even::{Asked, BreakEven};
use super::case::Case;
use super::gain::{Figure, Gain, gain};
use super::gain_verdict::{Gained, gained};
use super::inputs::Inputs;
use super::map::{Map, map};
use super::meeting_specification::{self, Worth};
use super::quantity::{ForQuantity, for_quantity};
use super::settle::{Settling, settling};
use crate::campaign::{Handling, RecyclingValue};
use crate::decide::costs::{CostKind, HandlingStands, NotCounted};
use crate::measured::Measured;

/// Figures that move the gain by less than this part of what the first one does are left out: rounding does as much.
const NO_MATTER: f64 = 1e-9;
/// Each figure is also moved by this share, to tell what it would take to change the gain.
const MOVED: f64 = 0.1;

/// What the residue is worth.
#[derive(Debug, Clone)]
pub struct Money {
    /// Name of the currency.
    pub currency: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Gain per charged run \[currency\].
    pub gain: Amount,
    /// Its error by source \[currency\].
    pub error: Measured,
    /// Chance that it is above zero.
    pub chance_positive: f64,
    /// The terms of the gain at the best estimates.
    pub terms: Gain,
    /// Gain per kilogram of residue [currency/kg].
    pub per_kilogram: Amount,
    /// Gain over all charged runs of the campaign \[currency\].
    pub per_campaign: Amount,
    /// Where the verdict flips.
    pub break_even: Vec<BreakEven>,
    /// Figures by how much they move the gain, the largest first.
    pub ranking: Vec<Influence>,
    /// Verdicts over residue assay and product price.
    pub map: Option<Map>,
    /// What would settle an open verdict.
    pub settling: Option<Settling>,
    /// What is not counted.
    pub not_counted: Vec<NotCounted>,
    /// Chances of meeting the specification.
    pub worth: Option<Worth>,
    /// The gain valued in each way that has its prices, that of the verdict among them.
    pub ways: Vec<Way>,
    /// Whether the campaign file says which way counts.
    pub way_is_stated: bool,
    /// What the quantity of `[aim]` takes.
    pub for_quantity: Option<ForQuantity>,
    /// The gain with the time to handle residue in the labour that is logged and beside it, where nothing says which.
    pub handled: Vec<Handled>,
}

/// The gain of a charged run with the time to handle residue in one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handled {
    /// The place.
    pub handling: Handling,
    /// The gain \[currency\].
    pub gain: Amount,
    /// What its interval says.
    pub verdict: Verdict,
}

/// The gain of a charged run, valued in one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// What is valued.
    pub value: RecyclingValue,
    /// The gain \[currency\].
    pub gain: Amount,
    /// What its interval says.
    pub verdict: Verdict,
}

impl Money {
    /// The ways by which the gain has the other sign.
    pub fn opposite(&self) -> impl Iterator<Item = &Way> {
        let is_gain = self.gain.value > 0.0;
        let ways = self.ways.iter();
        ways.filter(move |way| (way.gain.value > 0.0) != is_gain)
    }

    /// Whether the ways disagree on the sign, wherever the time to handle residue stands.
    pub fn ways_disagree(&self) -> bool {
        let gains = self.handled.iter().map(|handled| handled.gain.value);
        // The same minutes are paid in each way.
        let mut shifts = gains.map(|gain| gain - self.gain.value).chain([0.0]);
        shifts.any(|shift| {
            let is_gain = self.gain.value + shift > 0.0;
            let mut ways = self.ways.iter();
            ways.any(|way| (way.gain.value + shift > 0.0) != is_gain)
        })
    }

    /// Whether the verdict hangs on where the time to handle residue stands: signs differ, or one gain is not firm.
    pub fn handling_decides(&self) -> bool {
        let firm = [Verdict::Pays, Verdict::DoesNotPay];
        let mut all = self.handled.iter();
        all.any(|of| of.verdict != self.verdict || !firm.contains(&of.verdict))
    }
}

/// How much one figure moves the gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence {
    /// The figure.
    pub figure: Figure,
    /// Its best estimate, in its own unit.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// Change of the gain when the figure moves by one standard uncertainty \[currency\].
    pub by_uncertainty: f64,
    /// Change of the gain when the figure grows by a tenth of itself \[currency\].
    pub by_tenth: f64,
}

/// Values the gain of a charged run.
///
/// # Errors
/// The price that is missing.
pub(super) fn money(case: &Case) -> Result<Money, Unanswered> {
    let gained = gained(case)?;
    let (inputs, found, reference) = (&gained.inputs, gained.gain, &case.reference);
    let charged = &reference.charged;
    let is_open = gained.verdict == Verdict::NotSettled;
    let settling = (is_open && case.material.plans_runs)
        .then(|| settling(case, found, variance_from_else(&gained)));
    let terms = gain(&inputs.best, charged);
    let costs = case.material.costs;
    let asked = asked(inputs, case).into_iter();
    let break_even = asked.map(|asked| asked.break_even(inputs));
    let break_even = break_even.chain(off_spec(case, &gained));
    Ok(Money {
        currency: costs.map_or_else(String::new, |costs| costs.prices.currency.clone()),
        verdict: match settling {
            Some(Settling::TooClose { .. }) => Verdict::TooClose,
            _ => gained.verdict,
        },
        settling,
        chance_positive: gained.chance_positive,
        terms,
        per_kilogram: found.times(1000.0 / (charged.ratio * terms.feed_mass)),
        per_campaign: found.times(reference.charged_runs as f64),
        gain: found,
        error: error(&gained),
        break_even: break_even.collect(),
        ranking: ranking(&gained),
        map: map(case, inputs),
        not_counted: not_counted(case, gained.worth.as_ref()),
        ways: ways(case, &gained),
        way_is_stated: is_stated(case),
        for_quantity: for_quantity(case, inputs),
        handled: handled(case, &gained),
        worth: gained.worth,
    })
}

/// The error of the gain by source: of each figure as far as it moves the gain \[currency\].
fn error(gained: &Gained) -> Measured {
    let figures = Figure::ALL.iter().zip(&gained.slopes);
    let errors = figures.map(|(figure, slope)| gained.inputs.get(*figure).clone() * *slope);
    Measured::sum(&errors.collect::<Vec<_>>())
}

/// Whether the campaign file says what is valued.
fn is_stated(case: &Case) -> bool {
    let plan = case.material.campaign.recycling.as_ref();
    plan.is_some_and(|plan| plan.value.is_some())
}

/// The gain in each way that has its prices: that of the verdict as it is, the others by propagation.
pub(super) fn ways(case: &Case, gained: &Gained) -> Vec<Way> {
    let counts = gained.worth.as_ref().filter(|worth| worth.counts);
    let way = |value: RecyclingValue| {
        let case = case.valued(value);
        let gain = match value == gained.inputs.valued() {
            true => gained.gain,
            false if case.priceless().is_some() => return None,
            false => {
                let inputs = Inputs::of(&case, counts).ok()?;
                inputs.amount(|figures| inputs.gain(figures))
            }
        };
        let is_known = gain.value.is_finite() && gain.low.is_finite() && gain.high.is_finite();
        is_known.then(|| Way {
            value,
            gain,
            verdict: Verdict::of(gain.low, gain.high, case.margin()),
        })
    };
    RecyclingValue::ALL.into_iter().filter_map(way).collect()
}

/// The gain with the time to handle residue in either place, where nothing says which: that of the verdict as it is.
fn handled(case: &Case, gained: &Gained) -> Vec<Handled> {
    let stands = case.material.costs.map(|costs| costs.labour.handling);
    let is_unsaid = matches!(stands, Some(HandlingStands::Unsaid(_)));
    if !is_unsaid || case.extra_labour().is_none() {
        return Vec::new();
    }
    let counts = gained.worth.as_ref().filter(|worth| worth.counts);
    let of = |handling: Handling| {
        let gain = match handling == case.handling {
            true => gained.gain,
            false => {
                let inputs = Inputs::of(&case.handled(handling), counts).ok()?;
                inputs.amount(|figures| inputs.gain(figures))
            }
        };
        Some(Handled {
            handling,
            gain,
            verdict: Verdict::of(gain.low, gain.high, case.margin()),
        })
    };
    let both = [Handling::Logged, Handling::Extra].into_iter();
    both.filter_map(of).collect()
}

/// The part of the variance of a gain that no run on yield can lower: that of prices, and of the chance of meeting the
/// specification where that counts \[currency²\].
fn variance_from_else(gained: &Gained) -> f64 {
    let figures = Figure::ALL.iter().zip(&gained.slopes);
    let slopes: Vec<f64> = figures
        .map(|(figure, slope)| match figure {
            Figure::ProductPrice
            | Figure::FeedPrice
            | Figure::OxidantPrice
            | Figure::LabourPrice
            | Figure::DisposalPrice
            | Figure::OffSpecPrice => *slope,
            _ if is_worth(*figure) => *slope,
            _ => 0.0,
        })
        .collect();
    let spread = gained.inputs.together.spread(&slopes);
    spread.uncertainty.powi(2)
}

/// Whether a figure is a share of product on specification, which counts only where the rest is worth nothing.
fn is_worth(figure: Figure) -> bool {
    matches!(figure, Figure::WorthWith | Figure::WorthWithout)
}

/// The figures whose break-even is asked for.
fn asked(inputs: &Inputs, case: &Case) -> Vec<Asked> {
    let reference = &case.reference;
    // Where nothing is stated now, a price of 10 a kilogram and an hour's handling stand for what is usual.
    const USUAL_PRICE: f64 = 0.01;
    const USUAL_MINUTES: f64 = 60.0;
    let price = match reference.charged.value {
        RecyclingValue::Product => Figure::ProductPrice,
        RecyclingValue::Feed | RecyclingValue::Runs => Figure::FeedPrice,
    };
    let mut asked = vec![
        Asked {
            figure: Figure::ResidueContent,
            most: reference.content_per_assay,
        },
        Asked::open(inputs, price, USUAL_PRICE),
    ];
    if inputs.best.get(Figure::LabourPrice) > 0.0 {
        let minutes = match case.handling == Handling::Logged && case.extra_labour().is_some() {
            true => Figure::LabourExtra,
            false => Figure::HandlingMinutes,
        };
        asked.push(Asked::open(inputs, minutes, USUAL_MINUTES));
    }
    if inputs.best.get(Figure::DisposalPrice) > 0.0 {
        asked.push(Asked::open(inputs, Figure::DisposalPrice, USUAL_PRICE));
    }
    asked
}

/// Where the verdict flips along the price of product off specification, whatever becomes of that now: up to the price of the
/// product. `None` where no chance of meeting the specification is known, or product has no price.
fn off_spec(case: &Case, gained: &Gained) -> Option<BreakEven> {
    let product = gained.inputs.best.get(Figure::ProductPrice);
    let (charged, off) = (&case.reference.charged, &case.reference.off_spec_price);
    let now = charged.off_spec_kept * product + off.value();
    let worth = gained.worth.as_ref().filter(|_| product > 0.0)?;
    let inputs = Inputs::of(&case.with_off_spec_at(now), Some(worth)).ok()?;
    let asked = Asked {
        figure: Figure::OffSpecPrice,
        most: product.max(now),
    };
    Some(asked.break_even(&inputs))
}

/// The figures that move the gain, the one that moves it most first.
fn ranking(gained: &Gained) -> Vec<Influence> {
    let inputs = &gained.inputs;
    let here = inputs.gain(&inputs.best);
    let mut found: Vec<Influence> = Figure::ALL
        .iter()
        .zip(&gained.slopes)
        .map(|(figure, slope)| {
            let value = inputs.best.get(*figure);
            let uncertainty = inputs.get(*figure).uncertainty();
            let grown = inputs.best.with(*figure, (1.0 + MOVED) * value);
            Influence {
                figure: *figure,
                value,
                uncertainty,
                by_uncertainty: slope * uncertainty,
                by_tenth: inputs.gain(&grown) - here,
            }
        })
        .collect();
    let size = |i: &Influence| i.by_uncertainty.abs().max(i.by_tenth.abs());
    // What does not matter is left with the rounding of the gain.
    let most = found.iter().map(size).fold(0.0, f64::max);
    let counts = gained.worth.as_ref().is_some_and(|worth| worth.counts);
    found.retain(|one| size(one) > NO_MATTER * most && (counts || !is_worth(one.figure)));
    found.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.figure.cmp(&b.figure)));
    found
}

/// What the costs of runs leave out, and what runs pay for but nothing tells how much more of it a charged run takes.
fn not_counted(case: &Case, worth: Option<&Worth>) -> Vec<NotCounted> {
    let Some(costs) = case.material.costs else {
        return Vec::new();
    };
    let side = &case.material.models.side;
    let takes_oxidant = case.reference.charged.oxidant_per_content > 0.0;
    let told = [
        (CostKind::Oxidant, takes_oxidant),
        (CostKind::Reagents, side.reagents.is_some()),
        (CostKind::Labour, case.extra_labour().is_some()),
        (CostKind::Disposal, side.residue_out.is_some()),
        (CostKind::Second, side.second.is_some()),
    ];
    let paid = |kind: CostKind| costs.runs.iter().any(|run| run.part(kind).is_some());
    let untold = told.into_iter().filter(|(kind, told)| !told && paid(*kind));
    let mut found = costs.not_counted.clone();
    found.extend(untold.map(|(kind, _)| NotCounted::NotTold(kind)));
    found.extend(meeting_specification::not_counted(case, worth));
    found
}
