//! Which folders does a round take for campaigns?
//!
//! In: folders inside folders, links, hidden folders, names that are alike. Out: tests of what is reported and where.
//! This module never looks at what changed.

use std::fs;

use super::place::{Place, whole};

#[test]
fn campaigns_are_found_at_any_depth_and_named_by_their_path() {
    let place = Place::with(&["b", "2031/spring/a", "2031/spring/b"]);
    place.check(0, &["new 2031/spring/a", "new 2031/spring/b", "new b"]);
    for name in ["b", "2031/spring/a", "2031/spring/b"] {
        whole(&place.at("out").join(name)).expect("the report is whole");
    }
    assert!(
        place
            .read("out/index.md")
            .contains("(2031/spring/a/report.md)")
    );
}

#[test]
fn the_folder_itself_may_be_a_campaign_and_is_called_by_its_name() {
    let place = Place::with(&["b"]);
    place.add("all");
    place.check(0, &["new all", "new b"]);
}

#[test]
fn hidden_folders_are_passed_over() {
    let place = Place::with(&["a", ".old", "b/.git/c"]);
    place.check(0, &["new a"]);
}

#[test]
fn an_output_folder_among_the_campaigns_is_passed_over() {
    let place = Place::with(&["a"]);
    let out = place.at("all/reports");
    let out = out.to_str().expect("UTF-8");
    place.add("all/reports/left-from-somebody");
    for standing in ["new", "unchanged"] {
        let outcome = place.round(&["--out", out]);
        assert!(outcome.stdout.starts_with(standing), "{}", outcome.stdout);
        assert_eq!(outcome.stdout.lines().count(), 1, "{}", outcome.stdout);
        assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    }
}

#[test]
fn reports_are_not_written_among_the_campaigns_themselves() {
    let place = Place::with(&["a"]);
    let all = place.at("all");
    let outcome = place.round(&["--out", all.to_str().expect("UTF-8")]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(outcome.stdout, "");
    assert_eq!(
        outcome.stderr,
        format!(
            "error: reports would be written among the campaigns of `{}`\n\nhint: choose another folder with `--out`; it may lie below the campaigns\n",
            all.display()
        )
    );
    assert!(!place.at("all/.residuum").exists());
}

#[cfg(unix)]
#[test]
fn links_are_followed_once_and_never_in_circles() {
    use std::os::unix::fs::symlink;
    let place = Place::with(&["a", "deep/b"]);
    place.add("elsewhere/c");
    let link = |to: &str, name: &str| {
        symlink(place.at(to), place.at(name)).expect("a link can be made");
    };
    link("all", "all/deep/up");
    link("all/deep", "all/deep/b/round");
    link("all/a", "all/latest");
    link("elsewhere", "all/linked");
    link("elsewhere", "all/linked-again");
    link("nowhere", "all/broken");
    place.check(0, &["new a", "new deep/b", "new linked/c"]);
}

#[test]
fn a_campaign_inside_another_is_refused_and_stops_none_of_the_others() {
    let place = Place::with(&["a", "a/backup", "b"]);
    let outcome = place.check(2, &["new a", "failed a/backup", "new b"]);
    assert!(
        outcome.stderr.contains(
            "error: a/backup: it lies inside the campaign `a`, whose report would have to hold its own\n"
        ),
        "{}",
        outcome.stderr
    );
    fs::rename(place.at("all/a/backup"), place.at("all/a/.backup")).expect("it can be renamed");
    place.check(0, &["unchanged a", "unchanged b"]);
}

#[test]
fn a_name_that_the_index_has_is_refused() {
    let place = Place::with(&["index.md", "rounds.json/a", "b"]);
    let outcome = place.check(2, &["new b", "failed index.md", "failed rounds.json/a"]);
    assert!(
        outcome
            .stdout
            .contains("its report would lie where the page `index.md` lies"),
        "{}",
        outcome.stdout
    );
    assert!(place.at("out/index.md").is_file());
}

#[cfg(target_os = "linux")]
#[test]
fn names_that_differ_by_case_alone_have_a_report_each() {
    let place = Place::with(&["Kiln", "kiln"]);
    place.check(0, &["new Kiln", "new kiln"]);
    for name in ["Kiln", "kiln"] {
        whole(&place.at("out").join(name)).expect("the report is whole");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn names_that_could_be_mistaken_for_each_other_have_a_report_each() {
    let long = "x".repeat(240);
    let names = [
        "a/b",
        "a%2Fb",
        "a-1",
        "a",
        &long,
        "a.jsonl",
        "records.jsonl",
        "lock",
    ];
    let place = Place::with(&names[..2]);
    place.add(&format!("all/{long}"));
    place.add(&format!("all/{long}y/{long}"));
    place.add("all/records.jsonl");
    let outcome = place.round(&[]);
    assert_eq!(outcome.exit_code, 0, "{}{}", outcome.stdout, outcome.stderr);
    assert_eq!(outcome.stdout.lines().count(), 5);
    for name in ["a/b", "a%2Fb", &long, "records.jsonl"] {
        whole(&place.at("out").join(name)).expect("the report is whole");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_name_that_is_not_utf_8_is_refused() {
    use std::os::unix::ffi::OsStrExt;
    let place = Place::with(&["a"]);
    let name = std::ffi::OsStr::from_bytes(b"b\xff");
    fs::rename(place.at("all/a"), place.at("all").join(name)).expect("it can be renamed");
    let outcome = place.round(&[]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(
        outcome.stdout,
        "failed     b\u{fffd}: the name of the folder is not UTF-8; there is no report\n"
    );
}

#[test]
fn a_campaign_that_is_gone_is_told_once_and_keeps_its_report() {
    let place = Place::with(&["a", "b"]);
    place.check(0, &["new a", "new b"]);
    let before = whole(&place.at("out/b")).expect("the report is whole");
    fs::remove_dir_all(place.at("all/b")).expect("it can be removed");
    place.check(1, &["unchanged a", "gone b"]);
    assert_eq!(
        place.entry("b")["flags"],
        serde_json::json!(["gone_campaign"])
    );
    assert!(
        place
            .read("out/index.md")
            .contains("its folder is not there any more")
    );
    place.check(0, &["unchanged a", "gone b"]);
    assert_eq!(whole(&place.at("out/b")), Ok(before));
    place.add("all/b");
    place.check(0, &["unchanged a", "unchanged b"]);
    fs::remove_dir_all(place.at("all/b")).expect("it can be removed");
    fs::remove_dir_all(place.at("out/b")).expect("it can be removed");
    place.check(0, &["unchanged a"]);
}

#[test]
fn a_folder_without_campaigns_is_an_error_and_leaves_nothing_behind() {
    let place = Place::with(&[]);
    fs::create_dir_all(place.at("all/empty")).expect("a folder can be made");
    for (dir, message) in [
        ("all", "no campaign below"),
        ("nowhere", "cannot be looked into"),
    ] {
        let arguments = [
            "rounds".into(),
            place.at(dir),
            "--out".into(),
            place.at("out"),
        ];
        let outcome = crate::support::residuum(&arguments);
        assert_eq!(outcome.exit_code, 2);
        assert!(outcome.stderr.contains(message), "{}", outcome.stderr);
        assert!(!place.at("out").exists());
    }
}
