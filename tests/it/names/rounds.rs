//! Does a round see that an effect has turned, whatever its factor is called?
//!
//! In: two rounds over one campaign whose log was changed between them, so that the yield falls with an amount it rose
//! with. Out: tests of the verdicts that changed.
//! This module never looks at what else changed.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::campaign::{Log, Names, files};
use super::compare::{Plain, differences};
use crate::support::{CampaignFolder, residuum};

fn write(folder: &Path, names: &Names, log: Log) {
    let folder = folder.join("all/campaign");
    fs::create_dir_all(&folder).expect("a folder can be made");
    for (file, text) in files(names, log) {
        fs::write(folder.join(file), text).expect("a file can be written");
    }
}

/// The verdicts that the second round says have changed.
fn changed(names: &Names) -> Value {
    let place = CampaignFolder::new();
    let path = |name: &str| place.path().join(name).to_str().expect("UTF-8").to_string();
    for log in [Log::Rises, Log::Falls] {
        write(place.path(), names, log);
        let told = residuum(&["rounds", &path("all"), "--out", &path("out"), "--quiet"]);
        assert_ne!(told.exit_code, 2, "{}{}", told.stdout, told.stderr);
    }
    let text = fs::read_to_string(path("out/rounds.json")).expect("the round left its summary");
    let rounds: Value = serde_json::from_str(&text).expect("JSON");
    rounds["campaigns"][0]["since"]["verdicts"].clone()
}

#[track_caller]
fn check_turn(names: &Names) {
    let verdicts = changed(names);
    let about = format!("yield with more {}", names.straight);
    let turn = verdicts.as_array().and_then(|verdicts| {
        verdicts
            .iter()
            .find(|verdict| verdict["about"] == about.as_str())
    });
    let turn = turn.unwrap_or_else(|| panic!("nothing about `{about}` in {verdicts}"));
    assert_eq!(turn["before"], "rises", "{turn}");
    assert_eq!(turn["now"], "falls", "{turn}");
    let plain = Plain::instead_of(names);
    let expected = plain.translated_value(&changed(&plain.names));
    let mut told = Vec::new();
    differences(&expected, &verdicts, "verdicts", &mut told);
    assert!(told.is_empty(), "{}", told.join("\n"));
}

fn with_straight(straight: &str) -> Names {
    Names {
        straight: straight.into(),
        ..Names::ordinary()
    }
}

#[test]
fn the_turn_of_an_effect_is_told_under_an_ordinary_name() {
    check_turn(&Names::ordinary());
}

#[test]
fn the_turn_of_an_effect_is_told_where_another_name_begins_with_the_same_letters() {
    check_turn(&Names {
        fed: "heat time".into(),
        ..with_straight("heat")
    });
    check_turn(&Names {
        way: "water bath".into(),
        ..with_straight("water")
    });
}

#[test]
fn the_turn_of_an_effect_is_told_where_its_name_reads_like_a_power() {
    check_turn(&with_straight("x to the 2"));
}

#[test]
fn the_turn_of_an_effect_is_told_where_its_name_reads_like_a_joint_effect_or_a_level() {
    check_turn(&with_straight("rinse with acid"));
    check_turn(&with_straight("a: b"));
}

#[test]
fn the_turn_of_an_effect_is_told_where_it_is_called_constant() {
    check_turn(&with_straight("constant"));
}

#[test]
fn the_turn_of_an_effect_is_told_where_the_bent_amount_reads_like_its_power() {
    check_turn(&Names {
        bent: "heat to the 2".into(),
        ..with_straight("heat")
    });
}
