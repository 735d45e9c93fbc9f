//! The planner: the best further runs, and variances after them.
//!
//! In: a model and a space of settings, then what should become well known. Out: [`Planner`], and its plans and variances.
//! This module never decides what is worth knowing.

use super::coded_terms::Layout;
use super::exchange::Search;
use super::gain::{Direction, Measure, State};
use super::information::{self, Known};
use super::runs_made::FREE;
use super::space::{PlanValues, Space};
use super::{BlocksAs, Criterion, Grouping, MOST_PLANNED, NoPlan, PlanContrast, Planned};
use crate::regression::algebra::{Matrix, cholesky};
use crate::regression::{
    FittedModel, ModelParams, ResponseScale, Setting, Settings, TermName, Weighted,
};
use crate::seeded::Seeded;

/// Share of the variance of terms of which nothing is known above which a contrast counts as not known.
pub(super) const UNKNOWN: f64 = 1e-3;

/// Points of the space over which a mean variance is taken.
const MOST_POINTS: usize = 4096;

/// Finds runs that teach most, and says how well anything would be known after them.
///
/// # Assumes
/// The variances of the fit stay as they are, and a further run is measured as runs were on average: it has those errors
/// of lots and titrants that all runs (of its lot) have; a lot never used before has a fresh one of typical size.
/// # Source
/// Atkinson, Donev and Tobias, Optimum Experimental Designs, with SAS, 2007, chapters 10 and 12 (criteria, exchange), 19
/// (augmenting runs already made).
#[derive(Debug, Clone)]
pub struct Planner {
    layout: Layout,
    space: Space,
    random: Known,
    free: Known,
    scale: ResponseScale,
    /// Mean change of the response per change of the fit, squared.
    typical_slope: f64,
    model: Option<Box<FittedModel>>,
}

impl Planner {
    /// A planner of runs beside those of a model.
    ///
    /// # Errors
    /// [`NoPlan`] if a factor has no value, everything is forbidden, or the numbers cannot be computed with.
    pub fn of_model(
        model: &FittedModel,
        space: Space,
        grouping: Option<&Grouping>,
    ) -> Result<Self, NoPlan> {
        check(&space)?;
        let layout = Layout::of_model(model, &space)?;
        let known = |blocks_as| {
            information::of_model(model, &layout, &space, grouping, blocks_as)
                .ok_or(NoPlan::OutOfRange)
        };
        let (random, free) = (known(BlocksAs::Random)?, known(BlocksAs::Free)?);
        let scale = model.machinery.scale;
        let fitted: Vec<f64> = model.fitted.iter().map(|&y| scale.fitted(y)).collect();
        Ok(Self {
            random,
            free,
            typical_slope: scale.typical_slope(&fitted),
            scale,
            layout,
            space,
            model: Some(Box::new(model.clone())),
        })
    }

    /// A planner of the first runs; variances are in units of that of one run.
    ///
    /// # Errors
    /// As for [`Self::of_model`].
    pub fn of_nothing(params: &ModelParams, space: Space) -> Result<Self, NoPlan> {
        check(&space)?;
        let layout = Layout::of_nothing(params, &space)?;
        let known = information::of_nothing(&layout);
        Ok(Self {
            random: known.clone(),
            free: known,
            scale: ResponseScale::Plain,
            typical_slope: 1.0,
            layout,
            space,
            model: None,
        })
    }

    /// The settings among which it chooses.
    pub fn space(&self) -> &Space {
        &self.space
    }

    /// The same settings with the first value of the space for each factor that they do not name; names that the space
    /// does not know are dropped.
    pub fn completed(&self, settings: &Settings) -> Settings {
        let factors = self.space().factors.iter();
        factors.fold(Settings::default(), |all, factor| {
            match (settings.get(&factor.name), &factor.values) {
                (Some(Setting::Amount(value)), _) => all.amount(&factor.name, *value),
                (Some(Setting::Level(level)), _) => all.level(&factor.name, level),
                (None, PlanValues::Amounts(amounts)) => all.amount(&factor.name, amounts[0]),
                (None, PlanValues::Levels(levels)) => all.level(&factor.name, &levels[0]),
            }
        })
    }

    /// The model that it plans beside, if there is one.
    pub(super) fn model(&self) -> Option<&FittedModel> {
        self.model.as_deref()
    }

    /// Names of all terms, those of levels that were never run among them.
    pub fn terms(&self) -> Vec<TermName> {
        let columns = self.layout.design.columns.iter();
        columns.map(|column| column.name.clone()).collect()
    }

    /// The best `runs` beside those made and those decided on already, as far as the search finds them.
    ///
    /// With `A` the covariance of the coded terms after all runs, in units of the variance of one run, `ln det A` is made
    /// small for [`Criterion::Everything`], the mean of `xᵀAx` over the space for [`Criterion::Prediction`] and `Σ w cᵀAc`
    /// for [`Criterion::Contrasts`]. The same seed gives the same runs.
    ///
    /// # Assumes
    /// As [`Planner`] says; on the logit scale variances of contrasts are of first order.
    /// # Errors
    /// [`NoPlan::NoRuns`], [`NoPlan::TooMany`], and [`NoPlan::UnknownSettings`] for contrasts that the model does not know;
    /// [`NoPlan::AllForbidden`] if the space allows no run.
    /// # Source
    /// Meyer and Nachtsheim, Technometrics 37 (1995) 60-69 (coordinate exchange).
    pub fn plan(
        &self,
        runs: usize,
        decided: &[Settings],
        criterion: &Criterion,
        blocks_as: BlocksAs,
        seed: u64,
    ) -> Result<Planned, NoPlan> {
        if runs == 0 {
            return Err(NoPlan::NoRuns);
        }
        if runs + decided.len() > MOST_PLANNED {
            return Err(NoPlan::TooMany(runs + decided.len()));
        }
        let measure = self.measure(criterion)?;
        let known = match blocks_as {
            BlocksAs::Random => &self.random,
            BlocksAs::Free => &self.free,
        };
        let state = self.state_after(known, decided)?;
        let search = Search {
            knowledge: state.knowledge(),
            new_runs: &known.new_runs,
            layout: &self.layout,
            space: &self.space,
            measure: &measure,
        };
        let points = search.best(runs, seed).ok_or(NoPlan::AllForbidden)?;
        let found: Vec<Settings> = points.iter().map(|p| self.space.settings(p)).collect();
        let log_determinant = self.log_determinant(decided.iter().chain(&found));
        let all = self.layout.data.runs.len() + decided.len() + runs;
        let terms = self.layout.terms() as f64;
        Ok(Planned {
            efficiency: log_determinant.map(|log| (log / terms).exp() / all as f64),
            runs: found,
        })
    }

    /// The variance of a contrast after further runs too, in the squared unit of the response; None if none can tell it.
    ///
    /// `σ² cᵀAc`, with `σ²` the variance that one run has for itself and `A` the covariance of the coded terms after all runs
    /// in units of it. Blocks count as in the fit. For a model without runs it is in units of the variance of one run.
    ///
    /// # Assumes
    /// The variances of the fit stay as they are. A contrast that only shows where blocks differ counts as not known.
    pub fn variance_after(&self, extra: &[Settings], contrast: &[Weighted]) -> Option<f64> {
        self.after(extra).variance(contrast)
    }

    /// What is known after these runs too.
    pub fn after(&self, extra: &[Settings]) -> After<'_> {
        let mut after = After {
            planner: self,
            states: Some([&self.random, &self.free].map(|known| State::new(&known.knowledge))),
            runs: 0,
        };
        extra.iter().for_each(|settings| after.add(settings));
        after
    }

    /// Whether runs tell a combination, with the levels of blocks as free as any term.
    ///
    /// What only shows where lots differ is not known, however little lots scatter. The constant is left aside where there
    /// are blocks: it cannot be told from all their levels together.
    fn is_known(&self, free: &State, combination: &[f64]) -> bool {
        let mut asked = combination.to_vec();
        if let Some(constant) = self.layout.design.constant_column()
            && !self.layout.design.blocks.is_empty()
        {
            asked[constant] = 0.0;
        }
        let size: f64 = asked.iter().map(|part| part * part).sum();
        free.variance(&asked) <= UNKNOWN * FREE * size
    }

    /// Variance that one further run has for itself, in the squared unit of the response; None if the fit cannot tell it.
    pub fn variance_of_a_run(&self) -> Option<f64> {
        let (scatter, slope) = (self.random.scatter, self.typical_slope);
        scatter.known.then_some(scatter.own * slope * slope)
    }

    /// Whether a term is the constant beside blocks that are as free.
    pub(super) fn is_free_constant(&self, name: &TermName) -> bool {
        let constant = self.layout.design.constant_column();
        let is_constant = constant.is_some_and(|c| self.layout.design.columns[c].name == *name);
        is_constant && !self.layout.design.blocks.is_empty()
    }

    /// What is known after further runs at these settings.
    fn state_after(&self, known: &Known, extra: &[Settings]) -> Result<State, NoPlan> {
        let mut state = State::new(&known.knowledge);
        for settings in extra {
            self.take_in(known, &mut state, settings)
                .ok_or(NoPlan::UnknownSettings)?;
        }
        Ok(state)
    }

    /// Takes in a run; None where the space does not know its settings.
    fn take_in(&self, known: &Known, state: &mut State, settings: &Settings) -> Option<()> {
        let mut row = self.layout.row_of_settings(settings)?;
        let errors = known.knowledge.errors;
        row.extend(known.new_runs.of_settings(&self.space, settings, errors));
        state.add(&row);
        Some(())
    }

    /// The combination of coded coefficients that a contrast stands for; on the logit scale to first order.
    fn combination(&self, contrast: &[Weighted]) -> Option<Vec<f64>> {
        let mut total = vec![0.0; self.layout.terms()];
        for part in contrast {
            let row = self.layout.row_of_settings(&part.settings)?;
            let slope = match (self.scale, &self.model) {
                (ResponseScale::Logit, Some(model)) => model
                    .mean(&part.settings)
                    .map_or(self.typical_slope, |mean| {
                        self.scale.slope(self.scale.fitted(mean))
                    }),
                _ => 1.0,
            };
            for (sum, entry) in total.iter_mut().zip(&row) {
                *sum += part.weight * slope * entry;
            }
        }
        total.iter().all(|part| part.is_finite()).then_some(total)
    }

    fn measure(&self, criterion: &Criterion) -> Result<Measure, NoPlan> {
        let direction = |contrast: &PlanContrast| -> Result<Direction, NoPlan> {
            let combination = self.combination(&contrast.parts);
            Ok(Direction {
                weight: contrast.weight,
                combination: combination.ok_or(NoPlan::UnknownSettings)?,
            })
        };
        Ok(match criterion {
            Criterion::Everything => Measure::Volume,
            Criterion::Contrasts(contrasts) => {
                Measure::Sum(contrasts.iter().map(direction).collect::<Result<_, _>>()?)
            }
            Criterion::Prediction => Measure::Mean(self.mean_of_products()),
        })
    }

    /// The mean of `x xᵀ` over all points of the space, or over so many drawn from a large one.
    fn mean_of_products(&self) -> Matrix {
        let terms = self.layout.terms();
        let mut sum = Matrix::zeros(terms, terms);
        let mut row = vec![0.0; terms];
        let points: Vec<_> = if self.space.size() <= MOST_POINTS {
            let all = self.space.points();
            all.filter(|point| self.space.allows(point)).collect()
        } else {
            let mut random = Seeded::stream(0, 0);
            let drawn = (0..MOST_POINTS).map(|_| self.space.random_point(&mut random));
            drawn.flatten().collect()
        };
        for point in &points {
            self.layout.row_of_point(point, &mut row);
            add_product(&mut sum, &row, points.len() as f64);
        }
        sum
    }

    /// `ln det XᵀX` of the runs made and these.
    fn log_determinant<'a>(&self, further: impl Iterator<Item = &'a Settings>) -> Option<f64> {
        let terms = self.layout.terms();
        let mut products = Matrix::zeros(terms, terms);
        let made = (0..self.layout.data.runs.len()).map(|run| Some(self.layout.row_of_run(run)));
        let further = further.map(|settings| self.layout.row_of_settings(settings));
        for row in made.chain(further) {
            add_product(&mut products, &row?, 1.0);
        }
        let root = cholesky::root(&products, terms)?;
        let logs = (0..terms).map(|term| root.get(term, term).ln());
        Some(2.0 * logs.sum::<f64>())
    }
}

/// What is known after further runs, which come one after another.
pub struct After<'p> {
    pub(super) planner: &'p Planner,
    /// Blocks as they scatter, then as free as any term; None once a run was at settings that the space does not know.
    states: Option<[State; 2]>,
    /// How many further runs there are.
    pub(super) runs: usize,
}

impl After<'_> {
    /// Takes in one run more.
    pub fn add(&mut self, settings: &Settings) {
        let planner = self.planner;
        self.runs += 1;
        self.states = self.states.take().and_then(|mut states| {
            for (known, state) in [&planner.random, &planner.free]
                .into_iter()
                .zip(&mut states)
            {
                planner.take_in(known, state, settings)?;
            }
            Some(states)
        });
    }

    /// The variance of a contrast, as [`Planner::variance_after`] has it.
    pub fn variance(&self, contrast: &[Weighted]) -> Option<f64> {
        let combination = self.planner.combination(contrast)?;
        let [random, free] = self.states.as_ref()?;
        let is_known = self.planner.is_known(free, &combination);
        is_known.then(|| self.planner.random.scatter.own * random.variance(&combination))
    }

    /// The variance of each coded term, the levels of blocks as free as any term, in units of that of a run.
    pub(super) fn free_variances(&self) -> Vec<f64> {
        let terms = self.planner.layout.terms();
        let Some([_, free]) = &self.states else {
            return vec![FREE; terms];
        };
        let covariance = &free.knowledge().covariance;
        (0..terms).map(|term| covariance.get(term, term)).collect()
    }
}

/// Adds `x xᵀ / count`.
fn add_product(sum: &mut Matrix, row: &[f64], count: f64) {
    for (column, &one) in row.iter().enumerate() {
        for (value, other) in sum.column_mut(column).iter_mut().zip(row) {
            *value += one * other / count;
        }
    }
}

fn check(space: &Space) -> Result<(), NoPlan> {
    if let Some(empty) = space.factors.iter().find(|factor| factor.count() == 0) {
        return Err(NoPlan::NoValues(empty.name.clone()));
    }
    if space.points().any(|point| space.allows(&point)) {
        Ok(())
    } else {
        Err(NoPlan::AllForbidden)
    }
}
