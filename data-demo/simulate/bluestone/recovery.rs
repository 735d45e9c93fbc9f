//! Where does the dissolved copper end up? In one crop or two, and in a mother liquor.
//!
//! In: the route, the contained product of the crops and of the liquor, the purity. Out: crops and liquor as logged.
//! This module never decides how much is recovered, only in which form.

use super::bench::{Bench, PRODUCT_MOLAR_MASS, Titre};
use super::draws::{Draws, logged};

/// Molar mass of CuSO4 [g/mol]. Source: IUPAC abridged standard atomic weights 2021.
const ANHYDROUS_MOLAR_MASS: f64 = 159.602;
/// Saturated liquor: degrees Celsius and mass percent CuSO4. Source: CRC Handbook of Chemistry and Physics,
/// 98th edition, section 5, Aqueous Solubility of Inorganic Compounds at Various Temperatures.
const SATURATED: [(f64, f64); 4] = [(0.0, 12.4), (10.0, 14.4), (20.0, 16.7), (30.0, 19.3)];
/// Density of the saturated liquor [g/L]; common practice, no source.
const DENSITY: f64 = 1180.0;

/// One recovered portion.
#[derive(Debug, Clone)]
pub struct Crop {
    /// Number, from 1.
    pub number: u32,
    /// Mass as weighed [g].
    pub mass: f64,
    /// Free water [mass fraction].
    pub moisture: f64,
    /// Liquor that it was filtered from [mL].
    pub liquor_volume: f64,
    /// Temperature of the filtration [degC].
    pub temperature: f64,
    /// Its titrations.
    pub titres: Vec<Titre>,
}

/// Crops and mother liquor of a run.
pub struct Recovery {
    /// One crop or two.
    pub crops: Vec<Crop>,
    /// Last mother liquor [mL].
    pub liquor_volume: f64,
    /// Product left in it [g/L].
    pub liquor_concentration: f64,
}

/// What there is to be recovered.
pub struct Dissolved {
    /// Number of the run.
    pub run: u64,
    /// Recovery route.
    pub route: &'static str,
    /// Pure product in the crops [g].
    pub in_crops: f64,
    /// Product left in the liquor [g].
    pub in_liquor: f64,
    /// Purity of the crops together, as weighed.
    pub purity: f64,
}

/// Recovers the product by the run's route.
pub fn recover(dissolved: &Dissolved, bench: &Bench, draws: &mut Draws) -> Recovery {
    let temperature = match dissolved.route {
        "chill" => draws.between(5.0, 8.0),
        "boildown" => draws.between(18.0, 22.0),
        "spirit" => draws.between(16.0, 20.0),
        route => panic!("no such route: {route}"),
    };
    let concentration = match dissolved.route {
        // Spirit drives most of the salt out of its water.
        "spirit" => draws.between(64.0, 80.0),
        // The free acid keeps the liquor below what pure water would hold.
        _ => draws.between(0.86, 0.94) * saturated(temperature),
    };
    let volume = 1000.0 * dissolved.in_liquor / concentration;
    let weighed = dissolved.in_crops / dissolved.purity;
    let crop = |number, mass: f64, purity, liquor: f64, draws: &mut Draws| Crop {
        number,
        mass: logged(mass, 1),
        moisture: logged(draws.between(0.0005, 0.0020), 4),
        liquor_volume: logged(liquor + draws.bounded(VOLUME_SCATTER), 0),
        temperature: logged(temperature, 1),
        titres: bench.titrate(dissolved.run, purity, draws),
    };
    let crops = if dissolved.route == "boildown" {
        let share = draws.between(0.10, 0.25);
        let drop = draws.between(0.006, 0.012);
        // Split so that the mean purity by mass stays that of the run.
        let first_purity = dissolved.purity + share * drop;
        let second_purity = dissolved.purity - (1.0 - share) * drop;
        let second_mass = share * weighed;
        // Both filtrations at one temperature: the liquor boiled away gave up what it held.
        let before = volume + 1000.0 * second_mass * second_purity / concentration;
        vec![
            crop(1, weighed - second_mass, first_purity, before, draws),
            crop(2, second_mass, second_purity, volume, draws),
        ]
    } else {
        vec![crop(1, weighed, dissolved.purity, volume, draws)]
    };
    Recovery {
        crops,
        liquor_volume: logged(volume + draws.bounded(VOLUME_SCATTER), 0),
        liquor_concentration: logged(concentration + draws.bounded(CONCENTRATION_SCATTER), 1),
    }
}

/// Scatter of a liquor volume [mL], as the campaign file states.
const VOLUME_SCATTER: f64 = 5.0;
/// Scatter of a liquor concentration [g/L], as the campaign file states.
const CONCENTRATION_SCATTER: f64 = 2.0;

/// Product in a litre of liquor saturated at this temperature [g/L], between points of the table.
fn saturated(temperature: f64) -> f64 {
    let upper = SATURATED
        .iter()
        .position(|point| point.0 >= temperature)
        .expect("within the table")
        .max(1);
    let (low, high) = (SATURATED[upper - 1], SATURATED[upper]);
    let percent = low.1 + (high.1 - low.1) * (temperature - low.0) / (high.0 - low.0);
    percent / 100.0 * DENSITY * PRODUCT_MOLAR_MASS / ANHYDROUS_MOLAR_MASS
}
