//! How hot was it, and when? A thermocouple in the scale, read by hand.
//!
//! In: the heating method and draws. Out: the readings of one run as a table.
//! This module never bears on yield: the readings are there to be summarised.

use super::draws::Draws;
use super::table::Table;

/// How a heating method warms the dish.
struct Heater {
    /// Temperature it tends to [degC].
    peak: f64,
    /// Time in which it covers 63 % of the way [min].
    rise: f64,
    /// Time between readings [min].
    step: f64,
}

/// Room temperature [degC].
const ROOM: f64 = 19.0;
/// Cooling after the heat is turned off: time to cover 63 % of the way down [min].
const COOLING: f64 = 40.0;

fn heater(heating: &str) -> Heater {
    let (peak, rise, step) = match heating {
        "muffle" => (620.0, 16.0, 10.0),
        "hob" => (545.0, 9.0, 6.0),
        "torch" => (690.0, 5.0, 4.0),
        "kiln" => (645.0, 28.0, 15.0),
        _ => panic!("no such heating: {heating}"),
    };
    Heater { peak, rise, step }
}

/// Readings of one run: 12 to 16 rows, the heat turned off for the last four of them.
pub fn readings(heating: &str, draws: &mut Draws) -> String {
    let heater = heater(heating);
    let peak = heater.peak + draws.bounded(12.0);
    let rows = draws.between(12.0, 17.0).floor();
    let turned_off = (rows - 5.0) * heater.step;
    let heated = |time: f64| ROOM + (peak - ROOM) * (1.0 - (-time / heater.rise).exp());
    let mut table = Table::new(',', &["time / min", "temperature / degC"]);
    for row in 0..rows as u32 {
        let time = f64::from(row) * heater.step;
        let exact = if time <= turned_off {
            heated(time)
        } else {
            ROOM + (heated(turned_off) - ROOM) * ((turned_off - time) / COOLING).exp()
        };
        let read = exact + draws.bounded(2.0);
        table.row(&[format!("{time:.0}"), format!("{read:.0}")]);
    }
    table.into_text()
}
