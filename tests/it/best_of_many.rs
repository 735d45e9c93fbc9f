//! Does a mean that was chosen as the best of many hold, once the luck of the choice is taken off?
//!
//! In: seeded logs of 16, 24 and 40 runs with known true surfaces: nothing matters, effects of about four standard errors,
//! effects of about twelve; models of three to five terms (two amounts, a bend, a joint effect, a choice of three levels).
//! Out: tests of what is taken off, of both intervals, of the gain over the best of the runs, and of the chance of it.
//! `RESIDUUM_SIMULATIONS=full` asks for many more logs; `DEVELOPERS.md` says how long that takes.
//! This module never draws an unseeded number.

mod logs;
mod tally;

use residuum::regression::{Choosing, FittedModel, NotCorrected, Settings, Toward};
use residuum::seeded::Seeded;

use logs::{Effects, MODELS, Place, SCATTER, Terms, best, fitted, grid, log, places};
use tally::Tally;

const SEED: u64 = 20_260_912;

/// Logs of each kind, in the test command and at full size.
const LOGS: usize = 24;
const LOGS_IN_FULL: usize = 600;

fn logs() -> usize {
    match std::env::var("RESIDUUM_SIMULATIONS") {
        Ok(size) if size == "full" => LOGS_IN_FULL,
        _ => LOGS,
    }
}

fn simulated(effects: Effects, stream: u64) -> Tally {
    let kinds: Vec<(Terms, usize)> = MODELS
        .into_iter()
        .flat_map(|terms| [16, 24, 40].map(|runs| (terms, runs)))
        .collect();
    let tally = |(place, &(terms, runs)): (usize, &(Terms, usize))| {
        let mut random = Seeded::stream(SEED, stream + place as u64);
        let mut tally = Tally::default();
        for _ in 0..logs() {
            tally.add(&log(terms, effects, runs, &mut random));
        }
        tally
    };
    let mut all = Tally::default();
    for found in kinds.iter().enumerate().map(tally) {
        all.join(&found);
    }
    all
}

#[test]
fn the_best_of_many_holds_once_its_luck_is_taken_off() {
    let sizes = [
        (Effects::None, "nothing matters"),
        (Effects::About(4.0), "moderate effects"),
        (Effects::About(12.0), "large effects"),
    ];
    let tallies = std::thread::scope(|scope| {
        let started = (0_u64..).zip(sizes).map(|(place, (effects, what))| {
            let work = move || simulated(effects, 100 * place);
            (scope.spawn(work), what)
        });
        let started: Vec<_> = started.collect();
        let done = started.into_iter();
        done.map(|(work, what)| (work.join().expect("a tally"), what))
            .collect::<Vec<_>>()
    });
    let mut pooled = Tally::default();
    for (tally, what) in &tallies {
        pooled.join(tally);
        println!(
            "{what}: chances {:.2?}",
            tally
                .tenths
                .map(|(share, said)| (share.of, said / share.of, share.value()))
        );
    }
    for (tally, what) in &tallies {
        tally.check(what);
    }
    pooled.check_chances();
}

#[test]
fn with_two_residual_degrees_of_freedom_nothing_is_said_of_luck() {
    let terms = MODELS[2];
    // Seven coefficients.
    for (runs, left) in [(9, 2), (8, 1)] {
        let mut random = Seeded::stream(SEED, 1_000 + runs as u64);
        let made: Vec<Place> = grid().into_iter().step_by(41).take(runs).collect();
        let response = made.iter().map(|_| 0.7 + SCATTER * random.normal());
        let model = fitted(terms, &made, response.collect());
        assert_eq!(model.residual_df, left);
        let settings: Vec<Settings> = made.iter().map(|place| place.settings()).collect();
        let choosing = Choosing {
            toward: Toward::Larger,
            chosen: &settings[0],
            among: &settings,
            rival: Some(&settings[1]),
            rival_among: &settings,
        };
        let found = model.best_of_many(&choosing, &mut random);
        assert_eq!(found, Err(NotCorrected::FewDegrees(left)));
    }
}

#[test]
fn a_search_for_less_is_the_mirror_of_one_for_more() {
    let terms = MODELS[1];
    let mut random = Seeded::stream(SEED, 2_000);
    let made = places(24, &mut random);
    let response: Vec<f64> = made
        .iter()
        .map(|_| 0.7 + SCATTER * random.normal())
        .collect();
    let mirrored = response.iter().map(|value| 1.4 - value).collect();
    let (up, down) = (
        fitted(terms, &made, response),
        fitted(terms, &made, mirrored),
    );
    let settings = |places: &[Place]| -> Vec<Settings> {
        places.iter().map(|place| place.settings()).collect()
    };
    let (among, rivals) = (settings(&grid()), settings(&made));
    let (chosen, rival) = (best(&up, &grid()).settings(), best(&up, &made).settings());
    let found = |model: &FittedModel, toward: Toward| {
        let choosing = Choosing {
            toward,
            chosen: &chosen,
            among: &among,
            rival: Some(&rival),
            rival_among: &rivals,
        };
        let found = model.best_of_many(&choosing, &mut Seeded::stream(SEED, 2_001));
        found.expect("figures")
    };
    let (up, down) = (found(&up, Toward::Larger), found(&down, Toward::Smaller));
    // Both draw the same numbers, but the errors are not mirrored with the response, so that only what is symmetrical stays
    // exactly; the rest agrees within the error of 1,000 draws, about a thirtieth of what is taken off.
    assert!((up.too_good_by / down.too_good_by - 1.0).abs() < 0.15);
    let (up, down) = (up.against.expect("a lead"), down.against.expect("a lead"));
    let error = up.gain.standard_error.expect("degrees of freedom");
    assert!((up.gain.value - down.gain.value).abs() < 0.1 * error);
    assert!((up.mean.value - (1.4 - down.mean.value)).abs() < 0.1 * error);
}
