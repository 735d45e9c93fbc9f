//! What does the titration bench show? Titres with all the errors that the campaign file states.
//!
//! In: a crop's true purity and draws. Out: titres, and the log of the two titrants.
//! This module never knows how a crop came about.

use super::draws::{Draws, logged};
use super::table::Table;

/// Molar mass of CuSO4·5H2O [g/mol]. Source: IUPAC abridged standard atomic weights 2021.
pub const PRODUCT_MOLAR_MASS: f64 = 249.677;
/// Molar mass of KIO3 [g/mol]. Source: IUPAC abridged standard atomic weights 2021.
const IODATE_MOLAR_MASS: f64 = 213.995;
/// Thiosulfate per iodate: IO3⁻ + 5 I⁻ + 6 H⁺ → 3 I2 + 3 H2O, and each I2 takes two.
const THIOSULFATE_PER_IODATE: f64 = 6.0;
/// Reading and end point [mL].
const READING: f64 = 0.03;
/// Half-width of the burette's calibration [mL]; triangular, so √6 times its standard uncertainty.
const BURETTE_HALF_WIDTH: f64 = 0.05;
/// Scatter of a blank [mL].
const BLANK_SCATTER: f64 = 0.01;
/// Scatter of the analytical balance [g].
const BALANCE: f64 = 0.0002;
/// Runs after this number were titrated with the second titrant.
const LAST_RUN_ON_FIRST: u64 = 35;
/// Days on which the first titrant was standardised, twice each.
const STANDARDISED: [&str; 3] = ["2025-09-05", "2025-09-22", "2025-10-13"];

/// One titration of a crop.
#[derive(Debug, Clone)]
pub struct Titre {
    /// Name of the titrant.
    pub titrant: &'static str,
    /// Sample as weighed in [g].
    pub sample_mass: f64,
    /// Burette reading, blank included [mL].
    pub titre: f64,
    /// Blank of the day [mL].
    pub blank: f64,
}

struct Titrant {
    name: &'static str,
    true_concentration: f64,
    true_blank: f64,
}

/// The bench of the campaign: one burette, one bottle of standard, two titrants.
pub struct Bench {
    burette_error: f64,
    first: Titrant,
    second: Titrant,
    log: String,
}

impl Bench {
    /// Draws what is off at this bench, and writes the titrants log.
    pub fn draw(draws: &mut Draws) -> Self {
        let burette_error = draws.bounded(BURETTE_HALF_WIDTH / 6_f64.sqrt());
        let standard_purity = 0.9994 + draws.bounded(0.0002);
        let stated = 0.1000;
        let mut bench = Self {
            burette_error,
            first: Titrant {
                name: "T1",
                true_concentration: draws.between(0.0985, 0.1005),
                true_blank: 0.07,
            },
            second: Titrant {
                name: "T2",
                true_concentration: stated + draws.bounded(0.00005),
                true_blank: 0.08,
            },
            log: String::new(),
        };
        let headings = [
            "titrant",
            "date",
            "concentration",
            "u_concentration",
            "standard",
            "standard_mass",
            "standard_purity",
            "u_standard_purity",
            "standard_ratio",
            "titre",
            "blank",
            "aliquot",
        ];
        let mut table = Table::new(',', &headings);
        for date in STANDARDISED.iter().flat_map(|date| [date, date]) {
            table.row(&bench.standardisation(date, standard_purity, draws));
        }
        let mut given = ["T2", "2025-10-24", "0.1000", "0.00005"]
            .map(String::from)
            .to_vec();
        given.resize(headings.len(), String::new());
        table.row(&given);
        bench.log = table.into_text();
        bench
    }

    /// One standardisation of the first titrant: 50 mL out of 250 mL of a weighed iodate solution.
    fn standardisation(&self, date: &str, purity: f64, draws: &mut Draws) -> Vec<String> {
        let aliquot = 0.2;
        let mass = logged(draws.between(0.700, 0.730), 4);
        let true_mass = mass + draws.bounded(BALANCE);
        let moles = true_mass * aliquot * purity / IODATE_MOLAR_MASS * THIOSULFATE_PER_IODATE;
        let reading = self.reading(&self.first, moles, draws);
        vec![
            self.first.name.to_string(),
            date.to_string(),
            String::new(),
            String::new(),
            "KIO3".to_string(),
            format!("{mass:.4}"),
            "0.9994".to_string(),
            "0.0002".to_string(),
            format!("{THIOSULFATE_PER_IODATE}"),
            format!("{:.2}", reading.titre),
            format!("{:.2}", reading.blank),
            format!("{aliquot}"),
        ]
    }

    /// Two titrations of one crop of the run with this number.
    pub fn titrate(&self, run: u64, purity: f64, draws: &mut Draws) -> Vec<Titre> {
        let titrant = if run <= LAST_RUN_ON_FIRST {
            &self.first
        } else {
            &self.second
        };
        (0..2)
            .map(|_| {
                let sample_mass = logged(draws.between(0.96, 1.04), 4);
                let true_mass = sample_mass + draws.bounded(BALANCE);
                // 2 Cu²⁺ + 4 I⁻ → 2 CuI + I2, so one thiosulfate stands for one copper.
                let reading = self.reading(titrant, true_mass * purity / PRODUCT_MOLAR_MASS, draws);
                Titre {
                    sample_mass,
                    ..reading
                }
            })
            .collect()
    }

    /// What the burette shows for so many moles of titrant.
    fn reading(&self, titrant: &Titrant, moles: f64, draws: &mut Draws) -> Titre {
        let volume = 1000.0 * moles / titrant.true_concentration;
        let shown = volume + titrant.true_blank - self.burette_error + draws.bounded(READING);
        Titre {
            titrant: titrant.name,
            sample_mass: 0.0,
            titre: logged(shown, 2),
            blank: logged(titrant.true_blank + draws.bounded(BLANK_SCATTER), 2),
        }
    }

    /// The titrants log.
    pub fn titrants_log(&self) -> &str {
        &self.log
    }
}
