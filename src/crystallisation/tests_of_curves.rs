//! Tests of curves: that they answer for the product asked for, from the figures stated, and for no other.
//!
//! In: handbook figures and atomic weights worked out on paper, and invented own points. Out: nothing but passing tests.
//! This module never takes an expected value from a curve.

use super::{Curve, DensityFrom, OutOfTable, Unknown};
use crate::campaign::{Solubility, SolubilityPoint};
use crate::chemistry::{AtomicWeights, Formula};
use crate::measured::Sources;

/// Rounding of a product of a few numbers in binary64, relative.
const ROUNDING: f64 = 1e-12;

fn formula(text: &str) -> Formula {
    Formula::parse(text).unwrap()
}

fn curve(product: &str, plan: Option<&Solubility>) -> Result<Curve, Unknown> {
    let weights = AtomicWeights::new(&mut Sources::default());
    Curve::of(&formula(product), plan, &weights)
}

fn plan(product: Option<&str>, points: &[(f64, f64)], density: Option<f64>) -> Solubility {
    let point = |&(temperature, per_100_g): &(f64, f64)| SolubilityPoint {
        temperature,
        per_100_g,
    };
    Solubility {
        product: product.map(formula),
        points: points.iter().map(point).collect(),
        density,
    }
}

#[test]
fn bluestone_counts_the_water_of_its_formula() {
    let stated = plan(Some("CuSO4"), &[], Some(1.18));
    let liquor = curve("CuSO4·5H2O", Some(&stated))
        .unwrap()
        .saturated(20.0)
        .unwrap();
    // Handbook: 16.7 mass percent CuSO4 at 20 degC. IUPAC 2021: CuSO4 159.602, CuSO4·5H2O 249.677 g/mol.
    let anhydrous = 0.167 * 1180.0;
    let product = anhydrous * 249.677 / 159.602;
    assert!((liquor.anhydrous_per_litre / anhydrous - 1.0).abs() < ROUNDING);
    assert!((liquor.product_per_litre / product - 1.0).abs() < ROUNDING);
    assert_eq!(liquor.density_from, DensityFrom::Stated);
    assert_eq!(liquor.relative_uncertainty_from_density(), None);
    assert_eq!(liquor.relative_uncertainty(), 0.03);
}

#[test]
fn without_a_stated_density_the_result_carries_the_estimate() {
    let liquor = curve("CuSO4·5H2O", None).unwrap().saturated(20.0).unwrap();
    // 0.99821 g/mL of water over 1 − 0.75·0.167; its uncertainty is 0.15·0.167 over the same.
    let room = 1.0 - 0.75 * 0.167;
    assert!((liquor.density - 0.99821 / room).abs() < 2e-5);
    let from_density = liquor.relative_uncertainty_from_density().unwrap();
    assert!((from_density - 0.15 * 0.167 / room).abs() < ROUNDING);
    let both = (0.03 / room).hypot(from_density);
    assert!((liquor.relative_uncertainty() - both).abs() < ROUNDING);
}

#[test]
fn own_points_are_grams_on_a_hundred_grams_of_water() {
    let own = plan(None, &[(20.0, 25.0), (0.0, 0.0)], None);
    let curve = curve("KIO3", Some(&own)).unwrap();
    // 25 g on 100 g of water are 25 in 125.
    assert!((curve.saturated(20.0).unwrap().mass_fraction - 0.2).abs() < ROUNDING);
    assert_eq!(
        curve.saturated(21.0),
        Err(OutOfTable::Outside {
            temperature: 21.0,
            low: 0.0,
            high: 20.0
        })
    );
    assert_eq!(curve.source(), "points of the campaign file");
}

#[test]
fn own_points_stand_in_for_the_whole_table() {
    let own = plan(Some("CuSO4"), &[(20.0, 20.1)], None);
    let curve = curve("CuSO4·5H2O", Some(&own)).unwrap();
    assert!(curve.saturated(20.0).is_ok());
    assert!(matches!(
        curve.saturated(0.0),
        Err(OutOfTable::OnlyAt { .. })
    ));
}

#[test]
fn a_salt_without_figures_is_named() {
    for (product, salt) in [
        ("KIO3", "KIO3"),
        ("FeSO4·(NH4)2SO4·6H2O", "FeSO4·(NH4)2SO4"),
    ] {
        let reason = curve(product, None).unwrap_err();
        assert_eq!(reason, Unknown::NoFigures { salt: salt.into() });
    }
}

#[test]
fn figures_of_another_salt_are_refused() {
    let other = plan(Some("KCl"), &[(0.0, 28.0), (20.0, 34.0)], None);
    assert!(matches!(
        curve("KMnO4", Some(&other)),
        Err(Unknown::OtherSalt { .. })
    ));
    let hydrate = plan(Some("CuSO4.5H2O"), &[], None);
    assert!(curve("CuSO4", Some(&hydrate)).is_ok());
}

#[test]
fn faulty_figures_are_refused() {
    let twice = plan(None, &[(20.0, 6.3), (20.0, 6.4)], None);
    assert_eq!(
        curve("KMnO4", Some(&twice)).unwrap_err(),
        Unknown::SameTemperature { temperature: 20.0 }
    );
    for (points, density) in [
        (vec![(20.0, -1.0)], None),
        (vec![(f64::INFINITY, 1.0)], None),
        (vec![], Some(0.0)),
    ] {
        let faulty = plan(None, &points, density);
        let reason = curve("KMnO4", Some(&faulty)).unwrap_err();
        assert!(matches!(reason, Unknown::Impossible { .. }), "{reason:?}");
    }
}

#[test]
fn glauber_salt_is_not_read_across_its_melting_in_its_own_water() {
    let curve = curve("Na2SO4·10H2O", None).unwrap();
    let reason = curve.saturated(35.0).unwrap_err();
    let between = OutOfTable::SolidChanges {
        temperature: 35.0,
        near: 32.0,
        low: 30.0,
        high: 40.0,
    };
    assert_eq!(reason, between);
    // The only gap: everywhere else between the first and the last row the curve answers.
    for known in [
        20.0, 22.0, 27.0, 30.0, 40.0, 45.0, 55.0, 65.0, 75.0, 85.0, 95.0, 100.0,
    ] {
        assert!(curve.saturated(known).is_ok(), "{known}");
    }
}
