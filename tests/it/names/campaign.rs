//! Which campaign is worked out under plain and under hostile names?
//!
//! In: [`Names`] and a [`Log`]. Out: a folder with a seeded, invented campaign: lots, an amount
//! that is bent, one that is not, two choices of which one is the route, residue fed forward, prices, a purity
//! specification, a joint effect, a further term to be considered, two declared responses.
//! This module never asks the library for a figure, and never lets a figure depend on a name.

use std::fmt::Write as _;

use crate::support::CampaignFolder;

/// Product per gram of copper oxide [g/g]: CuSO4·5H2O over CuO, abridged standard atomic weights of 2021.
const PRODUCT_PER_OXIDE: f64 = 249.677 / 79.545;
const RUNS: usize = 28;
const ASSAYS: [f64; 3] = [0.82, 0.79, 0.80];

/// Every name that a user chooses.
#[derive(Debug, Clone)]
pub struct Names {
    /// The amount whose effect is bent.
    pub bent: String,
    /// The amount whose effect is a straight line.
    pub straight: String,
    /// The choice that is not the route, and its levels.
    pub roast: String,
    pub roasts: [String; 3],
    /// The choice that is the route, and its levels.
    pub way: String,
    pub ways: [String; 2],
    /// Residue fed forward.
    pub fed: String,
    /// A declared response with a model of its own, and one without.
    pub timed: String,
    pub beside: String,
    /// Lots of feed.
    pub lots: [String; 3],
    /// What the name of every run begins with.
    pub run: String,
}

impl Names {
    /// Names that nobody would stumble over.
    pub fn ordinary() -> Self {
        let text = str::to_string;
        Names {
            bent: text("acid"),
            straight: text("water"),
            roast: text("roast"),
            roasts: ["muffle", "hob", "torch"].map(text),
            way: text("way"),
            ways: ["chill", "spirit"].map(text),
            fed: text("fed"),
            timed: text("filter time"),
            beside: text("wash time"),
            lots: ["A", "B", "C"].map(text),
            run: text("R"),
        }
    }

    /// Every name, in one order.
    pub fn each(&self) -> Vec<&str> {
        let mut places: Vec<&String> = vec![
            &self.bent,
            &self.straight,
            &self.roast,
            &self.way,
            &self.fed,
            &self.timed,
            &self.beside,
            &self.run,
        ];
        places.extend(&self.roasts);
        places.extend(&self.ways);
        places.extend(&self.lots);
        places.into_iter().map(String::as_str).collect()
    }

    /// The same places with names from a list in the order of [`Names::each`].
    pub fn with_each(&self, names: &[String]) -> Self {
        let mut renamed = self.clone();
        let Names {
            bent,
            straight,
            roast,
            way,
            fed,
            timed,
            beside,
            run,
            roasts,
            ways,
            lots,
        } = &mut renamed;
        let mut places = vec![bent, straight, roast, way, fed, timed, beside, run];
        places.extend(roasts);
        places.extend(ways);
        places.extend(lots);
        assert_eq!(places.len(), names.len());
        for (place, name) in places.into_iter().zip(names) {
            place.clone_from(name);
        }
        renamed
    }
}

/// What the logs say about the straight amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Log {
    /// The yield rises with more of it.
    Rises,
    /// The yield falls with more of it.
    Falls,
    /// It was high with the last level of the plain choice, and low with all others.
    Tangled,
}

/// The campaign in the folder `campaign` of a folder of its own.
pub fn campaign(names: &Names, log: Log) -> CampaignFolder {
    let mut folder = CampaignFolder::new();
    for (file, text) in files(names, log) {
        folder = folder.with(&format!("campaign/{file}"), &text);
    }
    folder
}

/// The files of the campaign.
pub fn files(names: &Names, log: Log) -> [(&'static str, String); 4] {
    let Logs {
        runs,
        lots,
        residues,
    } = logs(names, log);
    [
        ("campaign.toml", campaign_file(names)),
        ("runs.csv", runs),
        ("lots.csv", lots),
        ("residues.csv", residues),
    ]
}

struct Logs {
    runs: String,
    lots: String,
    residues: String,
}

/// Numbers that are the same every time, on every system: a linear congruential generator.
pub struct Draws(pub u64);

impl Draws {
    /// A number from 0 to just below 1.
    pub fn uniform(&mut self) -> f64 {
        // Constants of Knuth's MMIX generator.
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A position below `end`.
    pub fn below(&mut self, end: usize) -> usize {
        (self.uniform() * end as f64) as usize
    }

    /// About normal: the sum of twelve uniform numbers.
    fn scatter(&mut self, size: f64) -> f64 {
        size * ((0..12).map(|_| self.uniform()).sum::<f64>() - 6.0)
    }
}

fn logs(names: &Names, log: Log) -> Logs {
    let mut draws = Draws(7);
    let mut text = Logs {
        runs: String::from(
            "run,date,lot,lot_share,feed_mass,residue_mass,residue_assay,residue_from,roasted,recovered,first amount,\
             second amount,crop1_mass,crop2_mass,purity,labour,acid_mass,first minutes,second minutes\n",
        ),
        lots: String::from("lot,assay,u_assay,price\n"),
        residues: String::from("run,mass,assay,u_assay\n"),
    };
    for (lot, assay) in names.lots.iter().zip(ASSAYS) {
        let lot = cell(lot);
        writeln!(text.lots, "{lot},{assay},0.004,{}", 4.0 + assay).unwrap();
    }
    for run in 0..RUNS {
        let name = cell(&format!("{}{run:02}", names.run));
        let lot = run % 3;
        let (roast, way) = (run / 3 % 3, usize::from((run + run / 6) % 2 == 1));
        let bent = 10.0 + 20.0 * draws.below(5) as f64;
        let straight = match (log, roast) {
            (Log::Tangled, 2) => 200.0,
            (Log::Tangled, _) => 100.0,
            _ => 100.0 + 50.0 * draws.below(3) as f64,
        };
        let fed = match run {
            0 => 0.0,
            _ => 0.2 * draws.below(3) as f64,
        };
        let [is_spirit, feed] = [way as f64, 300.0 + draws.below(9) as f64];
        let residue = fed * feed;
        let turned = if log == Log::Falls { -1.0 } else { 1.0 };
        let share = 0.66 + [0.0, 0.04, -0.03][roast] + 0.06 * is_spirit
            - 0.05 * fed
            - 0.12 * fed * is_spirit
            + 0.0012 * (bent - 50.0)
            - 0.00003 * (bent - 50.0).powi(2)
            + turned * 0.0012 * (straight - 150.0)
            + [0.0, 0.006, -0.005][lot]
            + draws.scatter(0.006);
        let purity = 0.988 - 0.005 * is_spirit + 0.00003 * (bent - 50.0) + draws.scatter(0.001);
        let charged = PRODUCT_PER_OXIDE * (feed * ASSAYS[lot] + residue * 0.45);
        let crop = share * charged / purity;
        // One run is made from two lots, so that shares of lots are there too.
        let (lots, shares) = match run {
            20 => (format!("{};{}", names.lots[0], names.lots[1]), "0.6;0.4"),
            _ => (names.lots[lot].clone(), ""),
        };
        let (assay, from) = match fed {
            0.0 => ("", String::new()),
            _ => ("0.45", cell(&format!("{}{:02}", names.run, run - 1))),
        };
        // One run has no crop, so that something is said about a run that is left out.
        let first = match run {
            25 => "spilt".to_string(),
            _ => format!("{:.1}", 0.8 * crop),
        };
        writeln!(
            text.runs,
            "{name},2026-03-{:02},{},{shares},{feed},{residue:.1},{assay},{from},{},{},{bent},{straight},{first},{:.1},\
             {purity:.4},{:.0},{:.1},{:.1},{:.1}",
            run + 1,
            cell(&lots),
            cell(&names.roasts[roast]),
            cell(&names.ways[way]),
            0.2 * crop,
            60.0 + 20.0 * is_spirit + draws.scatter(4.0),
            1.3 * feed,
            20.0 + 12.0 * is_spirit + 0.1 * bent + draws.scatter(1.5),
            8.0 + 0.02 * straight + draws.scatter(0.8),
        )
        .unwrap();
        let left = (1.0 - share) * charged / PRODUCT_PER_OXIDE * 0.8;
        writeln!(text.residues, "{name},{:.1},0.45,0.006", left / 0.45).unwrap();
    }
    text
}

/// A cell of a log.
fn cell(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

/// A text or a key of the campaign file.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

fn campaign_file(names: &Names) -> String {
    let [bent, straight, roast, way, fed, timed, beside] = [
        &names.bent,
        &names.straight,
        &names.roast,
        &names.way,
        &names.fed,
        &names.timed,
        &names.beside,
    ]
    .map(|name| quoted(name));
    let [muffle, hob, torch] = names.roasts.each_ref().map(|level| quoted(level));
    let [chill, spirit] = names.ways.each_ref().map(|level| quoted(level));
    let shelf = quoted(&names.lots[1]);
    format!(
        r#"[campaign]
title = "Invented"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"
purity_spec = 0.984

[logs]
runs = "runs.csv"
lots = "lots.csv"
residues = "residues.csv"

[factors.{roast}]
kind = "choice"
column = "roasted"
baseline = {muffle}
levels = [{muffle}, {hob}, {torch}]

[factors.{way}]
kind = "choice"
column = "recovered"
baseline = {chill}
levels = [{chill}, {spirit}]
ceiling = {{ {chill} = 1.0, {spirit} = 1.0 }}
stands_for = "route"

[factors.{bent}]
kind = "amount"
column = "first amount"
unit = "%"
low = 10
high = 90

[factors.{straight}]
kind = "amount"
column = "second amount"
unit = "mL"
low = 100
high = 200

[factors.{fed}]
kind = "amount"
low = 0
high = 0.4
stands_for = "residue"

[responses.{timed}]
column = "first minutes"
unit = "min"

[responses.{beside}]
column = "second minutes"
unit = "min"

[model]
responses = ["yield", "purity", {timed}]
effects = [{roast}, {way}, {bent}, {straight}, {fed}]
joint = [[{way}, {fed}]]
curved = {{ {bent} = 2 }}
candidates = [[{roast}, {straight}], {{ {bent} = 3 }}]

[uncertainty]
feed_mass = "0.2 g"
residue_mass = "0.2 g"
crop_mass = "0.1 g"
purity = "0.0008"
residue_assay = "0.006"
sampling = "0.003"

[prices]
currency = "EUR"
feed = "4.2 /kg"
product = "18 ± 1 /kg"
labour = "24 /h"
heat = {{ {roast} = {{ {muffle} = "1.9 /run", {hob} = "0.6 /run", {torch} = "1.1 /run" }} }}
other = {{ acid_mass = "0.55 /kg" }}
residue_disposal = "0.80 /kg"
residue_handling = "3 min/run"

[recycling]
vessel_solids = "900 g"

[shelf]
lots = [{shelf}]

[aim]
maximise = "yield"
purity_chance = 0.9
margin = {{ yield = 0.02 }}

[limits]
never = [{{ {roast} = {torch}, {way} = {spirit} }}]

[drift]
response = "yield"
baseline = 12
"#
    )
}
