//! The campaign file of a planned campaign.
//!
//! In: a plan and what its bench states. Out: the text of `campaign.toml`.
//! This module never draws a number.

use std::fmt::Write as _;

use super::plans::{Plan, Style};

/// Standard uncertainties of the bench, which are true.
#[derive(Debug, Clone, Copy)]
pub struct Errors {
    /// Of a weighed charge or residue \[g\].
    pub charge: f64,
    /// Of a weighed crop \[g\].
    pub crop: f64,
    /// Of a weighed sample \[g\].
    pub sample: f64,
    /// Of reading and end point \[mL\].
    pub titre: f64,
    pub blank: f64,
    /// Of the burette, one for the campaign \[mL\].
    pub burette: f64,
    /// Of the assay of a lot, of a bag at one place, of a residue [mass fraction].
    pub assay: f64,
    pub sampling: f64,
    pub residue: f64,
    /// Of the purity of a run where it is logged [mass fraction].
    pub purity: f64,
    /// Of a mother liquor, relative.
    pub liquor: f64,
}

/// What the benches of all campaigns state.
pub const ERRORS: Errors = Errors {
    charge: 0.05,
    crop: 0.05,
    sample: 0.0002,
    titre: 0.03,
    blank: 0.01,
    burette: 0.02,
    assay: 0.004,
    sampling: 0.002,
    residue: 0.005,
    purity: 0.0015,
    liquor: 0.01,
};

/// The text of `campaign.toml`.
pub fn campaign(plan: &Plan) -> String {
    let mut text = String::new();
    head(plan, &mut text);
    factors(plan, &mut text);
    rest(plan, &mut text);
    text
}

fn head(plan: &Plan, text: &mut String) {
    let of = plan.preparation;
    let logs = match plan.style {
        Style::Flat => "runs = \"runs.csv\"\nlots = \"lots.csv\"\n",
        Style::Separate => {
            "runs = \"runs.csv\"\nlots = \"lots.csv\"\ncrops = \"crops.csv\"\ntitres = \"titres.csv\"\ntitrants = \"titrants.csv\"\n"
        }
    };
    let residues = match plan.balance {
        true => "residues = \"residues.csv\"\n",
        false => "",
    };
    write!(
        text,
        "[campaign]\ntitle = \"{}\"\nproduct = \"{}\"\nfollowed = \"{}\"\nassay_as = \"{}\"\npurity_spec = 0.98\n\n[logs]\n{logs}{residues}\n",
        of.title, of.product, of.followed, of.assay_as
    )
    .expect("a text takes what is written");
    if of.oxidised {
        text.push_str(
            "[oxidant]\nformula = \"H2O2\"\nassay = 0.30\nelectrons = 2\nneeded = 0.4\n\n",
        );
    }
}

fn factors(plan: &Plan, text: &mut String) {
    let of = plan.preparation;
    let mut effects = Vec::new();
    if plan.routes.len() > 1 {
        let ceilings: Vec<String> = plan
            .routes
            .iter()
            .map(|route| format!("{} = {}", route.name, route.ceiling))
            .collect();
        write!(
            text,
            "[factors.route]\nkind = \"choice\"\nbaseline = \"{}\"\nceiling = {{ {} }}\nstands_for = \"route\"\n\n",
            plan.routes[0].name,
            ceilings.join(", ")
        )
        .expect("a text takes what is written");
        effects.push("route");
    }
    write!(
        text,
        "[factors.{}]\nkind = \"amount\"\nunit = \"{}\"\nlow = {}\nhigh = {}\n\n",
        of.setting.name, of.setting.unit, of.setting.low, of.setting.high
    )
    .expect("a text takes what is written");
    effects.push(of.setting.name);
    if of.oxidised && plan.excesses.len() > 1 {
        text.push_str(
            "[factors.oxidant_excess]\nkind = \"amount\"\nunit = \"%\"\nlow = 0\nhigh = 300\n\n",
        );
        effects.push("oxidant_excess");
    }
    if plan.ratios.len() > 1 {
        text.push_str("[factors.residue_ratio]\nkind = \"amount\"\nlow = 0\nhigh = 0.6\nstands_for = \"residue\"\n\n");
        effects.push("residue_ratio");
    }
    if plan.size_is_factor {
        text.push_str("[factors.batch_size]\nkind = \"amount\"\nunit = \"g\"\n\n");
        effects.push("batch_size");
    }
    writeln!(
        text,
        "[model]\nresponses = [\"yield\", \"purity\"]\neffects = {effects:?}\n"
    )
    .expect("a text takes what is written");
}

fn rest(plan: &Plan, text: &mut String) {
    let of = plan.preparation;
    let e = &ERRORS;
    write!(
        text,
        "[uncertainty]\nfeed_mass = \"{} g\"\nresidue_mass = \"{} g\"\noxidant_mass = \"{} g\"\ncrop_mass = \"{} g\"\nassay = \"{}\"\nsampling = \"{}\"\nresidue_assay = \"{}\"\n",
        e.charge, e.charge, e.charge, e.crop, e.assay, e.sampling, e.residue
    )
    .expect("a text takes what is written");
    match plan.style {
        Style::Flat => writeln!(text, "purity = \"{}\"\n", e.purity),
        Style::Separate => writeln!(
            text,
            "sample_mass = \"{} g\"\nstandard_mass = \"{} g\"\ntitre = \"{} mL\"\nback_titre = \"{} mL\"\nblank = \"{} mL\"\nburette = \"{} mL\"\nshared = [\"burette\"]\n\n[titration]\nanalyte = \"{}\"\ntitrant = \"{}\"\nratio = {}\nsample = \"as weighed\"\n",
            e.sample, e.sample, e.titre, e.titre, e.blank, e.burette, of.product, of.titration.titrant, of.titration.ratio.0
        ),
    }
    .expect("a text takes what is written");
    text.push_str(
        "[prices]\ncurrency = \"EUR\"\nfeed = \"6 /kg\"\nproduct = \"24 /kg\"\nlabour = \"24 /h\"\n\n[aim]\nmaximise = \"yield\"\npurity_chance = 0.9\nmargin = { yield = 0.01, purity = 0.001 }\n",
    );
}
