//! Simulations of the refits with known truth, and what holds of them exactly.
//!
//! In: logs drawn here, each from its own stream of one seed. Out: assertions, and the shares, printed.
//! This module never draws without a seed.
//!
//! With `RESIDUUM_SIMULATIONS=full` in the environment twenty times as many logs are drawn.

use super::{connected, neighbours, robust};
use crate::regression::tests::testing::{amount, choice, model, relative, runs};
use crate::regression::{
    Estimate, FitData, FittedModel, Measurement, ModelParams, OwnError, Settings, ValidModel,
};
use crate::seeded::Seeded;

const SEED: u64 = 1203;
/// Standard deviation of what a run scatters by itself.
const SCATTER: f64 = 0.02;
const OWN: f64 = 0.005;
const ASSAY: f64 = 0.012;
const LOTS: usize = 4;

/// How many logs are drawn.
fn logs(usual: usize) -> usize {
    match std::env::var("RESIDUUM_SIMULATIONS") {
        Ok(size) if size == "full" => 20 * usual,
        _ => usual,
    }
}

/// Whether the levels of the route come and go with each run, or stay for some runs.
#[derive(Clone, Copy, PartialEq)]
enum Route {
    Mixed,
    Slow,
}

/// A log without effects: a route, a heating, an amount and lots, and the given errors in units of the scatter.
fn log(random: &mut Seeded, errors: &[f64], route: Route, lots: bool) -> FitData {
    let count = errors.len();
    let mut routes: Vec<usize> = Vec::new();
    while routes.len() < count {
        let stays = match route {
            Route::Mixed => 1,
            Route::Slow => 3 + (random.uniform() * 3.0) as usize,
        };
        let level = usize::from(random.uniform() < 0.5);
        routes.extend(std::iter::repeat_n(level, stays));
    }
    routes.truncate(count);
    // Lots go round where the route changes with each run, and are used up in turn where it stays.
    let lot = |run: usize| match route {
        Route::Mixed => run * 7 % LOTS,
        Route::Slow => run * LOTS / count,
    };
    let new = |run: &usize| routes[*run] == 1;
    let most = (0..count).filter(new).count();
    // A route that is run on one lot alone, or away from one alone, could not be told from that lot.
    let same = |at: usize| {
        (0..count)
            .filter(|run| new(run) == (lot(*run) == at))
            .count()
    };
    let hidden = (0..LOTS).any(|at| [0, count].contains(&same(at)));
    if hidden || most < 4 || most + 4 > count {
        return log(random, errors, route, lots);
    }
    let of_lots = if lots { 1.0 } else { 0.0 };
    let spread: Vec<f64> = (0..LOTS)
        .map(|_| of_lots * 0.5 * SCATTER * random.normal())
        .collect();
    let assays: Vec<f64> = (0..LOTS)
        .map(|_| of_lots * ASSAY * random.normal())
        .collect();
    let response = |(run, error): (usize, &f64)| {
        let truth = 0.6 + spread[lot(run)] + SCATTER * error;
        truth * (1.0 + assays[lot(run)] + of_lots * OWN * random.normal())
    };
    let response: Vec<f64> = errors.iter().enumerate().map(response).collect();
    let names = ["A", "B", "C", "D"];
    let routes: Vec<&str> = routes.iter().map(|&level| ["old", "new"][level]).collect();
    let heating: Vec<&str> = (0..count)
        .map(|run| ["hob", "bath", "muffle"][run % 3])
        .collect();
    let of_runs: Vec<&str> = (0..count).map(|run| names[lot(run)]).collect();
    let mut data = runs(
        response,
        vec![
            choice("route", &["old", "new"], &routes),
            choice("heating", &["hob", "bath", "muffle"], &heating),
            amount("ratio", (0..count).map(|_| random.uniform()).collect()),
            choice("lot", &names, &of_runs),
        ],
    );
    if lots {
        let assay = |at: usize| {
            relative(
                names[at],
                ASSAY,
                (0..count).filter(move |&run| lot(run) == at),
            )
        };
        let own = OwnError {
            relative: OWN,
            absolute: 0.0,
        };
        data.measurement = Measurement {
            shared: (0..LOTS).map(assay).collect(),
            own: vec![own; count],
        };
    }
    data
}

fn asked(lots: bool) -> ModelParams {
    let asked = model(&["route", "heating", "ratio"]);
    if lots {
        asked.measured().with_block("lot")
    } else {
        asked
    }
}

fn fitted(asked: ModelParams, data: &FitData) -> (ValidModel, FittedModel) {
    let valid = asked.check(data).expect("a valid model");
    let model = valid.fit(data).expect("a model");
    (valid, model)
}

fn effect(model: &FittedModel) -> Estimate {
    model
        .level_difference("route", "new", "old")
        .expect("an effect")
}

/// −1, 0 or 1: whether the interval of an effect that is given this much more lies on one side of zero.
fn firm(effect: &Estimate, more: f64) -> i8 {
    let ends = effect.interval.expect("an interval");
    i8::from(ends.low + more > 0.0) - i8::from(ends.high + more < 0.0)
}

fn normal(random: &mut Seeded, count: usize) -> Vec<f64> {
    (0..count).map(|_| random.normal()).collect()
}

/// A tenth of the errors replaced by some five to ten standard deviations to either side.
fn wild(random: &mut Seeded, count: usize) -> Vec<f64> {
    let one = |_| {
        if random.uniform() < 0.1 {
            let size = 5.0 + 5.0 * random.uniform();
            if random.uniform() < 0.5 { size } else { -size }
        } else {
            random.normal()
        }
    };
    (0..count).map(one).collect()
}

/// Errors that hold a share of those of the run before.
fn chained(random: &mut Seeded, count: usize, connection: f64) -> Vec<f64> {
    let mut error = random.normal();
    let next = |_| {
        let now = error;
        error = connection * error + (1.0 - connection * connection).sqrt() * random.normal();
        now
    };
    (0..count).map(next).collect()
}

/// Shares of logs.
#[derive(Debug, Default)]
struct Robustness {
    covers: f64,
    firm: f64,
    /// Of those that the ordinary fit calls firm at three standard errors.
    lost: f64,
    /// Root mean square error against that of the ordinary fit.
    error: f64,
    falsely_firm: f64,
    falsely_firm_both: f64,
}

fn robustness(
    stream: u64,
    count: usize,
    lots: bool,
    errors: impl Fn(&mut Seeded, usize) -> Vec<f64>,
    size: usize,
) -> Robustness {
    let mut found = Robustness::default();
    let (mut own, mut ordinary) = (0.0, 0.0);
    let part = 1.0 / size as f64;
    for number in 0..size {
        let mut random = Seeded::stream(SEED + stream, number as u64);
        let errors = errors(&mut random, count);
        let data = log(&mut random, &errors, Route::Mixed, lots);
        let (valid, model) = fitted(asked(lots), &data);
        let refitted = robust(&valid, &model, &data).expect("a refit");
        let (before, after) = (effect(&model), effect(&refitted));
        own += after.value * after.value;
        ordinary += before.value * before.value;
        let more = 3.0 * before.standard_error.expect("an error");
        let share = |is: bool| if is { part } else { 0.0 };
        found.covers += share(firm(&after, 0.0) == 0);
        found.falsely_firm += share(firm(&before, 0.0) != 0);
        found.falsely_firm_both +=
            share(firm(&before, 0.0) != 0 && firm(&before, 0.0) == firm(&after, 0.0));
        found.firm += share(firm(&before, more) == 1);
        found.lost += share(firm(&before, more) == 1 && firm(&after, more) != 1);
    }
    found.error = (own / ordinary).sqrt();
    found.lost /= found.firm;
    found
}

#[test]
fn a_robust_refit_of_normal_errors_covers_as_it_says_and_seldom_takes_firmness_away() {
    let cases = [
        (1, 24, false, 1500),
        (2, 60, false, 1500),
        (3, 32, true, 500),
    ];
    for (stream, count, lots, size) in cases {
        let found = robustness(stream, count, lots, normal, logs(size));
        println!("normal errors, {count} runs, lots {lots}: {found:?}");
        assert!((0.93..=0.97).contains(&found.covers), "{found:?}");
        assert!(found.lost < 0.03, "{found:?}");
    }
}

#[test]
fn a_robust_refit_errs_by_a_fraction_where_a_tenth_of_the_runs_is_wild() {
    for (stream, count, lots, size) in [(4, 24, false, 600), (5, 32, true, 200)] {
        let found = robustness(stream, count, lots, wild, logs(size));
        println!("a tenth wild, {count} runs, lots {lots}: {found:?}");
        assert!(found.error < 0.7, "{found:?}");
        assert!(found.falsely_firm_both < 0.04, "{found:?}");
    }
}

#[test]
fn runs_that_all_lie_near_the_fit_are_left_as_they_are() {
    // Errors of half the scale to either side in turn: none is further off than two robust standard deviations.
    let errors: Vec<f64> = (0..24)
        .map(|run| [0.5, -0.5, -0.4, 0.4][run * run % 7 % 4])
        .collect();
    let data = log(&mut Seeded::stream(SEED, 0), &errors, Route::Mixed, false);
    let (valid, model) = fitted(asked(false), &data);
    let refitted = robust(&valid, &model, &data).expect("a refit");
    for (one, other) in model.terms.iter().zip(&refitted.terms) {
        // Drawing back ends a millionth of a standard deviation short.
        let error = one.standard_error.expect("an error");
        assert!(
            (one.value - other.value).abs() < 1e-4 * error,
            "{one:?} {other:?}"
        );
        assert!((other.standard_error.expect("an error") / error - 1.0).abs() < 1e-4);
    }
}

#[test]
fn however_far_off_a_run_lies_it_moves_a_robust_refit_by_a_bounded_amount() {
    for lots in [false, true] {
        let mut random = Seeded::stream(SEED, 1);
        let errors = normal(&mut random, 24);
        let data = log(&mut random, &errors, Route::Mixed, lots);
        let far = |by: f64| {
            let mut moved = data.clone();
            moved.response[5] += by * SCATTER;
            let (valid, model) = fitted(asked(lots), &moved);
            effect(&robust(&valid, &model, &moved).expect("a refit"))
        };
        let (near, away, further) = (far(0.0), far(20.0), far(40.0));
        let error = near.standard_error.expect("an error");
        assert!((near.value - away.value).abs() < error, "{near:?} {away:?}");
        assert!(
            (further.value - away.value).abs() < 0.02 * error,
            "{away:?} {further:?}"
        );
    }
}

#[test]
fn a_refit_on_the_logit_scale_answers_between_0_and_1() {
    let asking = (100..).find_map(|stream| {
        let mut random = Seeded::stream(SEED, stream);
        let errors = chained(&mut random, 40, 0.9);
        let data = log(&mut random, &errors, Route::Slow, true);
        let (valid, model) = fitted(asked(true).on_logit(), &data);
        let other = connected(&valid, &model, &data).expect("a refit")?;
        Some([robust(&valid, &model, &data).expect("a refit"), other])
    });
    let refits = asking.expect("a log whose neighbours are alike");
    for refit in refits {
        assert!(refit.all_finite());
        let mean = refit.estimate(&Settings::default()).expect("a mean");
        let ends = mean.interval.expect("an interval");
        assert!(0.0 < ends.low && ends.high < 1.0, "{mean:?}");
    }
}

/// Shares of logs with a true effect of zero.
#[derive(Debug, Default)]
struct Connection {
    asks: f64,
    /// By the ordinary fit.
    firm: f64,
    /// By the ordinary fit and, where that is asked for, by the connected one.
    firm_both: f64,
    /// Of those that the ordinary fit calls firm with a true effect of three standard errors.
    lost: f64,
}

fn connection(
    stream: u64,
    count: usize,
    lots: bool,
    errors: impl Fn(&mut Seeded, usize) -> Vec<f64>,
    size: usize,
) -> Connection {
    let mut found = Connection::default();
    let mut right = 0.0;
    let part = 1.0 / size as f64;
    for number in 0..size {
        let mut random = Seeded::stream(SEED + stream, number as u64);
        let errors = errors(&mut random, count);
        let data = log(&mut random, &errors, Route::Slow, lots);
        let (valid, model) = fitted(asked(lots), &data);
        let asks = neighbours(&valid, &model, &data).is_some_and(|found| found.ask);
        let refitted = connected(&valid, &model, &data).expect("a refit");
        assert_eq!(asks, refitted.is_some());
        let (ordinary, connected) = (effect(&model), refitted.as_ref().map(effect));
        let sides = |more: f64| {
            let before = firm(&ordinary, more);
            let after = connected.as_ref().map(|effect| firm(effect, more));
            (before, after.unwrap_or(before))
        };
        let share = |is: bool| if is { part } else { 0.0 };
        let (before, after) = sides(0.0);
        found.asks += share(asks);
        found.firm += share(before != 0);
        found.firm_both += share(before != 0 && before == after);
        let (before, after) = sides(3.0 * ordinary.standard_error.expect("an error"));
        found.lost += share(before == 1 && after != 1);
        right += share(before == 1);
    }
    found.lost /= right;
    found
}

#[test]
fn neighbours_ask_for_a_connected_refit_about_as_often_as_the_level_says_where_scatter_is_independent()
 {
    for (stream, count, lots, size) in [
        (6, 24, false, 1000),
        (7, 60, false, 600),
        (8, 32, true, 600),
    ] {
        let found = connection(stream, count, lots, normal, logs(size));
        println!("independent, {count} runs, lots {lots}: {found:?}");
        assert!((0.03..=0.07).contains(&found.asks), "{found:?}");
        // At most where it asks by luck.
        assert!(found.lost < 0.05, "{found:?}");
    }
}

#[test]
fn a_slow_factor_is_seldom_firm_by_chance_where_neighbours_are_connected() {
    let chained = |random: &mut Seeded, count: usize| chained(random, count, 0.7);
    for (stream, count, lots, size) in [
        (9, 24, false, 400),
        (10, 40, false, 200),
        (11, 32, true, 200),
    ] {
        let found = connection(stream, count, lots, chained, logs(size));
        println!("connected, {count} runs, lots {lots}: {found:?}");
        assert!(found.firm > 0.15, "{found:?}");
        assert!(found.firm_both < 0.09, "{found:?}");
    }
}

#[test]
fn refits_of_sixty_runs_take_some_milliseconds() {
    let mut random = Seeded::stream(SEED, 3);
    let errors = chained(&mut random, 60, 0.8);
    let data = log(&mut random, &errors, Route::Slow, true);
    let joint = asked(true).with_joint(&["route", "heating"]);
    let (valid, model) = fitted(joint.with_curve("ratio", 2), &data);
    let started = std::time::Instant::now();
    robust(&valid, &model, &data).expect("a refit");
    let of_robust = started.elapsed();
    let other = connected(&valid, &model, &data).expect("a refit");
    let both = started.elapsed();
    println!("{} terms: {of_robust:?}, both {both:?}", model.rank);
    // A hundred times what it takes, so that only a slower way fails and no busy machine.
    assert!(other.is_some() && both.as_secs_f64() < 2.0);
}
