//! Hydrate water taken off the formula of a product.
//!
//! In: the formula of the product. Out: the formula without its hydrate water.
//! This module never takes off anything but water: a double salt stays whole.

use crate::chemistry::Formula;

/// Where a formula may be cut: each way to write the hydrate dot.
const DOTS: [char; 6] = ['·', '.', '*', '•', '∙', '⋅'];

/// Counts of atoms are whole numbers, or halves and thirds written in decimals, so they may be off by rounding.
const COUNT_ROUNDING: f64 = 1e-6;

/// The product without the water behind its hydrate dot; the product itself when it has none.
///
/// The first dot that has nothing but water behind it is where the salt ends, so that `FeSO4·(NH4)2SO4·6H2O` keeps
/// both of its salts. What is taken off is water if its atoms are `H : O = 2 : 1` and no others.
///
/// # Assumes
/// The water of a hydrate is written behind a dot; `CuSO4H10O5` stays as it is.
pub fn anhydrous(product: &Formula) -> Formula {
    let text = product.text();
    let dots = text.char_indices().filter(|(_, sign)| DOTS.contains(sign));
    let mut salts = dots.filter_map(|(dot, _)| Formula::parse(&text[..dot]).ok());
    let salt = salts.find(|salt| differ_by_water(product, salt));
    salt.unwrap_or_else(|| product.clone())
}

fn differ_by_water(product: &Formula, salt: &Formula) -> bool {
    let difference = |symbol: &str| product.atoms_of(symbol) - salt.atoms_of(symbol);
    let oxygen = difference("O");
    let is_water = (difference("H") - 2.0 * oxygen).abs() < COUNT_ROUNDING;
    let mut others = product
        .elements()
        .filter(|symbol| !["H", "O"].contains(symbol));
    let others_agree = others.all(|symbol| difference(symbol).abs() < COUNT_ROUNDING);
    oxygen > 0.0 && is_water && others_agree
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(product: &str, salt: &str) {
        let found = anhydrous(&Formula::parse(product).unwrap());
        assert_eq!(found, Formula::parse(salt).unwrap(), "{}", found.text());
    }

    #[test]
    fn hydrate_water_is_taken_off_however_the_dot_is_written() {
        for dot in ['·', '.', '*', '•'] {
            check(&format!("CuSO4{dot}5H2O"), "CuSO4");
        }
    }

    #[test]
    fn a_fraction_of_water_is_taken_off_whole() {
        check("CaSO4.0.5H2O", "CaSO4");
    }

    #[test]
    fn a_salt_without_water_stays_as_it_is() {
        check("KMnO4", "KMnO4");
        check("H3BO3", "H3BO3");
    }

    #[test]
    fn a_double_salt_keeps_both_salts() {
        check("FeSO4·(NH4)2SO4·6H2O", "Fe(NH4)2(SO4)2");
        check("K2SO4·MgSO4", "K2Mg(SO4)2");
    }
}
