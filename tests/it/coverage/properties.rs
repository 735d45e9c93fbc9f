//! What holds for the uncertainties of any campaign?
//!
//! In: seeded campaigns (`invented.rs`). Out: tests of changes of unit and of row order, of what two runs share, of
//! simulation beside propagation, and of confidence.
//! This module never compares with a fixed number.

use residuum::campaign::LogKind;
use residuum::caveat::Doubt;
use residuum::measured::{Distribution, Measured, Sources};
use residuum::pipeline::{self, CrossCheck};
use residuum::runs::RunResult;

use super::invented::{Bench, Chance, Invented, campaign, run_name};
use super::{CONFIDENCE, SEED};
use crate::in_memory::{InMemory, WorkedOut};

/// Campaigns tried for each property.
const CAMPAIGNS: u64 = 20;

/// Relative: a change of unit or order only changes the rounding of sums and products of a few dozen numbers.
const ROUNDING: f64 = 1e-11;

/// Relative: a simulation is run until its ends are known to a fifth of half a unit of the last digit that counts,
/// which is up to 5 % of the standard uncertainty.
const SIMULATED: f64 = 0.05;

/// A log whose columns are changed one by one.
struct Cells {
    headings: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Cells {
    fn of(text: &str) -> Self {
        let cut = |line: &str| -> Vec<String> { line.split(',').map(str::to_string).collect() };
        let mut lines = text.lines();
        Self {
            headings: cut(lines.next().expect("headings")),
            rows: lines.map(cut).collect(),
        }
    }

    /// The column under another heading, each number times a factor.
    fn convert(mut self, heading: &str, to: &str, factor: f64) -> Self {
        let place = self.headings.iter().position(|known| known == heading);
        let place = place.unwrap_or_else(|| panic!("no column `{heading}`"));
        self.headings[place] = to.to_string();
        for row in &mut self.rows {
            let number: f64 = row[place].parse().expect("a number");
            row[place] = format!("{}", number * factor);
        }
        self
    }

    fn shuffle(mut self, chance: &mut Chance) -> Self {
        for last in (1..self.rows.len()).rev() {
            let other = (chance.uniform() * (last + 1) as f64) as usize;
            self.rows.swap(last, other);
        }
        self
    }

    fn text(&self) -> String {
        let lines = std::iter::once(&self.headings).chain(&self.rows);
        lines.map(|line| line.join(",") + "\n").collect()
    }
}

fn changed(campaign: &InMemory, kind: LogKind, change: impl FnOnce(Cells) -> Cells) -> InMemory {
    let text = change(Cells::of(campaign.text(kind))).text();
    campaign.clone().with(kind, &text)
}

fn each_campaign() -> impl Iterator<Item = Invented> {
    (0..CAMPAIGNS).map(|number| campaign(&Bench::ORDINARY, SEED, number))
}

/// Every figure of a run that has no unit.
fn fractions(run: &RunResult) -> [&Measured; 5] {
    [
        &run.gross,
        &run.assay_adjusted,
        &run.contained,
        &run.contained_fresh,
        &run.purity,
    ]
    .map(|outcome| outcome.as_ref().expect("everything was logged"))
}

fn check_close(what: &str, found: f64, expected: f64) {
    let apart = (found - expected).abs();
    assert!(
        apart <= ROUNDING * expected.abs(),
        "{what}: {found} and {expected}"
    );
}

fn check_same(what: &str, found: &Measured, expected: &Measured) {
    check_close(what, found.value(), expected.value());
    check_close(what, found.uncertainty(), expected.uncertainty());
}

/// All runs of both in the same order with the same fractions, and theories that are `scale` times as large.
fn check_runs(found: &WorkedOut, expected: &WorkedOut, scale: f64) {
    let (found, expected) = (&found.runs().results, &expected.runs().results);
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        assert_eq!(found.run, expected.run);
        for (found, expected) in fractions(found).into_iter().zip(fractions(expected)) {
            check_same("a fraction", found, expected);
        }
        let theory = |run: &RunResult| run.theory_total.clone().expect("a theory");
        check_same("theory", &theory(found), &(theory(expected) * scale));
    }
}

#[test]
fn the_same_masses_in_other_units_give_the_same_results() {
    for Invented { campaign, .. } in each_campaign() {
        let other = changed(&campaign, LogKind::Runs, |cells| {
            cells.convert("feed_mass", "feed_mass / kg", 1e-3)
        });
        let other = changed(&other, LogKind::Crops, |cells| {
            cells.convert("mass", "mass [mg]", 1e3)
        });
        let other = changed(&other, LogKind::Lots, |cells| {
            let cells = cells.convert("assay", "assay (%)", 100.0);
            cells.convert("u_assay", "u_assay (%)", 100.0)
        });
        let other = changed(&other, LogKind::Titres, |cells| {
            let cells = cells.convert("titre", "titre_L", 1e-3);
            cells.convert("sample_mass", "sample_mass_mg", 1e3)
        });
        check_runs(&other.work_out(), &campaign.work_out(), 1.0);
    }
}

#[test]
fn a_works_a_thousand_times_as_large_has_the_same_yields() {
    for Invented { campaign, .. } in each_campaign() {
        let larger = changed(&campaign, LogKind::Runs, |cells| {
            cells.convert("feed_mass", "feed_mass / kg", 1.0)
        });
        let larger = changed(&larger, LogKind::Crops, |cells| {
            cells.convert("mass", "mass / kg", 1.0)
        });
        let larger = larger.edited(|text| {
            text.replace(" g triangular", " kg triangular")
                .replace(" g rectangular", " kg rectangular")
        });
        check_runs(&larger.work_out(), &campaign.work_out(), 1000.0);
    }
}

#[test]
fn row_order_does_not_matter() {
    for (number, Invented { campaign, .. }) in (0..).zip(each_campaign()) {
        let mut chance = Chance::stream(SEED + 1, number);
        let logs = [
            LogKind::Runs,
            LogKind::Lots,
            LogKind::Crops,
            LogKind::Titres,
            LogKind::Titrants,
        ];
        let shuffled = logs.into_iter().fold(campaign.clone(), |campaign, kind| {
            changed(&campaign, kind, |cells| cells.shuffle(&mut chance))
        });
        assert_ne!(
            shuffled.text(LogKind::Titres),
            campaign.text(LogKind::Titres)
        );
        check_runs(&shuffled.work_out(), &campaign.work_out(), 1.0);
    }
}

/// Part of the variance that the assay of any lot has.
fn part_of_assay(sources: &Sources, result: &Measured) -> f64 {
    let budget = sources.budget(result);
    let parts = budget
        .iter()
        .filter(|share| share.source.starts_with("assay of lot"));
    parts.filter_map(|share| share.share).sum()
}

#[test]
fn the_ratio_of_two_runs_on_one_lot_has_no_part_of_its_assay() {
    for Invented { campaign, .. } in each_campaign() {
        let worked = campaign.work_out();
        let (a, b) = (
            worked.contained(&run_name(0)),
            worked.contained(&run_name(1)),
        );
        let sources = &worked.runs().sources;
        assert!(part_of_assay(sources, a) > 0.1);
        assert!(part_of_assay(sources, &(a / b)) < ROUNDING);
        let other_lot = worked.contained(&run_name(Bench::ORDINARY.runs_a_lot));
        assert!(part_of_assay(sources, &(a / other_lot)) > 0.1);
    }
}

#[test]
fn a_difference_within_a_lot_keeps_of_its_assay_what_the_yields_differ_by() {
    // y = P/(m·a), so that an assay off by δ moves y₁ − y₂ by (y₁ − y₂)·δ/a: nothing where the yields are alike.
    for Invented { campaign, .. } in each_campaign() {
        let worked = campaign.work_out();
        let (a, b) = (
            worked.contained(&run_name(0)),
            worked.contained(&run_name(1)),
        );
        let apart = a - b;
        let sources = &worked.runs().sources;
        let stated = worked.normalised.logged.lots[0].assay.expect("an assay");
        let relative = stated.uncertainty.expect("its uncertainty") / stated.value;
        let expected = (apart.value() * relative / apart.uncertainty()).powi(2);
        let found = part_of_assay(sources, &apart);
        assert!((found - expected).abs() < ROUNDING, "{found} {expected}");
        let alike = a - &(b.clone() * (a.value() / b.value()));
        assert!(part_of_assay(sources, &alike) < ROUNDING);
    }
}

#[test]
fn a_difference_is_never_surer_than_triangles_allow() {
    for Invented { campaign, .. } in each_campaign() {
        let worked = campaign.work_out();
        for run in 1..Bench::ORDINARY.lots * Bench::ORDINARY.runs_a_lot {
            let (a, b) = (
                worked.contained(&run_name(0)),
                worked.contained(&run_name(run)),
            );
            let (u, v) = (a.uncertainty(), b.uncertainty());
            let apart = (a - b).uncertainty();
            assert!(apart >= (u - v).abs() && apart <= u + v);
            let square = u * u + v * v - 2.0 * a.covariance(b);
            check_close("variance of a difference", apart * apart, square);
        }
    }
}

#[test]
fn simulation_and_propagation_agree_where_the_model_is_all_but_linear() {
    // Relative uncertainties of half a percent bend a ratio by their square, 2.5e-5 of it: far below the tolerance.
    for Invented { campaign, .. } in each_campaign().take(3) {
        let WorkedOut {
            campaign,
            mut normalised,
        } = campaign.work_out();
        pipeline::cross_check(&campaign, &mut normalised, CrossCheck::Every, SEED);
        let runs = &normalised.runs;
        for run in &runs.results {
            let check = run.cross_check.as_ref().expect("every run");
            let contained = run.contained.as_ref().expect("a yield");
            assert!(check.agrees && check.stable, "run {}: {check:?}", run.run);
            let apart = (check.value - contained.value()).abs() / contained.uncertainty();
            assert!(apart < SIMULATED, "run {}: {apart}", run.run);
            let ratio = check.uncertainty / contained.uncertainty();
            assert!((ratio - 1.0).abs() < SIMULATED, "run {}: {ratio}", run.run);
        }
        assert!(
            runs.caveats
                .iter()
                .all(|caveat| !matches!(caveat.doubt, Doubt::FirstOrderFails { .. }))
        );
    }
}

#[test]
fn more_confidence_means_a_wider_interval() {
    let confidences = [0.5, 0.8, 0.9, CONFIDENCE, 0.99, 0.999];
    for Invented { campaign, .. } in each_campaign() {
        let worked = campaign.work_out();
        let sources = &worked.runs().sources;
        for run in &worked.runs().results {
            let contained = run.contained.as_ref().expect("a yield");
            let widths = confidences.map(|confidence| sources.expanded(contained, confidence));
            assert!(widths[0] > 0.0);
            assert!(widths.is_sorted_by(|a, b| a < b), "{widths:?}");
        }
    }
}

#[test]
fn fewer_degrees_of_freedom_mean_a_wider_interval() {
    let mut sources = Sources::default();
    let widths = [f64::INFINITY, 100.0, 30.0, 10.0, 5.0, 2.0, 1.0].map(|degrees| {
        let source = sources.add("scatter", Distribution::Normal, degrees);
        sources.expanded(&Measured::new(1.0, source, 0.1), CONFIDENCE)
    });
    assert!(widths.is_sorted_by(|a, b| a < b), "{widths:?}");
}

#[test]
fn more_uncertain_inputs_mean_a_more_uncertain_yield() {
    for Invented { campaign, .. } in each_campaign() {
        let worked = campaign.work_out();
        let before = worked.contained(&run_name(0)).uncertainty();
        // Errors of standardisations are not among them: larger ones may explain a disagreement that counted before.
        for (from, to) in [
            ("±0.3 g triangular", "±0.6 g triangular"),
            ("±0.5 g rectangular", "±0.8 g rectangular"),
            ("sampling = \"0.0024\"", "sampling = \"0.004\""),
            (
                "\nsample_mass = \"0.0002 g\"",
                "\nsample_mass = \"0.0005 g\"",
            ),
        ] {
            let other = campaign.clone().edited(|text| {
                assert!(text.contains(from), "no {from} in {text}");
                text.replace(from, to)
            });
            let after = other.work_out().contained(&run_name(0)).uncertainty();
            assert!(after > before, "{from} to {to}: {before} {after}");
        }
    }
}

#[test]
fn parts_of_a_budget_make_up_the_whole_variance() {
    for Invented { campaign, .. } in each_campaign() {
        for run in &campaign.work_out().runs().results {
            let shares = run.budget.iter().filter_map(|share| share.share);
            check_close("sum of shares", shares.sum(), 1.0);
            let sorted = run.budget.iter().filter_map(|share| share.share);
            assert!(sorted.is_sorted_by(|a, b| a >= b));
        }
    }
}
