//! The largest blend that meets the specification.
//!
//! In: crops with mass and purity. Out: how much of which crop goes into it.
//! This module never blends to the mean alone: the error of the titrations, shared or not, is counted.

use super::by_route::purity;
use crate::distributions::coverage_factor;
use crate::measured::Measured;

/// How finely the share of the last crop is found.
const HALVINGS: usize = 40;

/// Whether what is sold meets a specification surely enough.
#[derive(Debug, Clone, Copy)]
pub(super) struct Demand {
    spec: f64,
    /// Normal quantile of the chance asked for.
    quantile: f64,
}

impl Demand {
    /// At least so pure with that chance, which lies from one half to below one.
    pub fn new(spec: f64, chance: f64) -> Self {
        let quantile = coverage_factor(2.0 * chance - 1.0, f64::INFINITY).unwrap_or(0.0);
        Demand { spec, quantile }
    }

    /// `p − z·u ≥ spec`.
    ///
    /// # Assumes
    /// The true purity is normal about the one found.
    pub fn is_met(&self, purity: &Measured) -> bool {
        purity.value() - self.quantile * purity.uncertainty() >= self.spec
    }
}

/// Share of each crop that goes into the largest blend that meets the demand, in the order given; None where none does.
///
/// The purest crops go in first, because each gram of a purer one makes room for more; of the last one a part.
///
/// # Assumes
/// From the most certain blend on, more of less pure crops only takes it nearer to the limit.
pub(super) fn largest(crops: &[(&Measured, &Measured)], demand: Demand) -> Option<Vec<f64>> {
    let mut order: Vec<usize> = (0..crops.len()).collect();
    order.sort_by(|a, b| crops[*b].1.value().total_cmp(&crops[*a].1.value()));
    let first = |count: usize| -> Vec<(&Measured, &Measured)> {
        order[..count].iter().map(|at| crops[*at]).collect()
    };
    let meets = |count: usize| {
        let blended = purity(&first(count));
        blended.is_some_and(|blended| demand.is_met(&blended))
    };
    let pure_enough = |(_, purity): &(&Measured, &Measured)| purity.value() >= demand.spec;
    let pure = crops.iter().filter(|crop| pure_enough(crop)).count();
    // With all that are pure enough by themselves, else with fewer and purer ones.
    let halved = std::iter::successors(Some(pure), |count| Some(count / 2));
    let mut whole = halved
        .take_while(|count| *count > 0)
        .find(|count| meets(*count))?;
    let mut too_many = crops.len() + 1;
    while too_many - whole > 1 {
        let middle = whole + (too_many - whole) / 2;
        match middle <= crops.len() && meets(middle) {
            true => whole = middle,
            false => too_many = middle,
        }
    }
    let mut shares = vec![0.0; crops.len()];
    order[..whole].iter().for_each(|at| shares[*at] = 1.0);
    if let Some(last) = order.get(whole) {
        shares[*last] = part(&first(whole), crops[*last], demand);
    }
    Some(shares)
}

/// The largest part of a further crop that still meets the demand.
fn part(whole: &[(&Measured, &Measured)], last: (&Measured, &Measured), demand: Demand) -> f64 {
    let pure: Vec<Measured> = whole.iter().map(|(mass, purity)| *mass * *purity).collect();
    let (pure, mass) = (
        Measured::sum(&pure),
        Measured::sum(whole.iter().map(|(mass, _)| *mass)),
    );
    let last_pure = last.0 * last.1;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let share = (low + high) / 2.0;
        let of_last = |whole: &Measured| whole.clone() * share;
        let blended = &(&pure + &of_last(&last_pure)) / &(&mass + &of_last(last.0));
        match demand.is_met(&blended) {
            true => low = share,
            false => high = share,
        }
    }
    low
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::measured::{Distribution, Sources};

    fn exact(pairs: &[(f64, f64)]) -> Vec<(Measured, Measured)> {
        let pair = |(mass, purity): &(f64, f64)| (Measured::exact(*mass), Measured::exact(*purity));
        pairs.iter().map(pair).collect()
    }

    fn borrowed(crops: &[(Measured, Measured)]) -> Vec<(&Measured, &Measured)> {
        crops.iter().map(|(mass, purity)| (mass, purity)).collect()
    }

    /// By the rule of mixing: 100 g at 0.99 carry 50 g at 0.97 down to (99 + 48.5)/150 = 0.98333.., and to 0.98 they carry
    /// x with 99 + 0.97 x = 0.98 (100 + x), so x = 100.
    #[test]
    fn as_much_goes_in_as_the_rule_of_mixing_allows() {
        let crops = exact(&[(400.0, 0.97), (100.0, 0.99)]);
        let shares = largest(&borrowed(&crops), Demand::new(0.98, 0.5)).expect("a blend");
        assert_relative_eq!(shares[0], 0.25, max_relative = 1e-9);
        assert_relative_eq!(shares[1], 1.0);
        assert_eq!(largest(&borrowed(&crops), Demand::new(0.995, 0.5)), None);
        let all = largest(&borrowed(&crops), Demand::new(0.97, 0.5));
        assert_eq!(all, Some(vec![1.0, 1.0]));
    }

    /// An error that all titres share is not averaged down by blending, so it takes away room; one of each titre is.
    #[test]
    fn a_shared_error_leaves_less_room_than_one_of_each_titre() {
        let room = |shared: bool| {
            let mut sources = Sources::default();
            let titrant = sources.add("titrant", Distribution::Normal, f64::INFINITY);
            let crops: Vec<(Measured, Measured)> = (0..20)
                .map(|at| {
                    let own = sources.add("titre", Distribution::Normal, f64::INFINITY);
                    let source = if shared { titrant } else { own };
                    let purity = if at % 2 == 0 { 0.990 } else { 0.979 };
                    (Measured::exact(10.0), Measured::new(purity, source, 0.002))
                })
                .collect();
            let shares = largest(&borrowed(&crops), Demand::new(0.982, 0.95)).expect("a blend");
            shares.iter().sum::<f64>()
        };
        assert!(
            room(true) < room(false) - 1.0,
            "{} {}",
            room(true),
            room(false)
        );
    }
}
