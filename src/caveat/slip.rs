//! Slips: entries that cannot be right or hardly are, each with what was likely meant.
//!
//! In: an entry with its place, and what speaks against it. Out: [`Slip`] and its parts.
//! This module never judges an entry, never corrects one and never says it in words.

use crate::error::Place;

/// How far an entry can be trusted, from the mildest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// It looks odd: a doubt beside the figure.
    Odd,
    /// It is hardly right: it stays in, and an answer must hold without it.
    Unlikely,
    /// It cannot be right: it is withheld with what uses it.
    Impossible,
}

/// An entry that cannot be right, or hardly is.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// Where it stands.
    pub place: Place,
    /// Its column, by the name of the design or of the user's own.
    pub column: String,
    /// What stands there, numbers in the base unit of the column.
    pub value: String,
    /// The run that it belongs to.
    pub run: Option<String>,
    /// How far it can be trusted.
    pub weight: Weight,
    /// What speaks against it.
    pub against: Against,
    /// What was likely meant.
    pub likely: Option<Likely>,
    /// What is withheld with it where it cannot be right; `None` where nothing rests on it alone.
    pub part: Option<Part>,
    /// Whether `[check] accept` names it, so that it is listed and no more.
    pub accepted: bool,
}

impl Slip {
    /// An entry and what speaks against it: it looks odd, belongs to no run in particular, and nothing is withheld with it.
    pub fn new(
        place: &Place,
        column: impl Into<String>,
        value: impl ToString,
        against: Against,
    ) -> Self {
        Self {
            place: place.clone(),
            column: column.into(),
            value: value.to_string(),
            run: None,
            weight: Weight::Odd,
            against,
            likely: None,
            part: None,
            accepted: false,
        }
    }

    /// The same entry as one of a run.
    pub fn of_run(mut self, run: &str) -> Self {
        self.run = Some(run.to_string());
        self
    }

    /// The same entry, trusted so far.
    pub fn trusted(mut self, weight: Weight) -> Self {
        self.weight = weight;
        self
    }

    /// The same entry with what was likely meant.
    pub fn likely(mut self, likely: Option<Likely>) -> Self {
        self.likely = likely;
        self
    }
}

/// A part of what was logged of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Fresh feed, and with it every yield.
    Feed,
    /// Its assay.
    FeedAssay,
    /// Oxidant.
    Oxidant,
    /// Residue charged.
    Charged,
    /// Mother liquor charged.
    LiquorIn,
    /// Labour.
    Labour,
    /// The mother liquor left.
    Liquor,
    /// The mass of one crop.
    Crop(u32),
    /// The masses of all crops.
    Crops,
    /// The purity of the whole product.
    Purity,
    /// The purity of one crop.
    PurityOf(u32),
    /// Mass of the residue taken out.
    Residue,
    /// Its assay.
    ResidueAssay,
    /// The balance alone.
    Balance,
}

impl Part {
    /// Unit of its entry; empty where it has several.
    pub fn unit(self) -> &'static str {
        match self {
            Part::Feed | Part::Oxidant | Part::Charged | Part::Crop(_) | Part::Residue => "g",
            Part::Labour => "min",
            _ => "",
        }
    }

    /// Whether a yield rests on it.
    pub fn is_of_a_yield(self) -> bool {
        !matches!(
            self,
            Part::Oxidant
                | Part::Labour
                | Part::Liquor
                | Part::Residue
                | Part::ResidueAssay
                | Part::Balance
        )
    }
}

/// What speaks against an entry.
#[derive(Debug, Clone, PartialEq)]
pub enum Against {
    /// Such entries lie elsewhere.
    Others {
        /// Lower end of where most of them lie.
        low: f64,
        /// Upper end.
        high: f64,
        /// Their unit.
        unit: &'static str,
        /// Which of them are like it, where these are not all.
        like: Option<String>,
    },
    /// It makes a result lie beyond what can be \[fraction\], of theory, of the ceiling or of the charge.
    Beyond {
        /// The result.
        what: ResultOf,
        /// Its value \[fraction\].
        value: f64,
        /// Half the width of its interval \[fraction\].
        half_width: f64,
    },
    /// It makes a result lie far from those of the other runs \[fraction\].
    ResultOfOthers {
        /// The result.
        what: ResultOf,
        /// Its value.
        value: f64,
        /// Lower end of where most of the others lie.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Its titration finds so many times what the others find.
    Titration {
        /// How many times the middle.
        times: f64,
        /// Lower end of where most lie, of the middle.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Its uncertainty is stated as so large a part of it.
    Uncertain {
        /// Standard uncertainty over the value.
        part: f64,
    },
    /// The price of another lot, or of the campaign file, is so many times this one.
    Price {
        /// The other price over this.
        times: f64,
    },
    /// Results of all runs that share it are off, and of no others.
    OfAllThatShare {
        /// How many runs.
        runs: usize,
        /// What is off.
        what: ResultOf,
    },
    /// Most entries of its column have the same against them.
    OfMany {
        /// How many.
        entries: usize,
        /// What speaks against the first.
        first: Box<Against>,
    },
    /// It lies beyond what such a reading can be.
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Unit.
        unit: &'static str,
    },
    /// It lies beyond the declared range of its factor.
    DeclaredRange {
        /// Lower end, where one is declared.
        low: Option<f64>,
        /// Upper end, where one is declared.
        high: Option<f64>,
        /// Unit.
        unit: String,
    },
    /// It is empty where the others are not, and counts as something.
    Empty {
        /// What it counts as; `None` where it counts as nothing known.
        counts_as: Option<f64>,
        /// How many others are filled.
        filled: usize,
    },
    /// More residue was taken of a run in all than it left \[g\].
    MoreTaken {
        /// The run that it came from.
        from: String,
        /// What that left.
        left: f64,
        /// What all runs took of it.
        taken: f64,
    },
    /// More mother liquor was taken of a run in all than it left \[mL\].
    MoreLiquorTaken {
        /// The run that it came from.
        from: String,
        /// What that left.
        left: f64,
        /// What all runs took of it.
        taken: f64,
    },
    /// What it charged comes from a run that was made later.
    FromLater {
        /// That run.
        from: String,
    },
    /// Its residue goes round in a circle.
    Circle,
    /// The residue is heavier than all that its run was charged with.
    HeavierThanCharge {
        /// Feed and residue charged \[g\].
        charged: f64,
    },
    /// It is out of line with its neighbours, and in line with those of another column.
    Exchanged,
    /// Its date lies far from all others \[days\].
    FarDate {
        /// From the nearest other.
        days: i32,
    },
    /// Its date is out of order with the names of the runs.
    OutOfOrder {
        /// The run beside it in the log.
        beside: String,
    },
    /// A titrant is dated after a run that used it.
    AfterItsRuns {
        /// The first such run.
        run: String,
    },
    /// The time goes back, or stands twice.
    TimeGoesBack,
}

/// A result that speaks against an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ResultOf {
    /// Yield over theory, or over the ceiling of the route.
    Yield,
    /// Purity of a crop.
    Purity,
    /// What came out over what went in.
    Closure,
}

/// What was likely meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Likely {
    /// The slip.
    pub how: SlipOf,
    /// What would be in line with the others, in the base unit or as text; `None` where that is not told.
    pub would_be: Option<WouldBe>,
}

/// What would be in line.
#[derive(Debug, Clone, PartialEq)]
pub enum WouldBe {
    /// A number with its unit.
    Number(f64, &'static str),
    /// A date or a name.
    Text(String),
}

impl Likely {
    /// A slip with the number that would be in line.
    pub fn number(how: SlipOf, number: f64, unit: &'static str) -> Self {
        Self {
            how,
            would_be: Some(WouldBe::Number(number, unit)),
        }
    }

    /// A slip with the text that would be in line.
    pub fn named(how: SlipOf, text: Option<String>) -> Self {
        Self {
            how,
            would_be: text.map(WouldBe::Text),
        }
    }
}

/// The factors in which people slip.
#[derive(Debug, Clone, PartialEq)]
pub enum SlipOf {
    /// A decimal point lost or misplaced.
    DecimalPoint,
    /// Grams and kilograms.
    Kilograms,
    /// Litres and millilitres.
    Litres,
    /// Hours and minutes.
    Hours,
    /// Per cent and fraction.
    PerCent,
    /// Kelvin and degrees Celsius.
    Kelvin,
    /// Millimoles and moles per litre.
    Millimoles,
    /// An aliquot of the sample was titrated.
    Aliquot,
    /// The sample was diluted.
    Dilution,
    /// Moles of analyte and of titrant the other way round.
    Ratio,
    /// Moles of titrant per mole of standard were left out.
    StandardRatio {
        /// Such as are usual.
        ratio: f64,
    },
    /// Stated as one formula and reckoned as another.
    Formula {
        /// As it is reckoned.
        reckoned: String,
        /// As it was likely stated.
        stated: String,
    },
    /// Strengths of mother liquors stated in another formula than the product.
    LiquorFormula {
        /// As they were likely stated.
        stated: String,
    },
    /// Zero written for what was not measured.
    ZeroForUnknown,
    /// Two entries exchanged.
    Swapped {
        /// The other.
        with: String,
    },
    /// Day and month exchanged.
    DayAndMonth,
    /// Another year.
    Year,
}
