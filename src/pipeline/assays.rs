//! Which assays are worth repeating, by what that would do to the figures on which open decisions rest.
//!
//! In: open findings, and the sources of error of the runs. Out: [`OpenFigure`]s, each with its assays.
//! This module never says that a decision will be settled: a repeated assay moves the estimate too.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use super::measurement::measurement_with;
use crate::decide::{
    Choice, Compared, Findings, Material, OpenContrast, Question, RecyclingVerdict, margin,
    margin_of_gain, open_questions,
};
use crate::measured::{Measured, SourceFamily, SourceId};
use crate::regression::{FittedModel, Interval, Method, OtherErrors, Weighted};
use crate::runs::{ResponseKind, Runs};

/// A figure that an open decision rests on, and what repeated assays would leave of its interval.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenFigure {
    /// What it is.
    pub about: OpenAbout,
    /// Its unit.
    pub unit: String,
    /// Best estimate.
    pub value: f64,
    /// Half the width of its interval.
    pub half_width: f64,
    /// The difference that does not matter; 0 where none is stated.
    pub margin: f64,
    /// Assays behind it, those with the largest share of its variance first.
    pub assays: Vec<Repeated>,
}

/// What an open figure is.
#[derive(Debug, Clone, PartialEq)]
pub enum OpenAbout {
    /// A difference of a response.
    Difference {
        /// The response.
        response: String,
        /// What is compared.
        compared: Compared,
    },
    /// The gain of a charged run.
    Gain,
    /// How much dearer a gram is made than bought.
    MakeOrBuy,
}

/// An assay, and what is left of an interval where it is repeated.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeated {
    /// What its source is called in budgets.
    pub assay: String,
    /// Its share of the variance of the figure.
    pub share: f64,
    /// Half the width with all of it done once more (u/√2), and twice more (u/√3).
    pub half_widths: [f64; 2],
    /// How often more it takes until the interval would say something at the present estimate, where one of these does.
    pub decides: Option<usize>,
}

impl OpenFigure {
    /// Whether an interval of that half-width about the present estimate says something.
    fn is_told(&self, half: f64) -> bool {
        let (value, margin) = (self.value, self.margin);
        let matters_not = match self.about {
            OpenAbout::Gain => value + half < margin,
            _ => value.abs() + half < margin,
        };
        value.abs() > half || matters_not
    }

    /// Adds what each assay would do; `left` gives what is left of the half-width for the place of an assay and that of a part
    /// of its variance, where that is worked out anew.
    fn with(
        mut self,
        assays: &[Assay],
        error: &Measured,
        variance: f64,
        left: impl Fn(usize, usize) -> Option<f64>,
    ) -> Self {
        for (place, assay) in assays.iter().enumerate() {
            let of_it = error.from_sources(|id| assay.sources.contains(&id));
            let share = of_it.uncertainty().powi(2) / variance;
            if !(share > NOTHING && share.is_finite()) {
                continue;
            }
            let half_widths = [0, 1].map(|part| {
                let straight = (1.0 - (1.0 - PARTS[part]) * share).max(0.0).sqrt();
                let anew = (share >= WORTH_A_FIT).then(|| left(place, part)).flatten();
                self.half_width * anew.unwrap_or(straight)
            });
            let decides = half_widths.iter().position(|half| self.is_told(*half));
            self.assays.push(Repeated {
                assay: assay.name.clone(),
                share,
                half_widths,
                decides: decides.map(|further| further + 1),
            });
        }
        self.assays.sort_by(|a, b| b.share.total_cmp(&a.share));
        self
    }
}

/// Variance that is left of the error of an assay done once more, and twice more.
const PARTS: [f64; 2] = [1.0 / 2.0, 1.0 / 3.0];

/// A smaller share of the variance is nothing.
const NOTHING: f64 = 1e-6;

/// From this share of the variance on the covariance of a fit is worked out anew, with other weights of the runs.
const WORTH_A_FIT: f64 = 0.005;

/// An assay, with its sources of error.
struct Assay {
    name: String,
    sources: BTreeSet<SourceId>,
}

/// Every open figure that is known with an interval, and what repeating its assays would do to that.
///
/// A source of standard uncertainty `u` has `u/√2` where all that was done for it is done once more, `u/√3` after twice more.
/// Of a measured fit `cᵀ(XᵀV⁻¹X)⁻¹c` is worked out with that in `V`, at the same variances from run to run and between blocks,
/// and the half-width shrinks as its root; of a gain, or a cost, `u² = Σ cᵢ²` over the sources, those of the assay smaller.
///
/// # Assumes
/// The repeated assay is as good as the first and independent of it; degrees of freedom stay.
/// # Source
/// JCGM 100:2008, 4.2.3 (mean of repeated observations) and 5.1.2. Checked in `tests/it/assays.rs`.
pub fn assays_worth_repeating(material: &Material, findings: &Findings) -> Vec<OpenFigure> {
    let assays = assays(material.runs);
    let mut found = Vec::new();
    let contrasts = open_questions(findings).contrasts;
    let mut refits: BTreeMap<&str, Refits> = BTreeMap::new();
    let of_models = contrasts
        .iter()
        .filter(|of| of.question != Question::Recycling);
    for contrast in of_models {
        if let Some(model) = material.models.model(&contrast.of) {
            let refits = refits.entry(&model.response);
            let refits = refits.or_insert_with(|| Refits::of(model, material.runs, &assays));
            found.extend(of_contrast(material, findings, contrast, refits));
        }
    }
    let by_sources = |about, unit, [value, half_width, margin]: [f64; 3], error: &Measured| {
        let figure = OpenFigure {
            about,
            unit,
            value,
            half_width,
            margin,
            assays: Vec::new(),
        };
        figure.with(&assays, error, error.uncertainty().powi(2), |_, _| None)
    };
    let money = findings.recycling.as_ref().ok();
    let money = money.and_then(|recycling| recycling.money.as_ref().ok());
    let is_open = [RecyclingVerdict::NotSettled, RecyclingVerdict::TooClose];
    if let Some(money) = money.filter(|money| is_open.contains(&money.verdict)) {
        let (gain, margin) = (money.gain, margin_of_gain(material.campaign));
        let figures = [gain.value, (gain.high - gain.low) / 2.0, margin];
        let unit = money.currency.clone();
        found.push(by_sources(OpenAbout::Gain, unit, figures, &money.error));
    }
    let costs = material
        .costs
        .and_then(|costs| costs.campaign.as_ref().ok());
    let made = costs.and_then(|costs| Some(&costs.make_or_buy.as_ref()?.counted));
    if let Some(made) = made.filter(|made| made.choice == Choice::Open)
        && let Some(half_width) = made.half_width
    {
        let unit = format!("{}/g", material.campaign.currency());
        let figures = [made.dearer.value(), half_width, 0.0];
        found.push(by_sources(
            OpenAbout::MakeOrBuy,
            unit,
            figures,
            &made.dearer,
        ));
    }
    found
}

/// A fit with the error of one assay after another smaller, each worked out when it is first asked for.
struct Refits<'a> {
    model: &'a FittedModel,
    runs: &'a Runs,
    assays: &'a [Assay],
    kind: Option<ResponseKind>,
    /// Where the runs of the model stand in the results.
    positions: Vec<usize>,
    now: OnceCell<Option<OtherErrors>>,
    repeated: Vec<[OnceCell<Option<OtherErrors>>; 2]>,
}

impl<'a> Refits<'a> {
    fn of(model: &'a FittedModel, runs: &'a Runs, assays: &'a [Assay]) -> Self {
        // The runs of a model stand in the order of the results.
        let mut all = runs.results.iter().enumerate();
        let place = |name: &String| Some(all.find(|(_, run)| run.run == *name)?.0);
        Refits {
            model,
            runs,
            assays,
            kind: runs.response(&model.response).map(|column| column.kind),
            positions: model.runs.iter().filter_map(place).collect(),
            now: OnceCell::new(),
            repeated: assays.iter().map(|_| Default::default()).collect(),
        }
    }

    fn under(&self, part: &dyn Fn(SourceId) -> f64) -> Option<OtherErrors> {
        let measurement = measurement_with(self.runs, self.kind?, &self.positions, part);
        self.model.with_other_errors(&measurement)
    }

    /// The standard error of a sum as it is, its variances taken to be known.
    fn now(&self, parts: &[Weighted]) -> Option<f64> {
        let known = self.now.get_or_init(|| self.under(&|_| 1.0));
        self.model.error_of_sum(parts, known.as_ref()?).ok()
    }

    /// The same with a part of the variance of an assay.
    fn repeated(&self, parts: &[Weighted], assay: usize, part: usize) -> Option<f64> {
        let sources = &self.assays[assay].sources;
        let scale = |id: SourceId| match sources.contains(&id) {
            true => PARTS[part].sqrt(),
            false => 1.0,
        };
        let known = self.repeated[assay][part].get_or_init(|| self.under(&scale));
        self.model.error_of_sum(parts, known.as_ref()?).ok()
    }

    /// What the errors of the runs bring into a weighted sum of means, by the weights of the fit.
    fn error(&self, parts: &[Weighted]) -> Option<Measured> {
        let mut weights = vec![0.0; self.positions.len()];
        for part in parts {
            let of_part = self.model.run_weights(&part.settings).ok()?;
            for (sum, weight) in weights.iter_mut().zip(of_part) {
                *sum += part.weight * weight;
            }
        }
        let kind = self.kind?;
        let errors = self
            .positions
            .iter()
            .zip(weights)
            .filter_map(|(position, weight)| {
                let value = kind.of(&self.runs.results[*position])?;
                Some(value.from_sources(|_| true) * weight)
            });
        Some(Measured::sum(&errors.collect::<Vec<_>>()))
    }
}

/// A difference between means of a fit that knows the measurement; `None` for others, and where it is told already.
fn of_contrast(
    material: &Material,
    findings: &Findings,
    contrast: &OpenContrast,
    refits: &Refits,
) -> Option<OpenFigure> {
    let (model, parts) = (refits.model, &contrast.parts);
    let estimate = model.weighted_sum(parts).ok()?;
    let ends = estimate
        .interval
        .filter(|_| model.method == Method::Measured)?;
    let (value, ends) = together(findings, contrast).unwrap_or((estimate.value, ends));
    let figure = OpenFigure {
        about: OpenAbout::Difference {
            response: model.response.clone(),
            compared: contrast.compared.clone(),
        },
        unit: model.unit.clone(),
        value,
        half_width: (ends.high - ends.low) / 2.0,
        margin: margin(material.campaign, &model.response).unwrap_or(0.0),
        assays: Vec::new(),
    };
    if figure.is_told(figure.half_width) {
        return None;
    }
    let now = refits.now(parts)?;
    let left = |assay, part| Some(refits.repeated(parts, assay, part)? / now);
    Some(figure.with(refits.assays, &refits.error(parts)?, now * now, left))
}

/// The figure that a question itself goes by where its interval allows for more than this difference: for several routes, or
/// for the choice of the best settings.
fn together(findings: &Findings, contrast: &OpenContrast) -> Option<(f64, Interval)> {
    match (&contrast.question, &contrast.compared) {
        (Question::Route, Compared::Levels { against, .. }) => {
            let routes = findings.routes.as_ref()?;
            let mut leads = routes.best.leads.iter();
            let lead = leads.find(|lead| lead.against == *against)?;
            Some((lead.gain, lead.simultaneous?)).filter(|_| routes.aim.of == contrast.of)
        }
        (Question::Settings, _) => {
            let best = findings.settings.as_ref()?.as_ref().ok()?;
            let gain = best.present.as_ref()?.gain.as_ref()?;
            Some((gain.value, gain.interval?))
        }
        _ => None,
    }
}

/// All assays that any run rests on: of each lot, each titrant, and others by their names.
fn assays(runs: &Runs) -> Vec<Assay> {
    let results = runs.results.iter();
    let known = results.flat_map(|run| [&run.contained, &run.purity]);
    let ids: BTreeSet<SourceId> = known
        .flatten()
        .flat_map(|value| value.parts().iter().map(|(id, _)| *id))
        .collect();
    let mut named: BTreeMap<String, BTreeSet<SourceId>> = BTreeMap::new();
    for id in &ids {
        let source = runs.sources.get(*id);
        if matches!(source.family, SourceFamily::LotAssay | SourceFamily::Assay) {
            named
                .entry(source.name.to_string())
                .or_default()
                .insert(*id);
        }
    }
    for titrant in &runs.titrants {
        let rows = titrant.rows.iter().map(|row| &row.concentration);
        let parts = rows
            .chain([&titrant.concentration])
            .flat_map(Measured::parts);
        let of_strength = |id: &SourceId| {
            runs.sources.get(*id).family == SourceFamily::TitrantStrength && ids.contains(id)
        };
        let sources = parts.map(|(id, _)| *id).filter(of_strength).collect();
        named.insert(format!("strength of {}", titrant.titrant), sources);
    }
    let assay = |(name, sources)| Assay { name, sources };
    named.into_iter().map(assay).collect()
}
