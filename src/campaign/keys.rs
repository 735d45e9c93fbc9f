//! Keys of the campaign file: one declaration of what each holds, which the reader goes by and a schema can be printed from.
//!
//! In: nothing. Out: [`KEYS`], each a [`Key`].
//! This module never reads a value.

use crate::units::Dimension::{
    self, Concentration, Fraction, Mass, MassConcentration, Plain, Temperature, Time, Volume,
};
use KeyHolds::{
    Formula, List, Number, Path, Price, Quantity, Table, Text, Texts, Truth, Whole, Words,
};

/// What a key holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum KeyHolds {
    /// Any text.
    Text,
    /// A chemical formula.
    Formula,
    /// One path or glob, or a list of them.
    Path,
    /// One text, or a list of texts.
    Texts,
    /// A list of lists or tables.
    List,
    /// A finite number from the first to the second, ends included.
    Number(f64, f64),
    /// A whole number of at least so much.
    Whole(u32),
    /// True or false.
    Truth,
    /// One of these words.
    Words(&'static [&'static str]),
    /// A number with a unit of that dimension, as a text.
    Quantity(Dimension),
    /// A price per kg, h or run, as a text.
    Price(&'static str),
    /// A table with keys of its own.
    Table,
}

/// A key of the campaign file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// Its table, such as `model` or `factors.*`; `*` stands for names of the user's own.
    pub table: &'static str,
    /// Its name, `*` for any.
    pub name: &'static str,
    /// What it holds.
    pub holds: KeyHolds,
    /// Unit of its number where it has one without a word; `1` is a fraction.
    pub unit: &'static str,
    /// What counts where it is absent; of words that is the first where any counts.
    pub usual: Option<f64>,
    /// What it means, as the end of a sentence that begins with its name.
    pub meaning: &'static str,
}

macro_rules! keys {
    ($(in $table:literal { $($name:literal $holds:expr, $unit:literal, $usual:expr, $meaning:literal;)* })*) => {
        &[$($(Key {
            table: $table, name: $name, holds: $holds, unit: $unit, usual: $usual, meaning: $meaning,
        }),*),*]
    };
}

/// Least ratio, count or fraction that is told from zero; smaller ones are slips, and dividing by them ends badly.
pub(super) const ABOVE_ZERO: f64 = 1e-9;

/// Largest amount that anything is set to, whatever it counts; powers and products of such stay far from the end of binary64.
pub(super) const LARGEST: f64 = 1e12;

/// Cycles that are looked ahead where the campaign file does not say.
pub(super) const USUAL_CYCLES: u32 = 12;

/// Coverage of intervals where the campaign file states none.
pub(super) const USUAL_CONFIDENCE: f64 = 0.95;

const ANY: KeyHolds = Number(f64::MIN, f64::MAX);
const RATIO: KeyHolds = Number(ABOVE_ZERO, 1e3);
const BASES: KeyHolds = Words(&["as weighed", "dried"]);

/// All keys, table by table.
pub const KEYS: &[Key] = keys! {
    in "campaign" {
        "title" Text, "", None, "the title of the campaign";
        "product" Formula, "", None, "the formula of what is made";
        "followed" Text, "", None, "the symbol of the element whose balance is followed";
        "assay_as" Formula, "", None, "the formula that assays of feed and residue are stated as";
        "purity_spec" Number(0.0, 1.0), "1", None, "the least purity that the product must have";
        "purity_by" Words(&["assay", "difference"]), "", None, "whether a crop without an assay has a purity: what moisture and impurities leave of it";
    }
    in "logs" {
        "runs" Path, "", None, "the logs with one row a run";
        "lots" Path, "", None, "the logs with one row a lot of feed";
        "crops" Path, "", None, "the logs with one row a crop";
        "titres" Path, "", None, "the logs with one row a titre";
        "titrants" Path, "", None, "the logs with one row a titrant or a standardisation";
        "blanks" Path, "", None, "the logs with one row a titration without sample";
        "residues" Path, "", None, "the logs with one row a residue";
        "readings" Path, "", None, "the logs with one row a furnace reading";
        "separator" Text, "", None, "the character between cells; found where it is absent";
        "decimal" Words(&[".", ","]), "", None, "the decimal mark of the logs";
        "as_above" Texts, "", None, "the columns whose empty cells repeat the one above";
        "plus_minus" Words(&["standard", "k=2", "rectangular"]), "", None, "what stands behind ± in a cell";
        "dates" Words(&["d.m.y", "m.d.y", "y.m.d"]), "", None, "the order of dates of figures alone";
    }
    in "columns.*" {
        "*" Text, "", None, "the user's heading of a column; a table says more of it";
    }
    in "columns.*.*" {
        "heading" Text, "", None, "the user's heading, with or without its unit part";
        "unit" Text, "", None, "the unit of the column where the heading does not say it";
        "empty" Number(-1e6, 1e6), "", None, "what an empty cell means, in the unit of the column";
    }
    in "oxidant" {
        "formula" Formula, "", None, "the formula of the oxidant";
        "electrons" RATIO, "", None, "the electrons that one formula unit takes up";
        "needed" Number(0.0, 1e3), "", None, "the electrons that each followed atom charged gives";
        "assay" Number(ABOVE_ZERO, 1.0), "1", Some(1.0), "the mass fraction of the formula in what is charged";
        "impurities" Table, "", None, "columns of the lots log that use up oxidant too";
    }
    in "oxidant.impurities.*" {
        "formula" Formula, "", None, "the formula of the impurity";
        "electrons" RATIO, "", None, "the electrons that one formula unit gives";
    }
    in "factors.*" {
        "kind" Words(&["amount", "choice"]), "", None, "whether it is a number or has named levels";
        "column" Text, "", None, "its column of the runs log where that is not its name";
        "called" Text, "", None, "what prose and charts call it where that is not its name";
        "unit" Text, "", None, "the unit of an amount";
        "low" Number(-LARGEST, LARGEST), "", None, "the low end of the region in which settings may be recommended";
        "high" Number(-LARGEST, LARGEST), "", None, "the high end of that region";
        "same_within" Number(0.0, LARGEST), "", None, "how close amounts count as replicates";
        "baseline" Text, "", None, "the level that others are compared with; the first in byte order where it is absent";
        "levels" Texts, "", None, "the levels that further runs may have besides those logged";
        "ceiling" Table, "", None, "the largest fraction of theory that each level allows";
        "same_as" Table, "", None, "spellings of the log by the level that they mean";
        "stands_for" Words(&["route", "residue", "liquor"]), "", None, "that a choice is the recovery route, or an amount the residue or the mother liquor charged";
    }
    in "factors.*.ceiling" {
        "*" Number(ABOVE_ZERO, 1.0), "1", None, "the largest fraction of theory at that level";
    }
    in "factors.*.same_as" {
        "*" Texts, "", None, "the spellings that mean that level";
    }
    in "responses.*" {
        "column" Text, "", None, "its column of the runs log where that is not its name";
        "unit" Text, "", None, "its unit";
        "called" Text, "", None, "what prose and charts call it where that is not its name";
    }
    in "model" {
        "responses" Texts, "", None, "the responses, one model each; all where it is absent";
        "effects" Texts, "", None, "the factors that act each on its own";
        "joint" List, "", None, "the lists of factors that change each other's effect";
        "curved" Table, "", None, "the amounts with powers above the first";
        "blocks" Texts, "", None, "the blocks with a random effect";
        "method" Words(&["measured", "plain"]), "", None, "how models are fitted; `plain` is ordinary least squares";
        "scale" Table, "", None, "the scale that each response is fitted on";
        "constant" Truth, "", Some(1.0), "whether models have a constant";
        "candidates" List, "", None, "the further terms to be considered: names, joint lists, powers";
        "confidence" Number(0.5, 0.9999), "1", Some(USUAL_CONFIDENCE), "the coverage of all intervals";
    }
    in "model.curved" {
        "*" Whole(1), "", None, "the highest power of that amount";
    }
    in "model.scale" {
        "*" Words(&["plain", "logit"]), "", None, "the scale of that response";
    }
    in "uncertainty" {
        "feed_mass" Quantity(Mass), "g", None, "the uncertainty of a weighed feed";
        "residue_mass" Quantity(Mass), "g", None, "the uncertainty of a weighed residue";
        "oxidant_mass" Quantity(Mass), "g", None, "the uncertainty of weighed oxidant";
        "crop_mass" Quantity(Mass), "g", None, "the uncertainty of a weighed crop";
        "sample_mass" Quantity(Mass), "g", None, "the uncertainty of a weighed sample";
        "standard_mass" Quantity(Mass), "g", None, "the uncertainty of a weighed standard";
        "titre" Quantity(Volume), "mL", None, "the uncertainty of a reading and its end point";
        "blank" Quantity(Volume), "mL", None, "the uncertainty of a blank";
        "back_titre" Quantity(Volume), "mL", None, "the uncertainty of a back titre";
        "burette" Quantity(Volume), "mL", None, "the uncertainty of the calibration of a burette";
        "liquor_volume" Quantity(Volume), "mL", None, "the uncertainty of a volume of liquor";
        "liquor_conc" Quantity(MassConcentration), "g/L", None, "the uncertainty of the strength of a liquor";
        "concentration" Quantity(Concentration), "mol/L", None, "the uncertainty of a stated titrant";
        "assay" Quantity(Fraction), "1", None, "the uncertainty of the assay of a lot";
        "feed_assay" Quantity(Fraction), "1", None, "the uncertainty of the assay of one feed";
        "residue_assay" Quantity(Fraction), "1", None, "the uncertainty of the assay of a residue";
        "sampling" Quantity(Fraction), "1", None, "how much one sample of a bag differs from another";
        "purity" Quantity(Fraction), "1", None, "the uncertainty of a logged purity";
        "standard_purity" Quantity(Fraction), "1", None, "the uncertainty of the purity of a standard";
        "moisture" Quantity(Fraction), "1", None, "the uncertainty of a moisture";
        "drying_mass" Quantity(Mass), "g", None, "the uncertainty of each mass of a drying: `wet_mass`, `dry_mass`, `tare`";
        "ignition_mass" Quantity(Mass), "g", None, "the uncertainty of each mass of an ignition: `ignited_sample`, `ignited_mass`, `ignited_tare`";
        "impurity" Quantity(Fraction), "1", None, "the uncertainty of the content of an impurity of a crop";
        "aliquot" Quantity(Fraction), "1", None, "the uncertainty of an aliquot";
        "dilution" Quantity(Plain), "", None, "the uncertainty of a dilution";
        "temperature" Quantity(Temperature), "degC", None, "the uncertainty of a temperature";
        "labour" Quantity(Time), "min", None, "the uncertainty of logged labour";
        "shared" Texts, "", None, "the sources with one error for the whole campaign";
    }
    in "titration" {
        "analyte" Formula, "", None, "the formula of what is titrated";
        "ratio" RATIO, "", None, "the moles of analyte per mole of titrant";
        "assay_analyte" Formula, "", None, "the formula of what is titrated in feed and residue";
        "assay_ratio" RATIO, "", None, "the moles of that per mole of titrant";
        "titrant" Text, "", None, "the titrant of titres that name none";
        "back_ratio" RATIO, "", Some(1.0), "the moles of titrant that one mole of back titrant uses up";
        "repeatability" Number(0.0, 1.0), "1", None, "the relative standard deviation of one titration without replicates";
        "sample" BASES, "", None, "whether the titrated sample was the crop as weighed or freed of moisture";
        "residue_sample" BASES, "", None, "the same of residues; as `sample` where it is absent";
        "liquor_as" Formula, "", None, "the formula that strengths of mother liquors are stated as";
        "flask" Quantity(Volume), "mL", None, "the flask that aliquots were taken from";
        "aliquot" Quantity(Fraction), "1", None, "the part of each sample that was titrated, or its volume of the flask";
        "control" Table, "", None, "the reference material of the titres with `control` under `crop`";
        "correct_bias" Truth, "", Some(0.0), "whether purities are corrected by what the control sample was found at";
    }
    in "ignition" {
        "leaves" Formula, "", None, "the formula of what a crop leaves on ignition";
        "sample" BASES, "", None, "whether the ignited sample was the crop as weighed or freed of moisture";
    }
    in "titration.control" {
        "formula" Formula, "", None, "the formula that its purity is stated as";
        "purity" Number(ABOVE_ZERO, 1.0), "1", None, "its purity as stated";
        "u_purity" Number(0.0, 1.0), "1", None, "the standard uncertainty of that";
    }
    in "prices" {
        "currency" Text, "", None, "the currency of all prices";
        "feed" Price("kg"), "", None, "the price of feed";
        "oxidant" Price("kg"), "", None, "the price of oxidant";
        "product" Price("kg"), "", None, "the price of product when bought";
        "delivery" Price("order"), "", None, "the price of the delivery of an order of bought product, whatever its size";
        "labour" Price("h"), "", None, "the price of labour";
        "heat" Price("run"), "", None, "the price of heat, one for all or a table by a choice";
        "other" Table, "", None, "the prices of further reagents by their columns of the runs log";
        "residue_disposal" Price("kg"), "", None, "the price of getting rid of residue";
        "residue_handling" Quantity(Time), "min", None, "the time per run to handle residue, such as `6 min/run`";
    }
    in "prices.heat" {
        "*" Table, "", None, "the prices of heat by the levels of that choice";
    }
    in "prices.heat.*" {
        "*" Price("run"), "", None, "the price of heat at that level";
    }
    in "prices.other" {
        "*" Price("kg"), "", None, "the price of what stands in that column";
    }
    in "recycling" {
        "vessel_solids" Quantity(Mass), "g", None, "the most solids that one run can hold";
        "cycles" Whole(1), "", Some(USUAL_CYCLES as f64), "how many cycles are looked ahead";
        "bleed" Number(0.0, 1.0), "1", None, "the share of the residue thrown away each cycle; found where it is absent";
        "runs_a_month" Number(ABOVE_ZERO, 1e4), "1", None, "how many runs are made in a month, charged or not; by the dates of the log where it is absent";
        "value" Words(&["product", "feed", "runs"]), "", None, "whether extra product, fresh feed saved or runs not made are valued; extra product where it is absent, and the answer is then open where another way says the opposite";
        "handling" Words(&["logged", "extra"]), "", None, "whether the labour that charged runs log holds `residue_handling` already or it comes besides; where labour is logged of charged runs and nothing says so, both gains are shown";
        "attended" Texts, "", None, "the responses that are times and paid as labour, besides the labour that is logged";
        "off_spec" Price("kg"), "", None, "what becomes of product that misses the specification: `sold` like all other, `worthless`, sold at a price of its own, or a table of its rework; sold where it is absent";
    }
    in "recycling.off_spec" {
        "cost" Price("kg"), "", None, "the cost of recrystallising product off specification";
        "loss" Number(0.0, 1.0), "1", None, "the share of it that is lost by that, above 0";
    }
    in "solubility" {
        "product" Formula, "", None, "the salt as its solubility is stated";
        "points" Table, "", None, "own points by their temperature in degC";
        "density" Number(0.5, 5.0), "g/mL", None, "the density of the saturated liquor";
    }
    in "solubility.points" {
        "*" Number(0.0, 1e4), "g", None, "the anhydrous salt per 100 g of water at that temperature";
    }
    in "impurities.*" {
        "limit" Quantity(Fraction), "1", None, "the most of it that product may hold, such as `50 ppm`; followed without a limit where it is absent";
        "formula" Formula, "", None, "the compound that it is present as, where its content is stated of the element it is named after";
    }
    in "second.*" {
        "product" Formula, "", None, "the formula of what is made of a second valuable element, whose symbol the table is called by";
        "assay" Text, "", None, "the column of the logs of lots and residues with its mass fraction";
        "price" Price("kg"), "", None, "the price that its product brings";
    }
    in "routes.*" {
        "equation" Text, "", None, "its balanced equation, such as `3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O`";
        "ceiling" Number(ABOVE_ZERO, 1.0), "1", None, "the largest fraction of theory that it allows, where no equation says it";
        "end_volume" Quantity(Volume), "mL", None, "the mother liquor that a run leaves beside the crystals";
        "end_temperature" Quantity(Temperature), "degC", None, "the temperature at which that is filtered off";
        "reagents" Table, "", None, "the mass of each reagent that a run is charged with";
        "time" Quantity(Time), "min", None, "the time that a run takes";
    }
    in "routes.*.reagents" {
        "*" Quantity(Mass), "g", None, "the mass of that reagent in a run";
    }
    in "readings" {
        "above" Number(-273.15, 4000.0), "degC", None, "the temperature above which time counts as soaking";
    }
    in "shelf" {
        "lots" Texts, "", None, "the lots at hand for the next runs";
    }
    in "aim" {
        "maximise" Text, "", None, "the response that should be large; `yield` where nothing is named";
        "minimise" Text, "", None, "the response that should be small";
        "purity_chance" Number(0.5, 0.9999), "1", Some(0.9), "the chance that a new run must have of meeting the specification";
        "quantity" Quantity(Mass), "g", None, "how much product is to be made in all: what that takes with residue and without is told beside its gain";
        "sold" Words(&["together", "crop by crop"]), "", None, "whether the crops of a run meet the specification together or each by itself; together where it is absent";
        "margin" Table, "", None, "differences that do not matter in practice, by response";
    }
    in "aim.margin" {
        "yield" Number(0.0, 1.0), "1", None, "the difference of yields";
        "purity" Number(0.0, 1.0), "1", None, "the difference of purities";
        "*" Number(0.0, f64::MAX), "", None, "the difference of that response";
    }
    in "limits" {
        "never" List, "", None, "the combinations never to be proposed";
    }
    in "check" {
        "accept" Texts, "", None, "the entries that are right although unlikely, each by run and column";
    }
    in "drift" {
        "response" Text, "", None, "the response that is charted";
        "centre" ANY, "", None, "the known centre";
        "sd" Number(f64::MIN_POSITIVE, f64::MAX), "", None, "the known standard deviation";
        "lambda" Number(0.01, 1.0), "", Some(0.3), "the weight of the newest run in the weighted mean";
        "limits" Number(0.5, 10.0), "", Some(3.0), "the width of the limits in standard deviations";
        "baseline" Whole(2), "", None, "how many first runs are taken to be in control";
        "rules" Texts, "", None, "the patterns that are looked for besides points beyond the limits";
        "cusum" Table, "", None, "how cumulative sums are kept";
    }
    in "drift.cusum" {
        "reference" Number(0.01, 5.0), "", Some(0.5), "what each run may be off before it counts, in standard deviations";
        "decision" Number(0.1, 100.0), "", Some(5.0), "the sum from which on the chart flags, in standard deviations";
    }
    in "hazards" {
        "present" Texts, "", None, "the reagents whose cautions open each report";
    }
};

/// The declaration of a key in a table, by its name or as any.
pub(super) fn declared(table: &str, name: &str) -> Option<&'static Key> {
    let keys = || KEYS.iter().filter(|key| key.table == table);
    let named = keys().find(|key| key.name == name);
    named.or_else(|| keys().find(|key| key.name == "*"))
}

/// Whether a key of a table is declared, or is a table with keys that are; all tables at the top are.
pub(super) fn is_declared(table: &str, name: &str) -> bool {
    table.is_empty() || declared(table, name).is_some() || is_table(&inside(table, name))
}

fn is_table(path: &str) -> bool {
    let is_in_it = |rest: &str| rest.is_empty() || rest.starts_with('.');
    let mut behind = KEYS.iter().filter_map(|key| key.table.strip_prefix(path));
    behind.any(is_in_it)
}

/// The path of a table inside another one, as keys are declared: `*` for a name of the user's own.
pub(super) fn inside(table: &str, name: &str) -> String {
    let path = |name: &str| format!("{table}.{name}");
    match table {
        "" => name.to_string(),
        _ if is_table(&path(name)) => path(name),
        _ => path("*"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::campaign::{FileText, readable};

    #[test]
    fn every_key_that_is_declared_is_asked_for() {
        for key in KEYS {
            let table = key.table.replace("columns.*", "columns.runs");
            let [table, name] = [table.as_str(), key.name].map(|path| path.replace('*', "own"));
            let file = FileText {
                file: "campaign.toml".into(),
                text: format!(
                    "[{table}]\n{name} = {}\n",
                    if key.holds == Table { "{}" } else { "1" }
                ),
            };
            for fault in readable(&file).faults {
                let message = fault.message();
                assert!(!message.starts_with("unknown key"), "{table}: {message}");
            }
        }
    }

    #[test]
    fn every_key_is_declared_once() {
        for (position, key) in KEYS.iter().enumerate() {
            let same = |other: &Key| (other.table, other.name) == (key.table, key.name);
            assert_eq!(KEYS.iter().position(same), Some(position), "{key:?}");
        }
    }
}
