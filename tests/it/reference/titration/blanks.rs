//! Whose error is that of a blank?
//!
//! In: titrations that name a blank, or have one of their own. Out: tests of the shared error against closed formulas,
//! that two titres are never known less well than one, and that each wrong use is told.
//! This module never lets two titrations share a blank because both hold the same figure.

use residuum::campaign::LogKind;
use residuum::measured::Measured;

use super::{bench, root_of_squares, u_bluestone};
use crate::coverage::Chance;
use crate::in_memory::InMemory;
use crate::support::{check_digits, residuum};

/// Digits asked of products, ratios and roots of sums of squares of a few logged numbers in binary64.
const DIGITS: f64 = 10.0;

/// Two runs at that bench, the first with two titres and the second with one.
fn two_and_one(uncertainty: &str, titres: &str, blanks: &str) -> InMemory {
    bench("", uncertainty)
        .edited(|text| text.replace("titrants = \"", "blanks = \"blanks.csv\"\ntitrants = \""))
        .with(
            LogKind::Runs,
            "run,feed_mass,feed_assay\nR1,100,0.8\nR2,100,0.8\n",
        )
        .with(LogKind::Crops, "run,crop,mass\nR1,1,200\nR2,1,200\n")
        .with(LogKind::Titres, titres)
        .with(LogKind::Blanks, blanks)
}

/// Purities of both runs.
fn purities(campaign: &InMemory) -> [Measured; 2] {
    let worked = campaign.work_out();
    ["R1", "R2"].map(|run| worked.run(run).purity.clone().expect("a purity"))
}

#[test]
fn a_named_blank_is_one_error_that_replicates_of_the_titre_do_not_average_down() {
    let titres =
        "run,crop,sample_mass,titre,blank_of\nR1,1,1,40.05,b\nR1,1,1,40.07,b\nR2,1,1,40.05,b\n";
    let blanks = "blank,date,titre\nb,2026-03-02,0.04\nb,2026-03-02,0.06\n";
    let uncertainty = "blank = \"0.012 mL\"\ntitre = \"0.03 mL\"\n";
    let [two, one] = purities(&two_and_one(uncertainty, titres, blanks));
    // 40.00 and 40.02 mL on 1 g: s = 0.02/√2 mL of the mean, one degree of freedom, stands for reading and end point;
    // of the blank 0.012/√2 mL, whose replicates agree with that (χ² = 2·0.01²/0.012² with one degree of freedom).
    let (scatter, blank) = (0.02 / 2f64.sqrt() / 40.01, 0.012 / 2f64.sqrt());
    // Each titre scatters in proportion to itself.
    let of_two = scatter * 40.00_f64.hypot(40.02) / (2.0 * 40.01);
    let relative =
        |scatter: f64, volume: f64| root_of_squares(&[scatter, blank / volume, u_bluestone()]);
    let of = |purity: &Measured| purity.uncertainty() / purity.value();
    check_digits("two titres", of(&two), relative(of_two, 40.01), DIGITS);
    check_digits("one titre", of(&one), relative(scatter, 40.00), DIGITS);
    let shared = blank * blank / (40.01 * 40.00) + u_bluestone().powi(2);
    let found = two.covariance(&one) / (two.value() * one.value());
    check_digits("shared", found, shared, DIGITS);
}

#[test]
fn equal_cells_are_no_shared_blank() {
    let titres = "run,crop,sample_mass,titre,blank\nR1,1,1,40.05,0.05\nR1,1,1,40.05,0.05\nR2,1,1,40.05,0.05\n";
    let uncertainty = "blank = \"0.012 mL\"\n";
    let titration = "repeatability = 0.0005";
    let campaign = two_and_one(uncertainty, titres, "blank,titre\nb,0.05\n");
    let campaign =
        campaign.edited(|text| text.replace("ratio = 1.0", &format!("ratio = 1.0\n{titration}")));
    let [two, one] = purities(&campaign);
    let found = two.covariance(&one) / (two.value() * one.value());
    check_digits("molar mass alone", found, u_bluestone().powi(2), DIGITS);
}

#[test]
fn replicates_of_a_blank_without_a_stated_error_give_it_theirs() {
    let titres = "run,crop,sample_mass,titre,blank_of\nR1,1,1,40.05,b\nR2,1,1,40.05,b\n";
    let blanks = "blank,titre\nb,0.03\nb,0.05\nb,0.07\n";
    let [one, other] = purities(&two_and_one("", titres, blanks));
    // s = 0.02 mL of three.
    let blank = 0.02 / 3f64.sqrt() / 40.00;
    let found = one.covariance(&other) / (one.value() * other.value());
    check_digits(
        "shared",
        found,
        blank * blank + u_bluestone().powi(2),
        DIGITS,
    );
}

#[test]
fn two_titres_are_never_known_less_well_than_one() {
    const BENCHES: u64 = 200;
    for number in 0..BENCHES {
        let mut chance = Chance::stream(20_261_201, number);
        let mut drawn = |width: f64| width * chance.uniform();
        let stated = [
            "",
            "titre = \"0.03 mL\"\n",
            "blank = \"0.02 mL\"\n",
            "blank = \"0.02 mL\"\ntitre = \"0.03 mL\"\nburette = \"±0.05 mL triangular\"\n",
        ];
        let uncertainty = stated[number as usize % stated.len()];
        let is_named = number % 3 != 0;
        let (column, own) = match is_named {
            true => ("blank_of", "b".to_string()),
            false => ("blank", format!("{:.2}", drawn(0.2))),
        };
        let titre = |run: &str, off: f64| format!("{run},1,1,{:.2},{own}\n", 40.0 + off);
        let titres = format!(
            "run,crop,sample_mass,titre,{column}\n{}{}{}",
            titre("R1", drawn(0.2)),
            titre("R1", drawn(0.2)),
            titre("R2", 0.1)
        );
        let blanks = format!("blank,titre\nb,{:.2}\nb,{:.2}\n", drawn(0.2), drawn(0.2));
        let [two, one] = purities(&two_and_one(uncertainty, &titres, &blanks));
        let of = |purity: &Measured| purity.uncertainty() / purity.value();
        // The two purities differ by a half per cent at most, and a blank weighs less in the larger titre.
        assert!(
            of(&two) <= 1.005 * of(&one),
            "bench {number}: {} > {}",
            of(&two),
            of(&one)
        );
    }
}

/// What `check` says of titres and blanks.
fn checked(titres: &str, blanks: &str) -> String {
    let folder = two_and_one("", titres, blanks).folder();
    let found = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    assert_ne!(found.exit_code, 0, "{}", found.stdout);
    found.stdout + &found.stderr
}

#[test]
fn a_blank_that_cannot_be_is_told_with_what_to_do() {
    let titres = "run,crop,sample_mass,titre,blank_of\nR1,1,1,40.05,b\nR2,1,1,40.05,b\n";
    let cases = [
        (
            "blank,titre\nc,0.05\n",
            "unknown blank in `titres.csv` line 2: `b`",
        ),
        (
            "blank,titre\nc,0.05\n",
            "blanks that are logged and can be used: c",
        ),
        (
            "blank,titre\nb,much\n",
            "column `titre` in `blanks.csv` line 2 is not a number: `much`",
        ),
        (
            "blank,titre\nb,-0.05\n",
            "column `titre` in `blanks.csv` line 2 is negative: `-0.05`",
        ),
        (
            "blank,titre\nb,\n",
            "column `titre` in `blanks.csv` line 2 is empty",
        ),
        (
            "blank,titre\n,0.05\n",
            "column `blank` in `blanks.csv` line 2 is empty",
        ),
        (
            "blank,date,titre\nb,32.1.2026,0.05\n",
            "column `date` in `blanks.csv` line 2",
        ),
        (
            "blank,titre / g\nb,0.05\n",
            "has a unit that does not fit: `g`",
        ),
        ("blank,volume\nb,0.05\n", "`titre`"),
    ];
    for (blanks, expected) in cases {
        let found = checked(titres, blanks);
        assert!(found.contains(expected), "{blanks}\n{found}");
    }
    let both = "run,crop,sample_mass,titre,blank,blank_of\nR1,1,1,40.05,0.05,b\nR2,1,1,40.05,,b\n";
    let found = checked(both, "blank,titre\nb,0.05\n");
    assert!(
        found.contains(
            "column `blank_of` in `titres.csv` line 2 names a blank beside a blank of its own: `b`"
        ),
        "{found}"
    );
}

#[test]
fn a_blank_in_litres_and_with_a_decimal_comma_is_the_same_blank() {
    let titres = "run,crop,sample_mass,titre,blank_of\nR1,1,1,40.05,b\nR2,1,1,40.05,b\n";
    let plain = purities(&two_and_one("", titres, "blank,titre\nb,0.05\n"));
    let litres = purities(&two_and_one("", titres, "blank,titre / L\nb,0.00005\n"));
    assert_eq!(plain[0].value(), litres[0].value());
    let comma = two_and_one(
        "",
        &titres.replace(',', ";").replace('.', ","),
        "blank;titre\nb;0,05\n",
    )
    .edited(|text| text.replace("[logs]", "[logs]\ndecimal = \",\""))
    .with(
        LogKind::Runs,
        "run;feed_mass;feed_assay\nR1;100;0,8\nR2;100;0,8\n",
    )
    .with(LogKind::Crops, "run;crop;mass\nR1;1;200\nR2;1;200\n")
    .with(LogKind::Titrants, "titrant;concentration\nS;0,1\n");
    assert_eq!(plain[0].value(), purities(&comma)[0].value());
}
