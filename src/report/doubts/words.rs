//! Sentences of doubts: what was seen, and what to do about it, side by side.
//!
//! In: a [`Caveat`]. Out: [`Words`].
//! This module never escapes a name: whoever prints the sentences escapes them whole.

use super::clauses::{
    at_an_end, bend_untold, beyond_an_end, discordant, foretold, furthest_off, plus_minus_percent,
    scatter_by, set_logit, spelt_alike, undated,
};
use super::of_assays::of_assays;
use super::of_bench::{falls_or_rises, of_bench, strength_of_days};
use super::of_charges::{balance_for_assay, liquor_unknown, residue_unknown, second_unknown};
use super::of_diagnostics::failed;
use super::of_entries::{all_off, balance_open, entry, outside_range};
use super::of_money::money;
use super::of_plans::{new_lot, not_counted, planned_or_not_logged, without_limits, without_shelf};
use crate::caveat::{Caveat, Doubt};
use crate::report::print::words::and_list;
use crate::report::reasons::{no_limits, no_result};

/// A doubt in words: sentences that may hold names from logs.
pub(super) struct Words {
    /// What was seen, with its number.
    pub seen: String,
    /// What to do about it.
    pub advice: String,
}

fn said(seen: impl Into<String>, advice: impl Into<String>) -> Words {
    Words {
        seen: seen.into(),
        advice: advice.into(),
    }
}

fn said_of([seen, advice]: [String; 2]) -> Words {
    Words { seen, advice }
}

/// What to do about a balance that does not close.
const LOOK: &str = "look for a mistyped mass, volume or concentration in the entries of that run";

/// What to do where limits cannot be estimated, or not as well as they should be.
const MORE_RUNS: &str =
    "make more runs, or state `centre` and `sd` under `[drift]` from earlier work";

/// Days that a change of strength is stated for.
const DAYS: f64 = 30.0;

/// The doubt in words.
pub(super) fn words(caveat: &Caveat) -> Words {
    let name = caveat.about.name();
    match &caveat.doubt {
        Doubt::Entry(slip) => said_of(entry(slip)),
        Doubt::AllOff {
            what,
            middle,
            runs,
            likely,
        } => {
            let [seen, advice] = all_off(*what, *middle, *runs, likely.as_deref());
            said(seen, advice)
        }
        Doubt::FactorOutsideItsRange {
            factor,
            unit,
            middle,
            low,
            high,
        } => {
            let [seen, advice] = outside_range(factor, unit, *middle, [*low, *high]);
            said(seen, advice)
        }
        Doubt::AcceptedNothing { name } => said(
            format!(
                "`[check] accept` names {name}, but nothing speaks against an entry of that name"
            ),
            "write the run and the column as the doubt does, or take it out",
        ),
        Doubt::PurityAboveOne { purity } => said(
            format!(
                "purity of run {name} is {}, above 100 % beyond its uncertainty",
                plus_minus_percent(*purity)
            ),
            "look for effloresced hydrate, a substance that uses up titrant too, or a wrong sample mass",
        ),
        Doubt::AboveTheCeiling { part } => said(
            format!(
                "run {name} gave {} of what the stoichiometry of its route allows",
                plus_minus_percent(*part)
            ),
            "check the ceiling in the campaign file, the assay of the feed and the crop masses",
        ),
        Doubt::NoContainedYield { reason } => said(
            format!("run {name} has no contained yield: {}", no_result(reason)),
            "titrate the crop while some of it is left; until then the run is in no model of yield or purity",
        ),
        Doubt::ResidueWithoutAssay { charged, reason } => {
            said_of(residue_unknown(name, *charged, reason))
        }
        Doubt::LiquorWithoutStrength { charged, reason } => {
            said_of(liquor_unknown(name, *charged, reason))
        }
        Doubt::FirstOrderFails { simulated, apart } => said(
            format!(
                "for run {name} the interval by propagation misses the simulated one, {:.2} to {:.2} %, by {:.2} points",
                100.0 * simulated.low,
                100.0 * simulated.high,
                100.0 * apart
            ),
            "the simulated interval is used for this run",
        ),
        Doubt::SimulationNotStable { tolerance, trials } => said(
            format!(
                "the simulated interval of run {name} still moves by more than {:.2} points after {trials} trials",
                100.0 * tolerance
            ),
            "an input with one or two degrees of freedom has tails without end: repeat that measurement a few times",
        ),
        Doubt::ClosureAboveOne { closure, suspect } => said(
            format!(
                "more came out of run {name} than went in: {} of the charge{}",
                plus_minus_percent(*closure),
                furthest_off(*suspect)
            ),
            LOOK,
        ),
        Doubt::ClosureBelowOthers { closure, suspect } => said(
            format!(
                "less came out of run {name} than out of the others: {} of the charge{}",
                plus_minus_percent(*closure),
                furthest_off(*suspect)
            ),
            LOOK,
        ),
        Doubt::BalanceOpenInAllRuns {
            runs,
            missing,
            likely,
        } => {
            let [seen, advice] = balance_open(*runs, *missing, likely.as_deref());
            said(seen, advice)
        }
        Doubt::BalanceLeavesNoResidue { assay } => said(
            format!(
                "what crops and mother liquor of run {name} leave of its charge would make an assay of {:.2} ± {:.2} for its residue, which cannot be",
                assay.value, assay.half_width
            ),
            "look for a mistyped crop, liquor or charge; the residue counts as not assayed until then",
        ),
        Doubt::SecondNotKnown {
            element,
            runs,
            of,
            reason,
        } => {
            let [seen, advice] = second_unknown(element, runs, *of, reason);
            said(seen, advice)
        }
        Doubt::BalanceTakenForAssay { runs, of } => {
            let [seen, advice] = balance_for_assay(runs, *of);
            said(seen, advice)
        }
        Doubt::StandardisationsDisagree {
            standardisations,
            times,
            chance,
            added,
        } => said(
            format!(
                "{standardisations} standardisations of {name} scatter {times:.1} times as far as their errors explain (chance {:.2} %)",
                100.0 * chance
            ),
            format!(
                "standardise once more; a standard uncertainty of {:.2} % was added to its strength",
                100.0 * added
            ),
        ),
        Doubt::TitrantAgeing {
            per_day,
            standardisations,
            chance,
            dates,
        } => said(
            format!(
                "the strength of {name} {} by {:.2} ± {:.2} % in {DAYS:.0} days over its {standardisations} standardisations (chance {:.2} %)",
                falls_or_rises(per_day.value),
                100.0 * DAYS * per_day.value.abs(),
                100.0 * DAYS * per_day.half_width,
                100.0 * chance
            ),
            strength_of_days("by the line through them", *dates),
        ),
        Doubt::AtTheBench(doubt) => {
            let [seen, advice] = of_bench(name, doubt);
            said(seen, advice)
        }
        Doubt::DiscordantTitres {
            sample,
            found,
            samples,
            by_luck,
        } => said(
            discordant(name, *sample, *found),
            format!(
                "titrate once more; all titres were kept, and of {samples} samples with replicates about {by_luck:.0} look so by luck"
            ),
        ),
        Doubt::AssayTitresLikeCrops { ratio, analyte } => said(
            format!(
                "titres of feed or residue are reckoned with {ratio} mol of {analyte} per mol of titrant, as those of crops"
            ),
            "where another substance is titrated there, set `assay_analyte` and `assay_ratio` under `[titration]`; where it is the same, set them to say so",
        ),
        Doubt::InputWithoutUncertainty { sources, runs } => said(
            format!(
                "no uncertainty is stated for {} in {runs} runs, so the ± of these runs is a lower bound",
                sources.join(", ")
            ),
            "add them to `[uncertainty]` in the campaign file, or log `u_` columns",
        ),
        Doubt::DateMissing { without, of } => said(
            undated(without, *of),
            "log the date of every run, or of none",
        ),
        Doubt::PlannedOrNotLogged { runs } => said(
            planned_or_not_logged(runs),
            "write its date and its result beside each run that was made",
        ),
        Doubt::PlannedNotCounted { why } => said(
            not_counted(name, why),
            "correct its row, or widen what `[factors]`, `[limits]` and `[shelf]` allow",
        ),
        Doubt::LevelsSpeltAlike(levels) => {
            let [seen, advice] = spelt_alike(levels);
            said(seen, advice)
        }
        Doubt::Money(doubt) => said_of(money(doubt)),
        Doubt::PriceOfLotNotReadable {
            file,
            line,
            text,
            fault,
        } => said(
            format!("the price of lot {name} in {file} line {line} is no price: {text}"),
            format!("{fault}; until then the feed price of the campaign file counts"),
        ),
        Doubt::AssayWithoutUncertainty { .. }
        | Doubt::AssayWithoutWeight { .. }
        | Doubt::AssaysDisagree { .. } => {
            let [seen, advice] = of_assays(name, &caveat.doubt);
            said(seen, advice)
        }
        Doubt::ResponseNeverLogged => said(
            format!("no run has a value of {name}, so there is no model of it"),
            format!("log what {name} needs, or name the responses under `[model]`"),
        ),
        Doubt::RunWithoutFactor { runs } => {
            let named = runs
                .iter()
                .map(|of| format!("{} (no {})", of.run, of.factor));
            let named: Vec<String> = named.collect();
            said(
                format!(
                    "{} runs are in no model of {name}: {}",
                    runs.len(),
                    named.join(", ")
                ),
                "fill in the cells of the runs log, or take the factor out of the model",
            )
        }
        Doubt::FactorWithOneLevel {
            factor,
            level,
            runs,
        } => said(
            format!(
                "{factor} was {level} in all {runs} runs, so this log says nothing of its effect on {name}"
            ),
            "make runs at another level, or take it out of the model",
        ),
        Doubt::ConstantResponse { runs, value } => said(
            format!("all {runs} runs have the same response: {value}"),
            "check the log; a response that never changes says nothing about what moves it",
        ),
        Doubt::NearlyTangledTerms { condition } => said(
            format!("some terms changed almost only together: condition {condition:.1e}"),
            "leave one of them out, or make runs that change them separately",
        ),
        Doubt::FewDegreesOfFreedom { residual_df } => said(
            format!("residual degrees of freedom of the model of {name}: {residual_df}"),
            "make more runs or ask for fewer terms; intervals are wide or missing until then",
        ),
        Doubt::PerfectFit { residual_df } => said(
            format!("all residuals are rounding, with {residual_df} degrees of freedom"),
            "check whether the response was computed from the factors; no chances are given",
        ),
        Doubt::BlocksInPlainFit { blocks } => {
            let names: Vec<String> = blocks.iter().map(|name| format!("`{name}`")).collect();
            said(
                format!(
                    "the plain fit counts errors shared within {} as run-to-run scatter",
                    and_list(&names)
                ),
                "read the intervals with care: they may be too narrow for what differs between blocks and too wide for what differs within them",
            )
        }
        Doubt::ScatterDiffersByLevel {
            factor,
            levels,
            unit,
            chance,
        } => said(
            scatter_by(factor, levels, unit, *chance),
            "nothing needs to be done for intervals and chances, which use the scatter of each level; find out what makes one level less steady, and make more runs where few stand behind its scatter",
        ),
        Doubt::NoScatter => said(
            "the errors of the measurement alone explain all scatter: that from run to run is estimated as 0",
            "check whether the stated uncertainties are too large; the intervals rest on them alone",
        ),
        Doubt::NoSpreadBetweenBlocks { block } => said(
            format!(
                "runs at the same `{block}` are no more alike than others: the spread between levels of `{block}` is estimated as 0"
            ),
            "nothing needs to be done; with few levels a spread can be there and not show",
        ),
        Doubt::FewLevelsOfBlock { block, levels } => said(
            format!(
                "runs were made at only {levels} levels of `{block}`, so how far levels of `{block}` scatter is hardly known: means over them and expectations for new runs are wide for it, differences within a level of `{block}` are not"
            ),
            format!(
                "spread further runs over new levels of `{block}`, if means or new runs are to be foretold more narrowly"
            ),
        ),
        Doubt::UnknownSpreadBetweenBlocks { block } => said(
            format!(
                "these runs cannot tell how much levels of `{block}` differ at random; the fit counts none of it"
            ),
            "make several runs at each of several levels, or leave it out of `blocks`",
        ),
        Doubt::FitNotSettled { moved } => said(
            format!("the last round of the fit still moved by {moved:.1e} standard errors"),
            "check the stated uncertainties: errors nearly as large as the values themselves have no stable fit",
        ),
        Doubt::BendUntold { amounts } => said(bend_untold(amounts), "make some runs half-way"),
        Doubt::DiagnosticFailed { found, names, p } => {
            let [seen, advice] = failed(name, *found, names, *p);
            said(seen, advice)
        }
        Doubt::FractionAtAnEnd { runs } => said(
            at_an_end(name, runs),
            "repeat the assays of these runs, or leave the scale plain if the effects hang on them",
        ),
        Doubt::FractionBeyondAnEnd { runs } => said(
            beyond_an_end(name, runs),
            "look for a slip in the logs of each, or set it aside with a reason",
        ),
        Doubt::PredictionBeyondOne(prediction) | Doubt::PredictionBelowZero(prediction) => {
            said(foretold(name, prediction), set_logit(name, prediction))
        }
        Doubt::EffectLeftInChart { terms } => said(
            format!(
                "{} of {name} cannot be told apart from something else, so the control charts do not take it out",
                terms.join(", ")
            ),
            "a flag at such a run may be that effect; make the runs that would tell it apart",
        ),
        Doubt::ChartedAsLogged { fault } => said(
            format!("{name} is charted as logged, because {fault}"),
            "effects of the declared factors may flag as drift; give the model what it needs",
        ),
        Doubt::NotCharted { reason } => said(
            format!("{name} has no control chart: {}", no_limits(*reason)),
            MORE_RUNS,
        ),
        Doubt::FewerRunsThanBaseline { asked, runs } => said(
            format!(
                "limits of {name} should come from the first {asked} runs, but there are only {runs}, and a drift among them widens its own limits"
            ),
            MORE_RUNS,
        ),
        Doubt::PlanWithoutLimits {
            factor,
            missing,
            within,
        } => {
            let [seen, advice] = without_limits(factor, *missing, *within);
            said(seen, advice)
        }
        Doubt::PlanWithoutShelf { lots, which } => {
            let [seen, advice] = without_shelf(lots, *which);
            said(seen, advice)
        }
        Doubt::PlanOnNewLot => {
            let [seen, advice] = new_lot(name);
            said(seen, advice)
        }
    }
}
