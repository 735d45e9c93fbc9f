//! Planned runs: rows with settings, without a date and without a result.
//!
//! In: rows of the runs log, and what all logs say of their runs. Out: planned rows apart from those of runs made.
//! This module never takes a row for a plan that has a date, or a result in any log.

use std::collections::{BTreeMap, BTreeSet};

use super::columns::flat;
use super::logged::{Logged, LoggedColumn, RunRow, RunsLog};
use super::not_used::LeftOut;
use super::rows::RowReader;
use super::table::{Column, Table};
use crate::campaign::{Campaign, FactorPlan, LogKind};
use crate::error::{ErrorKind, Place};
use crate::name::Sorted;

/// Columns of what is charged.
const CHARGES: [&str; 3] = ["feed_mass", "oxidant_mass", "residue_mass"];

/// Columns of what is known of a run when it is made, and of the decision to do without it.
const RESULTS: [&str; 6] = [
    "date",
    "labour",
    "liquor_volume",
    "liquor_conc",
    "purity",
    "set_aside",
];

/// Columns that tell a plan from a run that was made.
pub(super) struct Telling<'t> {
    settings: Vec<Column<'t>>,
    /// None where nothing can be a result, because there is neither chemistry nor a response.
    results: Option<Vec<Column<'t>>>,
}

impl<'t> Telling<'t> {
    pub fn of(campaign: &'t Campaign, table: &'t Table) -> Telling<'t> {
        let factors = campaign.factors.iter().map(FactorPlan::column);
        let settings: Vec<&str> = factors.chain(CHARGES).collect();
        let responses = campaign.responses.iter();
        let responses = responses.map(|response| response.column.as_str());
        let names = RESULTS.into_iter().chain(responses);
        let names = names.filter(|name| !settings.contains(name));
        let heads = table.heads.iter().map(|head| head.name.as_str());
        let names = names.chain(heads.filter(|name| flat(name).is_some()));
        let are_results = campaign.chemistry.is_some() || !campaign.responses.is_empty();
        let column = |name| table.column(name);
        Telling {
            results: are_results.then(|| names.map(column).collect()),
            settings: settings.iter().copied().map(column).collect(),
        }
    }

    /// Whether a row says what is to be done and nothing of what came of it, as far as its own cells tell.
    pub fn is_open(&self, reader: &RowReader) -> bool {
        let is_filled = |column: &Column| reader.text(*column).is_some();
        let results = self.results.as_ref();
        results.is_some_and(|results| !results.iter().any(is_filled))
            && self.settings.iter().any(is_filled)
    }
}

/// Takes planned rows out of the runs log; that a charge is missing in them is no fault.
pub(super) fn set_apart(logged: &mut Logged) {
    let rows = &logged.runs.rows;
    if !rows.iter().any(|row| row.is_open) {
        return;
    }
    let with_results: Sorted = logged.of_runs().map(|(.., run)| run.as_str()).collect();
    let mut faults: BTreeMap<&str, Vec<(&Place, ErrorKind)>> = BTreeMap::new();
    for entry in &logged.left_out {
        let run = entry.run.as_deref().unwrap_or_default();
        let fault = (&entry.place, entry.error.kind());
        faults.entry(run).or_default().push(fault);
    }
    let standing = |row: &RunRow| {
        let faults = faults.get(row.run.as_str());
        let faults = || faults.into_iter().flatten();
        let own = || faults().filter(|(place, _)| **place == row.place);
        // A row of another log that could not be read is a result all the same.
        let has_result =
            with_results.contains(row.run.as_str()) || faults().count() > own().count();
        let is_faulty = own().any(|(_, kind)| *kind != ErrorKind::Missing);
        match (row.is_open, has_result) {
            (true, false) if !is_faulty => Standing::Planned,
            (true, _) if own().count() > 0 => Standing::LeftOut,
            _ => Standing::Made,
        }
    };
    let standings: Vec<Standing> = rows.iter().map(standing).collect();
    let are = |standing: Standing| standings.iter().map(move |known| *known == standing);
    let pick = |rows: &[RunRow], standing| picked(rows, are(standing));
    let planned = pick(rows, Standing::Planned);
    let made = pick(rows, Standing::Made);
    let key = |place: &Place| (place.file.clone(), place.line);
    let places: BTreeSet<_> = planned.iter().map(|row| key(&row.place)).collect();
    let is_planned = |entry: &LeftOut| places.contains(&key(&entry.place));
    logged.left_out.retain(|entry| !is_planned(entry));
    let mut columns = Vec::new();
    for column in &mut logged.runs.columns {
        let cells = picked(&column.cells, are(Standing::Planned));
        let made = picked(&column.cells, are(Standing::Made));
        // A level that is planned is known, as one is of a row that is left out.
        let cells_before = std::mem::replace(&mut column.cells, made);
        let others = cells_before.into_iter().zip(&standings);
        let others = others.filter(|(_, standing)| **standing != Standing::Made);
        column.left_out.extend(others.filter_map(|(cell, _)| cell));
        columns.push(LoggedColumn {
            cells,
            left_out: Vec::new(),
            ..column.clone()
        });
    }
    let dated = (LogKind::Runs, "date".to_string());
    logged.dates_tell_plans =
        logged.columns.contains(&dated) && made.iter().all(|row| row.date.is_some());
    logged.runs.rows = made;
    logged.planned = RunsLog {
        names: planned.iter().map(|row| row.run.clone()).collect(),
        lines: planned.len(),
        rows: planned,
        columns,
    };
}

/// What a row of the runs log is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    Made,
    Planned,
    LeftOut,
}

fn picked<T: Clone>(all: &[T], are: impl Iterator<Item = bool>) -> Vec<T> {
    let all = all.iter().zip(are).filter(|(_, is)| *is);
    all.map(|(item, _)| item.clone()).collect()
}

#[cfg(test)]
mod tests {
    use crate::campaign::{CampaignDraft, FileText, LogKind};
    use crate::intake::{LogFile, Logged, Survey, survey};

    const CHEMISTRY: &str = "product = \"CuO\"\nfollowed = \"Cu\"\nassay_as = \"CuO\"\n";
    const FACTORS: &str =
        "[factors.heating]\nkind = \"choice\"\n[responses.time]\ncolumn = \"time\"\n";

    /// What is logged in the runs log, and in a crops log where that has rows.
    fn surveyed(chemistry: &str, factors: &str, runs: &str, crops: &str) -> Survey {
        let logs = [
            (LogKind::Runs, "runs.csv", runs),
            (LogKind::Crops, "crops.csv", crops),
        ];
        let logs = logs.into_iter().filter(|(.., log)| !log.is_empty());
        let named = logs
            .clone()
            .map(|(kind, file, _)| format!("{} = \"{file}\"\n", kind.key()));
        let text = format!(
            "[campaign]\ntitle = \"x\"\n{chemistry}[logs]\n{}{factors}",
            named.collect::<String>()
        );
        let file = FileText {
            file: "campaign.toml".into(),
            text,
        };
        let campaign = CampaignDraft::read(file).unwrap().check().unwrap();
        let files = logs.map(|(kind, file, log)| LogFile {
            part: None,
            kind,
            file: file.into(),
            bytes: log.as_bytes().to_vec(),
        });
        survey(&campaign, &files.collect::<Vec<_>>())
    }

    fn logged(runs: &str, crops: &str) -> Logged {
        let survey = surveyed(CHEMISTRY, FACTORS, runs, crops);
        assert_eq!(survey.stops, []);
        survey.logged
    }

    const MADE: &str = "run,date,feed_mass,heating,time,labour\na,2025-03-01,100,hob,5,9\n";

    #[test]
    fn settings_without_date_and_result_are_a_plan_and_no_fault() {
        for row in ["p,,90,,,\n", "p,,,hob,,\n", "p,,90,hob,,\n"] {
            let logged = logged(&format!("{MADE}{row}"), "");
            assert_eq!(logged.planned.names, ["p"], "{row}");
            assert_eq!(logged.runs.names, ["a", "p"]);
            assert_eq!((logged.runs.rows.len(), logged.runs.lines), (1, 2));
            assert_eq!(logged.left_out.len(), 0);
            assert!(logged.dates_tell_plans);
            let cells = &logged.planned.column("heating").unwrap().cells;
            assert_eq!(cells.len(), 1);
        }
    }

    #[test]
    fn a_date_a_result_or_nothing_at_all_is_no_plan() {
        for row in [
            "p,2025-03-02,90,hob,,\n",
            "p,,90,hob,4,\n",
            "p,,90,hob,,8\n",
            "p,soon,90,hob,,\n",
            "p,,,,,\n",
        ] {
            let logged = logged(&format!("{MADE}{row}"), "");
            assert_eq!(logged.planned.lines, 0, "{row}");
        }
    }

    #[test]
    fn a_crop_in_its_log_is_a_result_and_a_missing_charge_a_fault_then() {
        let crops = "run,mass\np,50\n";
        let made = logged(&format!("{MADE}p,,90,hob,,\n"), crops);
        assert_eq!((made.planned.lines, made.runs.rows.len()), (0, 2));
        for crops in [crops, "run,mass\np,none\n"] {
            let logged = logged(&format!("{MADE}p,,,hob,,\n"), crops);
            assert_eq!((logged.planned.lines, logged.runs.rows.len()), (0, 1));
            let faults = logged.left_out.iter();
            let mut faults = faults.map(|entry| entry.error.message());
            let message = "column `feed_mass` in `runs.csv` line 3 is empty";
            assert!(faults.any(|known| known == message), "{crops}");
        }
    }

    #[test]
    fn a_crop_of_the_flat_style_is_a_result_and_a_faulty_setting_a_fault() {
        let flat = logged("run,date,feed_mass,crop1_mass\np,,90,0\n", "");
        assert_eq!(flat.planned.lines, 0);
        let faulty = logged(&format!("{MADE}p,,ninety,hob,,\n"), "");
        assert_eq!((faulty.planned.lines, faulty.left_out.len()), (0, 1));
    }

    #[test]
    fn a_run_that_is_set_aside_is_not_planned_any_more() {
        let log = "run,date,feed_mass,set_aside\na,2025-03-01,100,\np,,90,no feed left\n";
        assert_eq!(logged(log, "run,mass\na,50\n").planned.lines, 0);
    }

    #[test]
    fn without_dates_of_all_runs_made_a_plan_is_not_sure() {
        let undated = logged("run,feed_mass,time\na,100,5\np,90,\n", "");
        assert_eq!(undated.planned.names, ["p"]);
        assert!(!undated.dates_tell_plans);
        let some = format!("{MADE}b,,100,hob,6,\np,,90,hob,,\n");
        let some = logged(&some, "");
        assert!(some.planned.names == ["p"] && !some.dates_tell_plans);
        let none_made = logged("run,date,feed_mass\np,,90\n", "");
        assert!(none_made.planned.names == ["p"] && none_made.dates_tell_plans);
    }

    #[test]
    fn where_nothing_can_be_a_result_nothing_is_a_plan() {
        let factors = "[factors.heating]\nkind = \"choice\"\n";
        let survey = surveyed("", factors, "run,heating\na,hob\nb,kiln\n", "");
        assert_eq!(survey.logged.planned.lines, 0);
        assert_eq!(survey.logged.runs.rows.len(), 2);
    }
}
