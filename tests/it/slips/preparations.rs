//! Three preparations: what is made of what, how it is titrated, and what its routes give.
//!
//! In: nothing. Out: [`PREPARATIONS`].
//! This module never draws a number.
//!
//! Molar masses are sums of the abridged standard atomic weights of 2021; titrations, yields and solubilities are common
//! practice, no source.

/// One way to recover the product.
#[derive(Debug, Clone, Copy)]
pub struct Route {
    pub name: &'static str,
    /// Largest fraction of theory that it allows.
    pub ceiling: f64,
    /// Yield before anything is varied [fraction of theory].
    pub yields: f64,
    /// Purity of the first crop [mass fraction].
    pub purity: f64,
    /// Share of the product in the second crop; 0 for one crop.
    pub second_crop: f64,
    /// Product in the mother liquor left [g/L].
    pub liquor: f64,
    /// Work [min].
    pub labour: f64,
}

/// A further setting of the preparation, logged in a column of its own.
#[derive(Debug, Clone, Copy)]
pub struct Setting {
    pub name: &'static str,
    pub unit: &'static str,
    pub low: f64,
    pub high: f64,
    /// Change of yield from its lower to its upper end \[fraction\].
    pub effect: f64,
}

/// How a sample is titrated.
#[derive(Debug, Clone, Copy)]
pub struct Titration {
    pub titrant: &'static str,
    /// Strength of the usual titrant [mol/L].
    pub strength: f64,
    /// Moles of product per mole of titrant, as the campaign file has it and as a number.
    pub ratio: (&'static str, f64),
    /// Part of the dissolved sample that is titrated; `None` where the whole sample is.
    pub aliquot: Option<f64>,
    /// Titrant run in before the rest of it is titrated back \[mL\]; `None` where the sample is titrated directly.
    pub excess: Option<f64>,
    pub standard: &'static str,
    /// Molar mass of the standard [g/mol].
    pub standard_mass: f64,
    /// Moles of titrant per mole of standard.
    pub standard_ratio: f64,
    /// Part of the dissolved standard that is titrated.
    pub standard_aliquot: f64,
}

/// One preparation.
#[derive(Debug, Clone, Copy)]
pub struct Preparation {
    pub title: &'static str,
    pub product: &'static str,
    pub followed: &'static str,
    pub assay_as: &'static str,
    /// Mass of product and of feed that hold one mole of the followed element \[g\].
    pub product_mass: f64,
    pub feed_mass: f64,
    /// The usual charge of fresh feed \[g\].
    pub charge: f64,
    /// Assay of the feed, about [mass fraction].
    pub assay: f64,
    pub routes: &'static [Route],
    pub setting: Setting,
    /// Whether hydrogen peroxide is charged, so that `oxidant_excess` is a factor.
    pub oxidised: bool,
    pub titration: Titration,
}

const THIOSULFATE: Titration = Titration {
    titrant: "Na2S2O3",
    strength: 0.1,
    ratio: ("1.0", 1.0),
    aliquot: None,
    excess: None,
    standard: "KIO3",
    standard_mass: 214.0,
    standard_ratio: 6.0,
    standard_aliquot: 0.2,
};

const COPPER: Preparation = Preparation {
    title: "Bluestone from scale",
    product: "CuSO4·5H2O",
    followed: "Cu",
    assay_as: "CuO",
    product_mass: 249.68,
    feed_mass: 79.545,
    charge: 400.0,
    assay: 0.83,
    routes: &[
        Route {
            name: "chill",
            ceiling: 1.0,
            yields: 0.62,
            purity: 0.988,
            second_crop: 0.0,
            liquor: 190.0,
            labour: 55.0,
        },
        Route {
            name: "boildown",
            ceiling: 1.0,
            yields: 0.76,
            purity: 0.984,
            second_crop: 0.16,
            liquor: 230.0,
            labour: 85.0,
        },
        Route {
            name: "spirit",
            ceiling: 1.0,
            yields: 0.7,
            purity: 0.99,
            second_crop: 0.0,
            liquor: 70.0,
            labour: 70.0,
        },
    ],
    setting: Setting {
        name: "roast",
        unit: "degC",
        low: 450.0,
        high: 700.0,
        effect: 0.03,
    },
    oxidised: true,
    titration: THIOSULFATE,
};

const IODATE: Preparation = Preparation {
    title: "Iodate from iodine",
    product: "KIO3",
    followed: "I",
    assay_as: "I2",
    product_mass: 214.0,
    feed_mass: 126.9,
    charge: 50.0,
    assay: 0.965,
    routes: &[
        Route {
            name: "chlorate",
            ceiling: 1.0,
            yields: 0.8,
            purity: 0.989,
            second_crop: 0.1,
            liquor: 38.0,
            labour: 105.0,
        },
        Route {
            name: "peroxide",
            ceiling: 1.0,
            yields: 0.56,
            purity: 0.992,
            second_crop: 0.0,
            liquor: 34.0,
            labour: 75.0,
        },
        Route {
            name: "lye",
            ceiling: 1.0 / 6.0,
            yields: 0.13,
            purity: 0.991,
            second_crop: 0.0,
            liquor: 30.0,
            labour: 60.0,
        },
    ],
    setting: Setting {
        name: "bath",
        unit: "degC",
        low: 50.0,
        high: 90.0,
        effect: 0.05,
    },
    oxidised: false,
    titration: Titration {
        ratio: ("0.16666666666666666", 1.0 / 6.0),
        aliquot: Some(0.1),
        standard: "K2Cr2O7",
        standard_mass: 294.18,
        ..THIOSULFATE
    },
};

const NICKEL: Preparation = Preparation {
    title: "Nickel sulfate from oxide",
    product: "NiSO4·6H2O",
    followed: "Ni",
    assay_as: "NiO",
    product_mass: 262.84,
    feed_mass: 74.692,
    charge: 120.0,
    assay: 0.92,
    routes: &[
        Route {
            name: "cooled",
            ceiling: 1.0,
            yields: 0.66,
            purity: 0.987,
            second_crop: 0.0,
            liquor: 330.0,
            labour: 60.0,
        },
        Route {
            name: "evaporated",
            ceiling: 1.0,
            yields: 0.84,
            purity: 0.983,
            second_crop: 0.22,
            liquor: 390.0,
            labour: 95.0,
        },
    ],
    setting: Setting {
        name: "acid_excess",
        unit: "%",
        low: 5.0,
        high: 60.0,
        effect: 0.04,
    },
    oxidised: false,
    titration: Titration {
        titrant: "C10H16N2O8",
        strength: 0.05,
        ratio: ("1.0", 1.0),
        aliquot: Some(0.1),
        excess: Some(40.0),
        standard: "Zn",
        standard_mass: 65.38,
        standard_ratio: 1.0,
        standard_aliquot: 0.1,
    },
};

/// The preparations of the simulated campaigns.
pub const PREPARATIONS: [&Preparation; 3] = [&COPPER, &IODATE, &NICKEL];
