//! Further elements of the feed that are worth something: what each run gave of their products.
//!
//! In: a campaign and its logs. Out: one [`SecondRuns`] for each element, worked out as the first one is.
//! This module never uses a yield that no run can have.

use super::results::{Outcome, RunResult, SecondRuns};
use crate::campaign::{Campaign, SecondElement};
use crate::caveat::{Caveat, Doubt, Part, Reason};
use crate::intake::{FlatCrop, Logged, LoggedNumber, LotRow, ResidueRow, RunRow, RunsLog};
use crate::measured::Measured;

impl SecondRuns {
    /// Pure product of a run \[g\].
    pub fn product(&self, position: usize) -> Outcome {
        let run = &self.runs[position];
        let share = run.contained.as_ref().map_err(Clone::clone)?;
        Ok(share * run.theory_total.as_ref().map_err(Clone::clone)?)
    }
}

/// A yield further above theory than this, beyond five of its standard uncertainties, is an entry that cannot be; the bound of the
/// first element. Common practice, no source.
const BEYOND: (f64, f64) = (1.05, 5.0);

/// The products of all further elements, with the doubts about them; `work_out` gives the results of all runs that count.
///
/// Theory counts the element in the fresh feed and in the residue charged, `q·(w_F·F + w_R·R)`; the balance counts its product and
/// what the residue took out, and not what went with the crops of the first element or its mother liquor.
///
/// # Assumes
/// As the yields of the first element; errors that both share, such as that of the feed mass, are not followed from one to the other.
pub(super) fn second(
    campaign: &Campaign,
    logged: &Logged,
    work_out: impl Fn(&Campaign, &Logged) -> Vec<RunResult>,
) -> (Vec<SecondRuns>, Vec<Caveat>) {
    let mut caveats = Vec::new();
    let elements = campaign.second.iter().enumerate();
    let found = elements.map(|(position, of)| {
        let alone = Campaign {
            chemistry: Some(of.chemistry.clone()),
            titration: None,
            ignition: None,
            by_difference: false,
            oxidant: None,
            factors: Vec::new(),
            impurities: Vec::new(),
            second: Vec::new(),
            prices: None,
            ..campaign.clone()
        };
        let logs = logs_of(campaign, logged, of, position);
        let mut runs = work_out(&alone, &logs);
        caveats.extend(judged(of, &mut runs));
        SecondRuns {
            element: of.element.clone(),
            runs,
        }
    });
    (found.collect(), caveats)
}

/// The logs as if the element were the first.
fn logs_of(campaign: &Campaign, logged: &Logged, of: &SecondElement, position: usize) -> Logged {
    let columns = [&of.mass_column, &of.purity_column].map(|name| logged.runs.column(name));
    let rows = logged.runs.rows.iter().enumerate().map(|(at, row)| {
        let number = |which: usize, unit| {
            let number = columns[which]?.number(campaign, at, Some(unit)).ok()?;
            number.map(LoggedNumber::plain)
        };
        let crop = FlatCrop {
            crop: 1,
            mass: number(0, "g"),
            purity: number(1, "1"),
            moisture: None,
        };
        let is_of_both = |part: &&Part| matches!(part, Part::Feed | Part::Charged | Part::Residue);
        RunRow {
            crops: vec![crop],
            purity: None,
            feed_assay: None,
            residue_assay: None,
            liquor_in: None,
            liquor_conc: None,
            withheld: row.withheld.iter().filter(is_of_both).copied().collect(),
            ..row.clone()
        }
    });
    Logged {
        runs: RunsLog {
            rows: rows.collect(),
            ..RunsLog::default()
        },
        lots: logged
            .lots
            .iter()
            .map(|row| LotRow {
                assay: row.second.get(position).copied().flatten(),
                further: Vec::new(),
                price: None,
                ..row.clone()
            })
            .collect(),
        residues: logged
            .residues
            .iter()
            .map(|row| ResidueRow {
                assay: row.second.get(position).copied().flatten(),
                ..row.clone()
            })
            .collect(),
        ..Logged::default()
    }
}

/// Withholds yields that no run can have, and tells of them and of runs whose yield is not known though others have one.
fn judged(of: &SecondElement, runs: &mut [RunResult]) -> Vec<Caveat> {
    let (bound, sure) = BEYOND;
    let mut above = Vec::new();
    for run in runs.iter_mut() {
        let is_above = |found: &Measured| {
            found.value() > bound && found.value() - sure * found.uncertainty() > 1.0
        };
        if run.contained.as_ref().is_ok_and(is_above) {
            above.push(run.run.clone());
            run.contained = Err(Reason::SecondAboveTheory);
        }
    }
    let counted = || runs.iter().filter(|run| run.set_aside.is_none());
    let unknown = counted().filter(|run| !above.contains(&run.run));
    let unknown: Vec<(String, Reason)> = unknown
        .filter_map(|run| Some((run.run.clone(), run.contained.clone().err()?)))
        .collect();
    let doubt = |runs: Vec<String>, reason| {
        Caveat::of_campaign(Doubt::SecondNotKnown {
            element: of.element.clone(),
            runs,
            of: counted().count(),
            reason,
        })
    };
    let first = unknown.first().map(|(_, reason)| reason.clone());
    let unknown: Vec<String> = unknown.into_iter().map(|(run, _)| run).collect();
    let unknown = first.map(|reason| doubt(unknown, reason));
    let above = (!above.is_empty()).then(|| doubt(above, Reason::SecondAboveTheory));
    above.into_iter().chain(unknown).collect()
}
