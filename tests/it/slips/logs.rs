//! What the logs of a planned campaign say, with all the errors that its bench states and none besides.
//!
//! In: a plan and a stream of draws. Out: a campaign in memory that nothing is wrong with.
//! This module never reads a result of the analysis.
//!
//! A run of fresh feed `F` and residue `R` gives `y·(F·w_F + R·w_R)·q` of product, with true assays `w`, `q` grams of product
//! per gram of pure feed, and `y` the yield of its route, changed by what was varied and by 2 % of it by chance.
//! Where a balance is kept, residue and mother liquor hold the rest but for 0.3 to 2 % that is lost.

use std::fmt::Write as _;

use residuum::campaign::LogKind;

use super::plans::{Draws, Plan, Style};
use super::preparations::Route;
use super::titres::Bench;
use super::toml::{self, ERRORS};
use crate::in_memory::InMemory;

/// Scatter of yields from run to run, as a part of them.
const SCATTER: f64 = 0.02;
/// Scatter of purities from run to run, and what a second crop is purer or less pure [mass fraction].
const PURITY_SCATTER: f64 = 0.002;
const SECOND_CROP: f64 = -0.006;
/// Change of yield, as a part of it, per residue charged per feed and from no excess of oxidant to the usual.
const BY_RESIDUE: f64 = -0.06;
const BY_EXCESS: f64 = 0.05;
/// Electrons that the campaign file says the oxidant takes up per mole of feed, with its solution, per gram of it.
const ELECTRONS_NEEDED: f64 = 0.4;
const GRAMS_PER_ELECTRON: f64 = 34.014 / 0.30 / 2.0;

/// A value as it is written down, with so many decimals.
pub fn logged(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    (value * scale).round() / scale
}

/// A day as ISO 8601, counted from the first of January 2024.
pub fn date(day: usize) -> String {
    const MONTHS: [[usize; 12]; 2] = [
        [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31],
        [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31],
    ];
    let (mut year, mut left) = (2024, day);
    loop {
        for (month, days) in MONTHS[usize::from(year % 4 == 0)].iter().enumerate() {
            if left < *days {
                return format!("{year}-{:02}-{:02}", month + 1, left + 1);
            }
            left -= days;
        }
        year += 1;
    }
}

#[derive(Clone, Copy)]
struct Lot {
    assay: f64,
    true_assay: f64,
}

/// Residue that stands on the shelf: logged and true mass \[g\] and assay.
struct Residue {
    run: String,
    mass: f64,
    assay: f64,
    true_assay: f64,
}

struct Charge {
    mass: f64,
    from: Vec<String>,
    assay: f64,
    true_assay: f64,
}

/// The campaign while it is made.
struct Made<'a> {
    plan: &'a Plan,
    lots: Vec<Lot>,
    shelf: Vec<Residue>,
    runs: String,
    crops: String,
    residues: String,
    bench: Bench,
}

/// Makes every run of a plan and writes its logs.
pub fn make(plan: &Plan, draws: &mut Draws) -> InMemory {
    let of = plan.preparation;
    let mut lots = String::from("lot,assay,u_assay,price\n");
    let stock: Vec<Lot> = (0..plan.lots)
        .map(|lot| {
            let assay = logged(of.assay + draws.between(-0.03, 0.02), 3);
            let price = logged(6.0 * draws.between(0.85, 1.2), 2);
            writeln!(lots, "L{},{assay},{},{price}", lot + 1, ERRORS.assay).expect("written");
            Lot {
                assay,
                true_assay: assay + draws.normal(ERRORS.assay),
            }
        })
        .collect();
    let mut day = draws.count(20, 320);
    let mut made = Made {
        plan,
        lots: stock,
        shelf: Vec::new(),
        runs: heading(plan),
        crops: String::from("run,crop,mass,moisture,temperature\n"),
        residues: String::from("run,mass,assay\n"),
        bench: Bench::new(plan, day, draws),
    };
    let in_turn = draws.chance(0.5);
    for number in 0..plan.runs {
        day += draws.pick(&[0, 1, 1, 2, 3]);
        if draws.chance(0.04) {
            day += draws.count(10, 30);
        }
        let lot = match in_turn {
            true => number % plan.lots,
            false => number * plan.lots / plan.runs,
        };
        made.run(number, lot, day, draws);
    }
    let campaign = InMemory::new(&toml::campaign(plan))
        .with(LogKind::Runs, &made.runs)
        .with(LogKind::Lots, &lots);
    let campaign = match plan.balance {
        true => campaign.with(LogKind::Residues, &made.residues),
        false => campaign,
    };
    match plan.style {
        Style::Flat => campaign,
        Style::Separate => campaign
            .with(LogKind::Crops, &made.crops)
            .with(LogKind::Titres, &made.bench.titres)
            .with(LogKind::Titrants, &made.bench.titrants),
    }
}

fn heading(plan: &Plan) -> String {
    let of = plan.preparation;
    let mut heads = vec!["run", "date", "lot", "feed_mass", "route", of.setting.name];
    if of.oxidised {
        heads.push("oxidant_mass");
    }
    if plan.ratios.len() > 1 {
        heads.extend(["residue_mass", "residue_from"]);
    }
    heads.push("labour");
    if plan.balance {
        heads.extend([
            "liquor_volume",
            "u_liquor_volume",
            "liquor_conc",
            "u_liquor_conc",
        ]);
    }
    if plan.style == Style::Flat {
        heads.extend(["crop1_mass", "crop2_mass", "purity"]);
    }
    heads.join(",") + "\n"
}

impl Made<'_> {
    fn run(&mut self, number: usize, lot: usize, day: usize, draws: &mut Draws) {
        let (plan, of) = (self.plan, self.plan.preparation);
        let name = format!("R-{:02}", number + 1);
        let route = draws.pick(&plan.routes);
        let at = draws.pick(&[0.0, 0.5, 1.0]);
        let setting = logged(of.setting.low + at * (of.setting.high - of.setting.low), 1);
        let meant = of.charge * draws.pick(&plan.sizes);
        let feed = logged(
            meant * (1.0 + plan.spread_of_charge * draws.between(-1.0, 1.0)),
            1,
        );
        let charge = self.charge(draws.pick(&plan.ratios) * feed, draws);
        let lot_at_hand = self.lots[lot];
        let fresh = (feed + draws.normal(ERRORS.charge))
            * (lot_at_hand.true_assay + draws.normal(ERRORS.sampling));
        let again = match charge.mass > 0.0 {
            true => charge.mass + draws.normal(ERRORS.charge),
            false => 0.0,
        };
        let product_per_feed = of.product_mass / of.feed_mass;
        let theory = (fresh + again * charge.true_assay) * product_per_feed;
        let excess = draws.pick(&plan.excesses) + draws.between(-2.0, 2.0);
        let moved = of.setting.effect / 0.7 * (at - 0.5)
            + BY_RESIDUE * charge.mass / feed
            + BY_EXCESS * (excess.max(0.0) / 60.0).min(1.0)
            + draws.normal(SCATTER);
        let yields = (route.yields * (1.0 + moved)).min(0.97 * route.ceiling);
        let crops = self.crops(&name, &route, yields * theory, number, draws);
        let counted = feed * lot_at_hand.assay + charge.mass * charge.assay;
        let oxidant =
            ELECTRONS_NEEDED * counted / of.feed_mass * (1.0 + excess / 100.0) * GRAMS_PER_ELECTRON;
        write!(
            self.runs,
            "{name},{},L{},{feed},{},{setting}",
            date(day),
            lot + 1,
            route.name
        )
        .expect("written");
        if of.oxidised {
            write!(self.runs, ",{}", logged(oxidant, 1)).expect("written");
        }
        if plan.ratios.len() > 1 {
            write!(self.runs, ",{},{}", charge.mass, charge.from.join(";")).expect("written");
        }
        match draws.chance(plan.forgotten) {
            true => self.runs.push(','),
            false => {
                let labour = route.labour * draws.between(0.9, 1.1);
                write!(self.runs, ",{}", logged(labour, 0)).expect("written");
            }
        }
        if plan.balance {
            let waste = 0.6 * feed * (1.0 - lot_at_hand.true_assay)
                + 0.92 * again * (1.0 - charge.true_assay);
            self.rest(&name, &route, theory, yields, waste, draws);
        }
        if plan.style == Style::Flat {
            self.runs.push_str(&crops);
        }
        self.runs.push('\n');
    }

    /// Residue for one run from as many of the runs before as it takes, mixed; a fifth of the charges use all of it.
    fn charge(&mut self, meant: f64, draws: &mut Draws) -> Charge {
        let mut charge = Charge {
            mass: 0.0,
            from: Vec::new(),
            assay: 0.0,
            true_assay: 0.0,
        };
        let (mut there, mut content, mut truly) = (0.0, 0.0, 0.0);
        while there < meant && !self.shelf.is_empty() {
            let residue = self.shelf.remove(0);
            there += residue.mass;
            content += residue.mass * residue.assay;
            truly += residue.mass * residue.true_assay;
            charge.from.push(residue.run);
        }
        if there > 0.0 {
            let all = there + draws.normal(ERRORS.charge);
            let mass = match draws.chance(0.2) || there < meant {
                true => all,
                false => meant,
            };
            charge.mass = logged(mass, 1);
            (charge.assay, charge.true_assay) = (content / there, truly / there);
        }
        charge
    }

    /// Weighs and titrates the crops of a run; the cells of the flat style.
    fn crops(
        &mut self,
        name: &str,
        route: &Route,
        pure: f64,
        number: usize,
        draws: &mut Draws,
    ) -> String {
        let second = route.second_crop * draws.between(0.75, 1.25);
        let mut weighed = Vec::new();
        for (crop, share) in [(1, 1.0 - second), (2, second)] {
            if share == 0.0 {
                continue;
            }
            let offset = if crop == 2 { SECOND_CROP } else { 0.0 };
            let purity = route.purity + offset + draws.normal(PURITY_SCATTER);
            let mass = logged(share * pure / purity + draws.normal(ERRORS.crop), 1);
            let moisture = logged(0.0015 * draws.normal(0.4).exp(), 4);
            let temperature = logged(draws.between(15.0, 22.0), 1);
            writeln!(self.crops, "{name},{crop},{mass},{moisture},{temperature}").expect("written");
            if self.plan.style == Style::Separate {
                self.bench
                    .titrate(self.plan, name, crop, purity, number, draws);
            }
            weighed.push(mass);
        }
        let sum: f64 = weighed.iter().sum();
        let purity = logged(pure / sum + draws.normal(ERRORS.purity), 4);
        let second = weighed.get(1).map_or(String::new(), f64::to_string);
        format!(",{},{second},{purity}", weighed[0])
    }

    /// Measures what stayed in the mother liquor and on the filter.
    fn rest(
        &mut self,
        name: &str,
        route: &Route,
        theory: f64,
        yields: f64,
        waste: f64,
        draws: &mut Draws,
    ) {
        let of = self.plan.preparation;
        let left = 1.0 - yields - draws.between(0.003, 0.02);
        let on_filter = (0.4 * left).min(0.1) * draws.between(0.8, 1.2);
        let oxide = on_filter * theory * of.feed_mass / of.product_mass;
        let true_assay = oxide / (oxide + waste);
        let residue = Residue {
            run: name.to_string(),
            mass: logged(oxide + waste + draws.normal(ERRORS.charge), 1),
            assay: logged(true_assay + draws.normal(ERRORS.residue), 4),
            true_assay,
        };
        writeln!(self.residues, "{name},{},{}", residue.mass, residue.assay).expect("written");
        self.shelf.push(residue);
        if draws.chance(self.plan.forgotten) {
            self.runs.push_str(",,,,");
            return;
        }
        let concentration = route.liquor * draws.between(0.9, 1.1);
        let volume = (left - on_filter) * theory / concentration * 1000.0;
        let read =
            |true_value: f64, draws: &mut Draws| true_value * (1.0 + draws.normal(ERRORS.liquor));
        let (volume, concentration) = (read(volume, draws), read(concentration, draws));
        write!(
            self.runs,
            ",{},{},{},{}",
            logged(volume, 0),
            logged(volume * ERRORS.liquor, 2),
            logged(concentration, 1),
            logged(concentration * ERRORS.liquor, 2)
        )
        .expect("written");
    }
}
