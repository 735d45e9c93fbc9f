//! What is excepted from the rules of sentences?
//!
//! In: nothing. Out: two lists of [`Allowed`], each entry with its reason.
//! This module never excepts what could be told by its type.

/// A folder or a file that may hold sentences, or one text that may be read, with the reason.
pub struct Allowed {
    /// The file, or a folder with a `/` at its end.
    pub path: &'static str,
    /// What the text begins with; empty for every text there.
    pub text: &'static str,
    /// Why.
    pub reason: &'static str,
}

const fn allowed(path: &'static str, text: &'static str, reason: &'static str) -> Allowed {
    Allowed { path, text, reason }
}

const FAULTS: &str = "all its sentences are messages and hints of faults";
const HINT: &str = "the hint of a fault, chosen before the fault is made";
const SOURCE: &str = "the name of a source of uncertainty, no sentence";

/// Where sentences may be written besides.
pub const SENTENCES_ALLOWED: [Allowed; 31] = [
    allowed("src/campaign/", "", FAULTS),
    allowed("src/sheets/", "", FAULTS),
    allowed("src/intake/", "", FAULTS),
    allowed("src/chemistry/formula.rs", "", FAULTS),
    allowed("src/chemistry/equation.rs", "", FAULTS),
    allowed("src/regression/asked/check.rs", "", FAULTS),
    allowed("src/regression/asked/scale.rs", "", FAULTS),
    allowed("src/pipeline/logit.rs", "", FAULTS),
    allowed("src/runs/columns.rs", "", FAULTS),
    allowed("src/entries/gaps.rs", "", FAULTS),
    allowed("src/runs/named_in_campaign.rs", "", FAULTS),
    allowed("src/runs/normalise.rs", "", FAULTS),
    allowed("src/runs/mismatched_entries.rs", "", FAULTS),
    allowed("src/runs/titration.rs", "", FAULTS),
    allowed("src/charts/region_chart.rs", "a region of a map has", HINT),
    allowed("src/decide/next/mod.rs", "no run was asked for: 0", HINT),
    allowed("src/decide/next/mod.rs", "more runs than can be", HINT),
    allowed(
        "src/charts/canvas.rs",
        "<svg xmlns",
        "the head of a picture, which nobody reads",
    ),
    allowed(
        "src/crystallisation/solubility_figures.rs",
        "CRC Handbook",
        "the source of a table, cited as it is called",
    ),
    allowed(
        "src/crystallisation/solubility_figures.rs",
        "points of the campaign file",
        "the source of a table, cited as it is called",
    ),
    allowed("src/runs/liquors.rs", "volume of liquor charged", SOURCE),
    allowed("src/runs/liquors.rs", "strength of liquor charged", SOURCE),
    allowed("src/runs/one_run.rs", "mass of residue charged", SOURCE),
    allowed("src/runs/residue.rs", "moisture of residue charged", SOURCE),
    allowed("src/runs/lots.rs", "assay of the feed", SOURCE),
    allowed("src/runs/lots.rs", "sampling of the bag", SOURCE),
    allowed("src/runs/residue.rs", "assay of residue charged", SOURCE),
    allowed("src/runs/titrants.rs", "purity of the standard", SOURCE),
    allowed(
        "src/runs/titrants.rs",
        "disagreement of standardisations",
        SOURCE,
    ),
    allowed("src/report/", "", "where sentences for people are made"),
    allowed("src/cli/", "", "where sentences for people are made"),
];

/// What may be read besides.
pub const READING_ALLOWED: [Allowed; 1] = [allowed(
    "src/report/next/terminal.rs",
    "lot",
    "the name of a column of the runs log, which only residuum gives",
)];
