//! Tests of the comparison of two results: that it says what changed, and nothing else.
//!
//! In: small results as data, with differences that can be reckoned in the head. Out: tests.
//! This module never reads a report.

use super::testing::*;
use super::{Choice, Compared, Decided, Estimated, Flag, FlaggedPoint, Record, Says, Since};
use crate::decide::{Comparison, RecyclingVerdict};
use crate::regression::TermName;
use crate::result::{Measured, NotSeparable, Recycling, WholeResult};

fn since(now: &WholeResult) -> Since {
    Since::between(&record(&result()), &record(now))
}

fn amount(name: &str) -> Decided {
    Decided::Amount {
        response: "yield".into(),
        amount: name.into(),
    }
}

#[test]
fn the_same_result_shows_no_change() {
    let since = since(&result());
    assert_eq!(
        since,
        Since {
            round: 1,
            ..Since::default()
        }
    );
    assert_eq!(since.flags(), []);
}

#[test]
fn a_record_holds_runs_doubts_verdicts_and_figures() {
    let record = record(&result());
    assert_eq!(record.title, "Invented");
    assert_eq!(record.runs.len(), 2);
    assert_eq!(record.runs[0].value, Some(0.60));
    assert_eq!(record.runs[1].value, None);
    assert_eq!(record.caveats, 1);
    assert!(
        record.left_out.is_empty(),
        "set aside on purpose is no fault"
    );
    let boil = Compared {
        response: "yield".into(),
        factor: "route".into(),
        level: "boil".into(),
        against: "chill".into(),
    };
    let verdicts: Vec<(Decided, Says)> = record
        .verdicts
        .iter()
        .map(|verdict| (verdict.about.clone(), verdict.says.clone()))
        .collect();
    assert_eq!(
        verdicts,
        [
            (Decided::Residue, Says::NotSettled),
            (Decided::Level(boil), Says::Higher),
            (amount("oxidant"), Says::Rises),
        ]
    );
    assert_eq!(record.verdicts[0].interval, Some([-0.2, 1.0]));
    let response = || "yield".to_string();
    let figures: Vec<Estimated> = record.figures.iter().map(|f| f.about.clone()).collect();
    assert_eq!(
        figures,
        [
            Estimated::Mean {
                response: response(),
                factor: "route".into(),
                level: "boil".into()
            },
            Estimated::Change {
                response: response(),
                factor: "oxidant".into(),
                unit: "%".into(),
                comparison: oxidant(),
            },
            Estimated::Gain,
            Estimated::Titrant {
                titrant: "T1".into()
            },
        ]
    );
}

#[test]
fn an_estimate_moved_when_it_left_its_standard_uncertainty() {
    let moved = |value: f64| {
        since(&with(|result| {
            model(result).adjusted_means.0[0].1[0].value = Some(value);
        }))
    };
    // 0.65 with u = 0.01: 0.0099 is not more than that, 0.0101 is.
    assert_eq!(moved(0.6599).moved, []);
    let since = moved(0.6601);
    assert_eq!(since.moved.len(), 1);
    assert!(matches!(since.moved[0].about, Estimated::Mean { .. }));
    assert_eq!(since.moved[0].before, 0.65);
    assert_eq!(since.moved[0].now, 0.6601);
    assert_eq!(since.flags(), [Flag::Moved]);
}

#[test]
fn a_change_over_the_same_range_is_compared_after_it_was_kept_and_over_another_one_is_not() {
    let kept = serde_json::to_string(&record(&result())).expect("a record can be written");
    let before: Record = serde_json::from_str(&kept).expect("and read");
    let now = |to: f64| {
        record(&with(|result| {
            let moves = result.moves.as_mut().expect("moves are there");
            let change = &mut moves[0].changes[0];
            change.estimate.value = Some(0.15);
            if let Comparison::Span { to: end, .. } = &mut change.comparison {
                *end = to;
            }
        }))
    };
    let moved = Since::between(&before, &now(100.0 / 3.0)).moved;
    assert_eq!(moved.len(), 1);
    assert!(matches!(&moved[0].about, Estimated::Change { unit, .. } if unit == "%"));
    assert_eq!(Since::between(&before, &now(40.0)).moved, []);
}

#[test]
fn it_is_the_uncertainty_before_that_counts() {
    let strength = |value: f64, u: f64| {
        with(|result| {
            let titrants = result.titrants.as_mut().expect("titrants are there");
            titrants[0].concentration = Measured { value, u };
        })
    };
    let moved = |before: &WholeResult, now: &WholeResult| {
        Since::between(&record(before), &record(now)).moved.len()
    };
    assert_eq!(moved(&strength(0.1, 0.2), &strength(0.2, 0.0001)), 0);
    assert_eq!(moved(&result(), &strength(0.2, 0.0001)), 1);
    assert_eq!(moved(&result(), &strength(0.1002, 0.1)), 1);
}

#[test]
fn a_verdict_that_changed_is_told_with_what_it_was() {
    let now = with(|result| {
        result.recycling = Some(residue(RecyclingVerdict::Pays, gain(0.45, [0.05, 0.85])));
    });
    let since = since(&now);
    assert_eq!(since.verdicts.len(), 1);
    assert_eq!(since.verdicts[0].before, Some(Says::NotSettled));
    assert_eq!(since.verdicts[0].now, Some(Says::Pays));
    assert_eq!(since.verdicts[0].interval, Some([0.05, 0.85]));
    assert_eq!(since.flags(), [Flag::Verdict]);
}

#[test]
fn an_interval_that_comes_to_hold_zero_changes_the_verdict() {
    let now = with(|result| model(result).terms[1].interval = Some([-0.0001, 0.003]));
    let since = since(&now);
    assert_eq!(since.verdicts[0].about, amount("oxidant"));
    assert_eq!(since.verdicts[0].now, Some(Says::NotToldFromZero));
}

#[test]
fn a_term_that_a_power_or_another_factor_bends_has_no_verdict_of_its_own() {
    for other in [
        vec![power("oxidant", 2)],
        vec![level("route", "boil"), power("oxidant", 1)],
    ] {
        let now = with(|result| model(result).terms.push(term(&other, 0.0, [-0.2, 0.2])));
        let verdicts = record(&now).verdicts;
        assert!(!verdicts.iter().any(|v| v.about == amount("oxidant")));
    }
}

#[test]
fn a_factor_whose_name_begins_with_the_name_of_another_bends_nothing() {
    for name in ["oxidant to the 2", "oxidant: boil", "oxidant with route"] {
        let own = with(|result| {
            let joint = [power(name, 1), level("heating", "hob")];
            model(result).terms.push(term(&joint, 0.0, [-0.2, 0.2]));
        });
        let verdicts = record(&own).verdicts;
        assert!(verdicts.iter().any(|v| v.about == amount("oxidant")));
    }
}

#[test]
fn effects_that_can_be_told_apart_at_last_are_told() {
    let tangled = with(|result| {
        model(result).not_separable = vec![NotSeparable {
            pieces: [level("heating", "kiln"), level("lot", "D")]
                .map(TermName::of)
                .into(),
            ..NotSeparable::default()
        }];
    });
    let now = Since::between(&record(&tangled), &record(&result())).verdicts;
    assert!(matches!(&now[0].about, Decided::Apart { terms, .. } if terms.len() == 2));
    assert_eq!(now[0].before, Some(Says::CannotBeToldApart));
    assert_eq!(now[0].now, None);
    assert_eq!(since(&tangled).verdicts[0].before, None);
}

#[test]
fn a_question_that_is_answered_for_the_first_time_is_no_change() {
    let before = with(|result| {
        result.recycling = Some(Recycling {
            verdict: None,
            money: None,
            more: serde_json::Value::Null,
        });
    });
    let since = Since::between(&record(&before), &record(&result()));
    assert_eq!(since.verdicts, []);
    assert_eq!(since.moved, []);
}

#[test]
fn runs_that_came_went_or_changed_are_told_apart() {
    let now = with(|result| {
        result.yields = Some(vec![run("R1", Some(0.62)), run("R3", Some(0.61))]);
    });
    let since = since(&now);
    assert_eq!(since.new_runs, ["R3"]);
    assert_eq!(since.gone_runs, ["R2"]);
    assert_eq!(since.changed_runs, ["R1"]);
    assert_eq!(since.flags(), [Flag::GoneRuns, Flag::EarlierRuns]);
}

#[test]
fn new_runs_alone_raise_no_flag() {
    let now = with(|result| {
        result
            .yields
            .iter_mut()
            .for_each(|y| y.push(run("R3", Some(0.61))))
    });
    let since = since(&now);
    assert_eq!(since.new_runs, ["R3"]);
    assert_eq!(since.flags(), []);
}

#[test]
fn a_run_that_a_fault_leaves_out_is_told_as_that_and_not_as_gone() {
    let now = with(|result| {
        result.yields = Some(vec![run("R1", Some(0.60))]);
        result.left_out = vec![row("R2", false)];
    });
    let forth = since(&now);
    assert!(forth.gone_runs.is_empty());
    assert_eq!(forth.newly_left_out.len(), 1);
    assert_eq!(forth.flags(), [Flag::LeftOut]);
    let back = Since::between(&record(&now), &record(&result()));
    assert_eq!(back.new_runs, ["R2"]);
}

#[test]
fn a_point_that_a_chart_flags_is_told_once() {
    let flagged = with(|result| {
        let charts = result.drift.as_mut().expect("charts are there");
        charts[0].points = vec![point(Some("beyond the upper limit"))];
    });
    let since = since(&flagged);
    let wanted = FlaggedPoint {
        response: "yield".into(),
        chart: "ewma".into(),
        run: "R1".into(),
    };
    assert_eq!(since.drift, [wanted]);
    assert_eq!(since.flags(), [Flag::Drift]);
    let again = Since::between(&record(&flagged), &record(&flagged));
    assert_eq!(again.flags(), []);
}

#[test]
fn inputs_and_program_that_changed_are_named() {
    let [before, now] = [("1.0.0", "log"), ("1.1.0", "longer log")]
        .map(|(program, log)| record_of(&result(), program, log));
    let since = Since::between(&before, &now);
    assert_eq!(since.inputs, ["runs log"]);
    let program = since.program.as_ref().expect("another version");
    assert_eq!(
        [program.before.as_str(), program.now.as_str()],
        ["1.0.0", "1.1.0"]
    );
    assert_eq!(since.flags(), []);
}

#[test]
fn what_an_earlier_version_wrote_otherwise_is_passed_over_and_the_rest_is_read() {
    let kept = record(&result());
    let mut older = serde_json::to_value(&kept).expect("a record can be written");
    older["verdicts"] =
        serde_json::json!([{"about": "best route", "says": "settled", "interval": null}]);
    older["drift"] = serde_json::json!(["yield, ewma chart, R1"]);
    let read: Record = serde_json::from_value(older).expect("a record can be read");
    assert_eq!(read.runs, kept.runs);
    assert_eq!(read.figures, kept.figures);
    assert!(read.verdicts.is_empty() && read.drift.is_empty());
}

#[test]
fn what_was_chosen_is_part_of_what_is_settled() {
    let chosen = |level: &str| {
        Says::Settled(vec![Choice {
            factor: None,
            level: level.into(),
        }])
    };
    assert_ne!(chosen("boil"), chosen("chill"));
}
