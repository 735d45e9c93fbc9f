//! The gain of a run by the residue that is charged into it, term by term.
//!
//! In: the [`Figures`] of a charge: yields, contents, prices. Out: the gain, term by term.
//! This module never knows how uncertain a figure is, and never asks a model.
//!
//! A run at ratio `r` g residue per g fresh feed is held against one without residue, of `m` g fresh feed. With `y` the
//! contained yield on the total basis, `t` grams of product per gram that feed (f) and residue (r) can give, `s` the share of
//! product that is worth something, and `m'` the fresh feed of the charged run:
//!
//! ```text
//! C₁ = s₁ y₁ m' (t_f + r t_r)            C₀ = s₀ y₀ m t_f
//! gain = (C₁ − C₀) p_product + (m − m') p_feed − extra oxidant − extra reagents − (extra labour + handling) · p_labour
//!        + p_disposal (r m' − extra residue out) + extra worth of second products
//! ```
//!
//! A share `g` of the product that meets the specification and a gram of the rest that counts as `k` grams of such product and
//! brings `b` besides make `s = g + (1 − g) k`, and add `b` times what is off specification to the worth of the product; for
//! equal product that is `s = g + (1 − g) (k + b / p_product)`, product of equal worth.
//!
//! For extra product `m' = m`; for fresh feed saved `m'` is such that `C₁ = C₀`. Heat is paid by the run, so a charged run
//! costs no more of it; of the labour of the run itself counts what charged runs log more than others. For runs not made `m' = m`, the same quantity needs
//! `C₀ / C₁` of the runs, and in place of the worth of product and feed stands `c₀ (C₁ / C₀ − 1)`, with `c₀` the cost of a
//! run without residue: feed, oxidant, reagents, heat, labour and disposal, less what its second products bring.

pub use super::figures::{Figure, Figures};
use crate::campaign::RecyclingValue;

/// What is carried on from earlier runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carried {
    /// Residue: solid, oxidised once more, and got rid of where it is not charged.
    Residue,
    /// Mother liquor: its content is product already.
    Liquor,
}

/// What is fixed about a charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charged {
    /// What is charged beside the feed.
    pub carried: Carried,
    /// That per fresh feed [g/g, mL/g of liquor].
    pub ratio: f64,
    /// Fresh feed of a run without residue \[g\].
    pub feed_mass: f64,
    /// Oxidant that a gram of product in the charge takes [g/g].
    pub oxidant_per_content: f64,
    /// Share of product off specification that counts as product that meets it.
    pub off_spec_kept: f64,
    /// What is valued.
    pub value: RecyclingValue,
}

/// A gain with its terms [currency per charged run].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// Fresh feed of the charged run \[g\].
    pub feed_mass: f64,
    /// Product gained that is worth something \[g\].
    pub extra_product: f64,
    /// Its worth.
    pub product: f64,
    /// Worth of the fresh feed saved.
    pub feed: f64,
    /// Cost of the runs not made.
    pub runs: f64,
    /// Extra oxidant, as a loss.
    pub oxidant: f64,
    /// Extra further reagents, as a loss.
    pub reagents: f64,
    /// Extra labour of the run itself, as a loss.
    pub labour: f64,
    /// Handling, as a loss.
    pub handling: f64,
    /// Disposal saved, or caused where it is negative.
    pub disposal: f64,
    /// What second products bring more.
    pub second: f64,
    /// Product of a run without residue that is worth something \[g\].
    pub product_without: f64,
    /// Cost of that run.
    pub cost_without: f64,
}

impl Gain {
    /// The sum of all terms.
    pub fn total(&self) -> f64 {
        self.product
            + self.feed
            + self.runs
            + self.oxidant
            + self.reagents
            + self.labour
            + self.handling
            + self.disposal
            + self.second
    }
}

/// The gain of one charged run.
pub fn gain(figures: &Figures, charged: &Charged) -> Gain {
    let of = |figure| figures.get(figure);
    let (before, ratio) = (charged.feed_mass, charged.ratio);
    let content_without = before * of(Figure::FeedContent);
    let per_feed = of(Figure::FeedContent) + ratio * of(Figure::ResidueContent);
    let off_price = of(Figure::OffSpecPrice);
    let off_spec = match charged.value {
        RecyclingValue::Feed | RecyclingValue::Runs if off_price != 0.0 => {
            charged.off_spec_kept + off_price / of(Figure::ProductPrice)
        }
        _ => charged.off_spec_kept,
    };
    let usable = |share: f64| share + (1.0 - share) * off_spec;
    let made = [
        of(Figure::YieldWith) * per_feed,
        of(Figure::YieldWithout) * content_without,
    ];
    let on_spec = [Figure::WorthWith, Figure::WorthWithout].map(of);
    let product_without = usable(on_spec[1]) * made[1];
    let per_feed_product = usable(on_spec[0]) * made[0];
    let feed_mass = match charged.value {
        RecyclingValue::Product | RecyclingValue::Runs => before,
        RecyclingValue::Feed => product_without / per_feed_product,
    };
    let extra_product = match charged.value {
        RecyclingValue::Product | RecyclingValue::Runs => {
            feed_mass * per_feed_product - product_without
        }
        RecyclingValue::Feed => 0.0,
    };
    let (oxidised, spared) = match charged.carried {
        Carried::Residue => (per_feed, ratio * feed_mass),
        Carried::Liquor => (of(Figure::FeedContent), 0.0),
    };
    let oxidant = charged.oxidant_per_content * (feed_mass * oxidised - content_without);
    let reagents = feed_mass * (of(Figure::ReagentsWithout) + of(Figure::ReagentsExtra))
        - before * of(Figure::ReagentsWithout);
    let out = feed_mass * (of(Figure::ResidueOutWithout) + of(Figure::ResidueOutExtra))
        - before * of(Figure::ResidueOutWithout);
    let second = feed_mass * (of(Figure::SecondWithout) + of(Figure::SecondExtra))
        - before * of(Figure::SecondWithout);
    let is_runs = charged.value == RecyclingValue::Runs;
    let run = before * (of(Figure::FeedPrice) + of(Figure::ReagentsWithout))
        + charged.oxidant_per_content * content_without * of(Figure::OxidantPrice)
        + of(Figure::RunHeat)
        + of(Figure::RunLabour) * of(Figure::LabourPrice)
        + of(Figure::DisposalPrice) * before * of(Figure::ResidueOutWithout)
        - before * of(Figure::SecondWithout);
    let [product, runs] = match is_runs {
        true => [0.0, run * extra_product / product_without],
        false => [
            extra_product * of(Figure::ProductPrice)
                + off_price
                    * (feed_mass * made[0] * (1.0 - on_spec[0]) - made[1] * (1.0 - on_spec[1])),
            0.0,
        ],
    };
    Gain {
        feed_mass,
        extra_product,
        product,
        runs,
        feed: (before - feed_mass) * of(Figure::FeedPrice),
        oxidant: -oxidant * of(Figure::OxidantPrice),
        reagents: -reagents,
        labour: -of(Figure::LabourExtra) * of(Figure::LabourPrice),
        handling: -of(Figure::HandlingMinutes) * of(Figure::LabourPrice),
        disposal: of(Figure::DisposalPrice) * (spared - out),
        second,
        product_without,
        cost_without: run,
    }
}

/// What a charged run gives more, for the same fresh feed \[g\].
pub(super) fn extra_product(figures: &Figures, charged: &Charged) -> f64 {
    let product = Charged {
        value: RecyclingValue::Product,
        ..*charged
    };
    gain(figures, &product).extra_product
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A few roundings of sums of this size.
    const ROUNDING: f64 = 1e-9;

    fn figures() -> Figures {
        Figures::from(|figure| match figure {
            Figure::YieldWith => 0.60,
            Figure::YieldWithout => 0.65,
            Figure::FeedContent => 2.0,
            Figure::ResidueContent => 1.0,
            Figure::ProductPrice => 0.02,
            Figure::FeedPrice => 0.004,
            Figure::OxidantPrice => 0.003,
            Figure::LabourPrice => 0.4,
            Figure::DisposalPrice => 0.001,
            Figure::OffSpecPrice => 0.0,
            Figure::HandlingMinutes => 5.0,
            Figure::ReagentsWithout => 0.001,
            Figure::ReagentsExtra => 0.0002,
            Figure::ResidueOutWithout => 0.25,
            Figure::ResidueOutExtra => 0.1,
            Figure::WorthWith | Figure::WorthWithout => 1.0,
            Figure::RunLabour => 30.0,
            Figure::LabourExtra => 0.0,
            Figure::RunHeat => 3.0,
            Figure::SecondWithout | Figure::SecondExtra => 0.0,
        })
    }

    fn charged(value: RecyclingValue) -> Charged {
        Charged {
            carried: Carried::Residue,
            ratio: 0.4,
            feed_mass: 500.0,
            oxidant_per_content: 0.1,
            off_spec_kept: 1.0,
            value,
        }
    }

    #[test]
    fn extra_product_is_counted_against_what_it_takes() {
        // By hand: C1 = 0.60 * 500 * 2.4 = 720 g, C0 = 0.65 * 1000 = 650 g, so 70 g at 0.02.
        let found = gain(&figures(), &charged(RecyclingValue::Product));
        assert!((found.extra_product - 70.0).abs() < ROUNDING);
        assert!((found.product - 1.4).abs() < ROUNDING);
        // 0.1 g oxidant per g on 200 g more content; 0.0002 on 500 g; 5 min; 200 g charged, 50 g more come out.
        assert!((found.oxidant + 0.06).abs() < ROUNDING);
        assert!((found.reagents + 0.1).abs() < ROUNDING);
        assert!((found.handling + 2.0).abs() < ROUNDING);
        assert!((found.disposal - 0.15).abs() < ROUNDING);
        assert!((found.total() - (1.4 - 0.06 - 0.1 - 2.0 + 0.15)).abs() < ROUNDING);
        assert_eq!(found.feed, 0.0);
    }

    #[test]
    fn product_off_specification_brings_its_price_or_what_rework_leaves() {
        let chances = figures()
            .with(Figure::WorthWith, 0.7)
            .with(Figure::WorthWithout, 0.9);
        let of = |kept: f64, price: f64, value| {
            let charged = Charged {
                off_spec_kept: kept,
                ..charged(value)
            };
            gain(&chances.with(Figure::OffSpecPrice, price), &charged)
        };
        // By hand: 720 g and 650 g, of which 504 and 585 meet it: 216 and 65 do not, 151 g more.
        let product = |kept, price| of(kept, price, RecyclingValue::Product).product;
        assert!((product(0.0, 0.0) + 81.0 * 0.02).abs() < ROUNDING);
        assert!((product(0.0, 0.012) - (-81.0 * 0.02 + 151.0 * 0.012)).abs() < ROUNDING);
        assert!((product(1.0, 0.0) - 70.0 * 0.02).abs() < ROUNDING);
        // Rework at 0.003 a gram with a loss of 0.04 keeps 144.96 g of these.
        let rework = (-81.0 + 144.96) * 0.02 - 151.0 * 0.003;
        assert!((product(0.96, -0.003) - rework).abs() < ROUNDING);
        // For equal product at 0.012: 504 + 216 · 0.6 = 633.6 and 585 + 65 · 0.6 = 624.
        let feed = of(0.0, 0.012, RecyclingValue::Feed).feed_mass;
        assert!((feed - 500.0 * 624.0 / 633.6).abs() < ROUNDING);
        let runs = of(0.0, 0.012, RecyclingValue::Runs).runs;
        assert!((runs - 17.925 * 9.6 / 624.0).abs() < ROUNDING);
    }

    #[test]
    fn labour_that_charged_runs_log_more_is_paid_in_each_way() {
        // By hand: 3 min at 0.4.
        for way in RecyclingValue::ALL {
            let more = figures().with(Figure::LabourExtra, 3.0);
            let [before, after] = [figures(), more].map(|of| gain(&of, &charged(way)));
            assert!((after.labour + 1.2).abs() < ROUNDING);
            assert!((before.total() - after.total() - 1.2).abs() < ROUNDING);
        }
    }

    #[test]
    fn second_products_count_in_each_way() {
        let more = figures()
            .with(Figure::SecondWithout, 0.004)
            .with(Figure::SecondExtra, 0.001);
        let change = |way| {
            let [before, after] = [figures(), more].map(|of| gain(&of, &charged(way)).total());
            after - before
        };
        // By hand: 500 g at 0.001 more each; of 451.389 g at 0.005 less 500 g at 0.004; a run not made brings 2 less in 7 of 65.
        assert!((change(RecyclingValue::Product) - 0.5).abs() < ROUNDING);
        let feed = 650.0 / 1.44 * 0.005 - 2.0;
        assert!((change(RecyclingValue::Feed) - feed).abs() < ROUNDING);
        let runs = 0.5 - 2.0 * 7.0 / 65.0;
        assert!((change(RecyclingValue::Runs) - runs).abs() < ROUNDING);
    }

    #[test]
    fn saved_feed_is_what_equal_product_does_not_need() {
        // By hand: m' = 650 / (0.60 * 2.4) = 451.389 g, so 48.611 g at 0.004; the content falls and rises to 1083.33 g.
        let found = gain(&figures(), &charged(RecyclingValue::Feed));
        assert!((found.feed_mass - 650.0 / 1.44).abs() < ROUNDING);
        assert!((found.feed - (500.0 - 650.0 / 1.44) * 0.004).abs() < ROUNDING);
        assert!((found.oxidant + 0.003 * 0.1 * (2.4 * 650.0 / 1.44 - 1000.0)).abs() < ROUNDING);
        assert_eq!(found.product, 0.0);
    }

    #[test]
    fn runs_not_made_save_all_that_they_cost() {
        // By hand: 720 / 650 - 1 = 7 / 65 of a run of 500 * (0.004 + 0.001) + 0.1 * 1000 * 0.003 + 3 + 30 * 0.4
        // + 0.001 * 500 * 0.25 = 17.925, and what a charged run takes more, as for extra product.
        let found = gain(&figures(), &charged(RecyclingValue::Runs));
        assert!((found.runs - 17.925 * 7.0 / 65.0).abs() < ROUNDING);
        let total = 17.925 * 7.0 / 65.0 - 0.06 - 0.1 - 2.0 + 0.15;
        assert!((found.total() - total).abs() < ROUNDING);
        assert_eq!((found.product, found.feed), (0.0, 0.0));
    }

    #[test]
    fn without_residue_nothing_is_gained_but_handling_is_paid() {
        let nothing = Charged {
            ratio: 0.0,
            ..charged(RecyclingValue::Product)
        };
        let same = figures()
            .with(Figure::YieldWith, 0.65)
            .with(Figure::ReagentsExtra, 0.0)
            .with(Figure::ResidueOutExtra, 0.0);
        assert!((gain(&same, &nothing).total() + 2.0).abs() < ROUNDING);
    }
}
