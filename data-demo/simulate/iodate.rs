//! What would 20 runs from technical iodine to potassium iodate look like in one person's spreadsheet?
//!
//! In: a seed. Out: the two files of the campaign folder as text.
//! This module never touches a file and never reads a result of the analysis.
//!
//! # Mechanism
//! Two routes. `lye`: 3 I2 + 6 KOH → 5 KI + KIO3 + 3 H2O, so that no more than a sixth of the iodine can become
//! iodate. `chlorate`: iodine oxidised by potassium chlorate in acid, of which all can become iodate.
//! True effects, with `b` the temperature of the bath [degC] from 50 to 90:
//!
//! | Term | contained yield | purity |
//! | --- | --- | --- |
//! | constant | 0.107 | 0.9940 |
//! | `route: chlorate` | 0.568 | −0.0060 |
//! | `bath_temperature` | 0.0004 | −0.00002 |
//! | `route: chlorate with bath_temperature` | 0.0016 | 0.00001 |
//!
//! Run-to-run scatter is normal, 0.006 in yield and 0.0012 in purity, cut at 2.5 standard deviations, which keeps
//! `lye` below its ceiling. The logged iodine content differs from the true one by 0.004, the purity by 0.001,
//! the masses by what `campaign.toml` states.

use super::bluestone::draws::{Draws, logged};
use super::bluestone::table::{GeneratedFile, Table};

/// Run `n` draws from stream `n` plus this, so that the campaigns share no draw.
const FIRST_STREAM: u64 = 2000;

/// Molar masses [g/mol]. Source: IUPAC abridged standard atomic weights 2021.
const IODATE_MOLAR_MASS: f64 = 213.995;
const IODINE_MOLAR_MASS: f64 = 253.80;
/// Iodate from one I2 if all of it went that way.
const IODATE_PER_IODINE: f64 = 2.0;

const YIELD_SCATTER: f64 = 0.006;
const PURITY_SCATTER: f64 = 0.0012;
const CONTENT_ERROR: f64 = 0.004;
const PURITY_ERROR: f64 = 0.001;
const FEED_BALANCE: f64 = 0.02;
const CROP_BALANCE: f64 = 0.02;

/// A linear response: what it is for `lye` at 0 degC, and what each term adds.
struct Effects {
    constant: f64,
    chlorate: f64,
    bath: f64,
    chlorate_with_bath: f64,
}

const YIELD: Effects = Effects {
    constant: 0.107,
    chlorate: 0.568,
    bath: 0.0004,
    chlorate_with_bath: 0.0016,
};

const PURITY: Effects = Effects {
    constant: 0.9940,
    chlorate: -0.0060,
    bath: -0.00002,
    chlorate_with_bath: 0.00001,
};

impl Effects {
    fn at(&self, planned: &Planned) -> f64 {
        let chlorate = f64::from(u8::from(planned.route == "chlorate"));
        self.constant
            + self.chlorate * chlorate
            + self.bath * planned.bath
            + self.chlorate_with_bath * chlorate * planned.bath
    }
}

struct Planned {
    day: &'static str,
    route: &'static str,
    bath: f64,
    remark: &'static str,
}

/// Five bath temperatures, twice on each route, in an order drawn by lot beforehand.
const PLAN: &str = "\
2025-04-02 chlorate 70
2025-04-03 lye 90
2025-04-07 lye 60 new bag of potash lye
2025-04-09 chlorate 50
2025-04-10 chlorate 90
2025-04-14 lye 70
2025-04-16 lye 50
2025-04-22 chlorate 80
2025-04-24 chlorate 60 slow to start
2025-04-28 lye 80
2025-04-30 lye 60
2025-05-05 chlorate 80
2025-05-06 lye 90
2025-05-08 chlorate 50 second jar of iodine
2025-05-12 chlorate 70
2025-05-14 lye 80
2025-05-15 lye 70
2025-05-19 chlorate 60
2025-05-21 lye 50
2025-05-23 chlorate 90 filter paper tore, filtered again";

fn plan() -> Vec<Planned> {
    let planned = |line: &'static str| {
        let mut cells = line.splitn(4, ' ');
        let mut cell = || cells.next().unwrap_or_default();
        Planned {
            day: cell(),
            route: cell(),
            bath: cell().parse().expect("the plan gives the bath as a number"),
            remark: cell(),
        }
    };
    PLAN.lines().map(planned).collect()
}

/// All files of the campaign folder, for one draw of chance.
pub fn files(seed: u64) -> Vec<GeneratedFile> {
    vec![
        GeneratedFile::new("campaign.toml", include_str!("../iodate/campaign.toml")),
        GeneratedFile::new("charges.csv", charges(seed)),
    ]
}

/// The one table, as a spreadsheet set to decimal commas exports it: byte order mark, semicolons, CR LF.
fn charges(seed: u64) -> String {
    let mut table = Table::new(
        ';',
        &[
            "Charge",
            "Day",
            "Way taken",
            "Bath (°C)",
            "Iodine weighed in (g)",
            "Iodine content (%)",
            "First crop (g)",
            "Second crop (g)",
            "Purity found (%)",
            "Time at the bench (min)",
            "Remark",
        ],
    );
    for (number, planned) in (1..).zip(plan()) {
        let mut draws = Draws::stream(seed, FIRST_STREAM + number);
        table.row(&charge(number, &planned, &mut draws));
    }
    format!("\u{feff}{}", table.into_text().replace('\n', "\r\n"))
}

fn charge(number: u64, planned: &Planned, draws: &mut Draws) -> Vec<String> {
    let feed = logged(50.0 + draws.bounded(0.6), 2);
    let true_feed = feed + draws.bounded(FEED_BALANCE);
    let true_content = draws.between(0.960, 0.985);
    let content = true_content + draws.bounded(CONTENT_ERROR);
    let theory =
        true_feed * true_content * IODATE_PER_IODINE * IODATE_MOLAR_MASS / IODINE_MOLAR_MASS;
    let contained = theory * (YIELD.at(planned) + draws.bounded(YIELD_SCATTER));
    let purity = PURITY.at(planned) + draws.bounded(PURITY_SCATTER);
    let weighed = contained / purity;
    // Lye leaves little in the liquor, so only every third run was worth a second crop.
    let second = match planned.route {
        "lye" if number.is_multiple_of(3) => Some(weighed * draws.between(0.05, 0.12)),
        "lye" => None,
        _ => Some(weighed * draws.between(0.06, 0.15)),
    };
    let first = weighed - second.unwrap_or(0.0) + draws.bounded(CROP_BALANCE);
    let second = second.map(|mass| mass + draws.bounded(CROP_BALANCE));
    let bench = if planned.route == "lye" { 75.0 } else { 110.0 };
    vec![
        format!("K{number:02}"),
        planned.day.to_string(),
        planned.route.to_string(),
        format!("{}", planned.bath),
        comma(feed, 2),
        comma(100.0 * content, 1),
        comma(first, 2),
        second.map_or_else(String::new, |mass| comma(mass, 2)),
        comma(100.0 * (purity + draws.bounded(PURITY_ERROR)), 2),
        comma(bench + draws.bounded(6.0), 0),
        planned.remark.to_string(),
    ]
}

/// A number with a decimal comma.
fn comma(value: f64, decimals: usize) -> String {
    format!("{value:.decimals$}").replace('.', ",")
}
