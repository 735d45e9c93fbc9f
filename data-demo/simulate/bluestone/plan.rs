//! What was meant to be run? 64 runs on 51 days, five lots, every route with every heating method.
//!
//! In: nothing. Out: the settings aimed at, in the order of the runs.
//! This module never draws a number: another seed repeats the same plan with other luck.
//!
//! The order was searched for beforehand, on settings alone, so that no effect follows the calendar: bags
//! overlap in time, the first six runs are without residue, and the torch meets the spirit route only before
//! both came to stand in one room in November.

/// One planned run.
#[derive(Debug, Clone)]
pub struct Planned {
    /// Running number, from 1.
    pub number: u64,
    /// Name of the run.
    pub name: String,
    /// Day, ISO 8601.
    pub date: String,
    /// Lot of the feed.
    pub lot: &'static str,
    /// Heating method.
    pub heating: &'static str,
    /// Recovery route.
    pub route: &'static str,
    /// Oxidant excess aimed at [%].
    pub oxidant_excess: f64,
    /// Residue per fresh feed aimed at [g/g].
    pub residue_ratio: f64,
}

/// Lot, heating, route, oxidant excess [%], residue per fresh feed [g/g].
const PLAN: &str = "\
A torch spirit 48 0
A hob chill 30 0
A hob spirit 48 0
A muffle boildown 48 0
B torch spirit 48 0
B hob spirit 118 0
A muffle boildown 66 0.2
B torch spirit 30 0.55
B torch chill 66 0
B hob chill 30 0
A torch chill 118 0.27
A muffle boildown 30 0.33
A muffle spirit 66 0.16
B muffle chill 118 0
A muffle chill 12 0
A muffle chill 48 0.46
B muffle boildown 48 0
A torch spirit 118 0.25
A hob boildown 118 0.52
B muffle spirit 48 0.54
C hob spirit 118 0
B hob boildown 102 0.29
B torch boildown 102 0.37
C hob spirit 85 0.3
A hob spirit 12 0.34
C torch spirit 12 0
D kiln spirit 118 0.19
B torch spirit 102 0.28
A torch chill 12 0.49
B torch chill 85 0.5
B muffle boildown 12 0.45
C muffle spirit 85 0.23
C hob chill 12 0.18
C torch boildown 85 0
C hob boildown 48 0
C muffle boildown 118 0
B torch boildown 118 0
E muffle spirit 102 0
D kiln boildown 12 0
C hob spirit 102 0.51
E hob boildown 48 0
D kiln chill 48 0
D kiln boildown 30 0
E torch boildown 85 0
C muffle chill 12 0
D kiln boildown 118 0.47
D kiln chill 85 0.21
E muffle chill 102 0.15
C muffle spirit 12 0
D kiln chill 102 0
E torch boildown 48 0.42
E muffle chill 85 0.41
E hob chill 118 0.43
E torch chill 102 0
E torch chill 102 0
E hob chill 48 0.32
C hob boildown 85 0
E muffle spirit 12 0
C torch boildown 66 0.36
D kiln spirit 66 0.24
E hob chill 85 0
D kiln chill 12 0.4
D kiln spirit 48 0
E hob boildown 12 0.38
";

/// The planned runs in order.
pub fn runs() -> Vec<Planned> {
    PLAN.lines()
        .zip(1..)
        .map(|(line, number)| planned(line, number))
        .collect()
}

fn planned(line: &'static str, number: u64) -> Planned {
    let mut cells = line.split(' ');
    let mut cell = || cells.next().expect("each line of the plan has five cells");
    Planned {
        number,
        name: format!("B-{number:03}"),
        date: date(number),
        lot: cell(),
        heating: cell(),
        route: cell(),
        oxidant_excess: cell()
            .parse()
            .expect("the plan gives the excess as a number"),
        residue_ratio: cell()
            .parse()
            .expect("the plan gives the ratio as a number"),
    }
}

/// Five runs a week: Monday, twice on Tuesday, Thursday, Friday, from Monday 8 September 2025 on.
fn date(number: u64) -> String {
    const WEEK: [u64; 5] = [0, 1, 1, 3, 4];
    const MONTHS: [(u64, u64); 4] = [(9, 30), (10, 31), (11, 30), (12, 31)];
    let index = number - 1;
    let mut day = 8 + 7 * (index / 5) + WEEK[(index % 5) as usize];
    for (month, days) in MONTHS {
        if day <= days {
            return format!("2025-{month:02}-{day:02}");
        }
        day -= days;
    }
    panic!("the plan runs past the end of the year")
}
