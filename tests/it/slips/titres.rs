//! What the titration bench of a campaign shows.
//!
//! In: a plan, and the true purity of each crop. Out: [`Bench`], with the logs of titres and titrants.
//! This module never knows how a crop came about.

use std::fmt::Write as _;

use super::logs::{date, logged};
use super::plans::{Draws, Plan};
use super::toml::ERRORS;

/// Volume that a titration is meant to take \[mL\]; with a back titration, what the sample uses up.
const MEANT: f64 = 38.0;
const MEANT_WITH_EXCESS: f64 = 24.0;
/// Part of the runs that are titrated with the first titrant, where there are two.
const FIRST_TITRANT: f64 = 0.6;
/// Least runs for two titrants.
const TWO_TITRANTS: usize = 24;
/// Days between standardisations.
const BETWEEN: usize = 20;

/// One burette, and the titrants.
pub struct Bench {
    pub titres: String,
    pub titrants: String,
    burette: f64,
    /// True strengths: of the first titrant, the second, and the one titrated back with [mol/L].
    strengths: [f64; 3],
}

impl Bench {
    /// Makes up and standardises the titrants before the first day.
    pub fn new(plan: &Plan, day: usize, draws: &mut Draws) -> Self {
        let of = &plan.preparation.titration;
        let first = of.strength * (1.0 + draws.between(-0.02, 0.02));
        let stated = of.strength * plan.second_titrant;
        let u_second = logged(0.0005 * stated, 7);
        let second = stated + draws.normal(u_second);
        let u_back = logged(0.001 * of.strength, 7);
        let back = of.strength + draws.normal(u_back);
        let blank = match of.excess {
            Some(_) => "",
            None => ",blank",
        };
        let mut bench = Bench {
            titres: format!("run,crop,sample_mass,aliquot,titrant,titre{blank}\n"),
            titrants: String::from(
                "titrant,date,concentration,u_concentration,standard,standard_mass,standard_purity,u_standard_purity,standard_ratio,titre,blank,aliquot\n",
            ),
            burette: draws.normal(ERRORS.burette),
            strengths: [first, second, back],
        };
        if of.excess.is_some() {
            bench.titres = String::from(
                "run,crop,sample_mass,aliquot,titrant,titre,back_titrant,back_titre\n",
            );
        }
        let purity = 0.9995 + draws.normal(0.0002);
        let weeks = (plan.runs * 3 / 2).div_ceil(BETWEEN);
        for time in (0..2 * weeks).map(|twice| twice / 2) {
            let at = date(day - 10 + time * BETWEEN);
            bench.standardise(plan, &at, purity, draws);
        }
        if plan.runs >= TWO_TITRANTS {
            let at = date(day);
            writeln!(bench.titrants, "T2,{at},{stated},{u_second},,,,,,,,").expect("written");
        }
        if of.excess.is_some() {
            let at = date(day - 10);
            writeln!(bench.titrants, "Z1,{at},{},{u_back},,,,,,,,", of.strength).expect("written");
        }
        bench
    }

    fn standardise(&mut self, plan: &Plan, at: &str, purity: f64, draws: &mut Draws) {
        let of = &plan.preparation.titration;
        let strength = self.strengths[0];
        let moles = MEANT / 1000.0 * of.strength / of.standard_ratio / of.standard_aliquot;
        let mass = moles * of.standard_mass * draws.between(0.96, 1.04);
        let read = logged(mass + draws.normal(ERRORS.sample), 4);
        let used = mass * purity / of.standard_mass * of.standard_ratio * of.standard_aliquot;
        let blank = self.blank(draws);
        let titre = self.reading(1000.0 * used / strength + BLANK, draws);
        writeln!(
            self.titrants,
            "T1,{at},,,{},{read},0.9995,0.0002,{},{titre},{blank},{}",
            of.standard, of.standard_ratio, of.standard_aliquot
        )
        .expect("written");
    }

    /// Titrates a crop twice.
    pub fn titrate(
        &mut self,
        plan: &Plan,
        run: &str,
        crop: u32,
        purity: f64,
        number: usize,
        draws: &mut Draws,
    ) {
        let of = &plan.preparation.titration;
        let second = plan.runs >= TWO_TITRANTS && number as f64 >= FIRST_TITRANT * plan.runs as f64;
        let (titrant, strength, part) = match second {
            true => ("T2", self.strengths[1], plan.second_titrant),
            false => ("T1", self.strengths[0], 1.0),
        };
        let aliquot = of.aliquot.unwrap_or(1.0);
        // Millimoles of product per gram of product that comes to the burette.
        let titrated = 1000.0 * aliquot / plan.preparation.product_mass / of.ratio.1;
        let meant = match of.excess {
            Some(_) => MEANT_WITH_EXCESS,
            None => MEANT,
        };
        for _ in 0..2 {
            let [least, most] = plan.samples;
            let usual = meant * part * of.strength / titrated;
            let sample = usual * draws.between(least, most);
            let used = sample * purity * titrated;
            let read = logged(sample + draws.normal(ERRORS.sample), 4);
            write!(self.titres, "{run},{crop},{read},{aliquot},{titrant}").expect("written");
            match of.excess {
                None => {
                    let blank = self.blank(draws);
                    let titre = self.reading(used / strength + BLANK, draws);
                    writeln!(self.titres, ",{titre},{blank}").expect("written");
                }
                Some(excess) => {
                    let run_in = excess + self.burette + draws.normal(ERRORS.titre);
                    let back = self.reading((run_in * strength - used) / self.strengths[2], draws);
                    writeln!(self.titres, ",{excess},Z1,{back}").expect("written");
                }
            }
        }
    }

    fn reading(&mut self, volume: f64, draws: &mut Draws) -> f64 {
        logged(volume - self.burette + draws.normal(ERRORS.titre), 2)
    }

    fn blank(&self, draws: &mut Draws) -> f64 {
        logged(BLANK + draws.normal(ERRORS.blank), 2).max(0.0)
    }
}

/// True blank \[mL\].
const BLANK: f64 = 0.06;
