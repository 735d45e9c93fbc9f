//! The call that reads everything and reports every fault.
//!
//! In: the options of the call. Out: what stops, what is left out and what is doubtful, as text or JSON.
//! This module never ends at the first fault.

use residuum::answers::{ToDo, WhyOpen};
use residuum::campaign::{Readable, nearest};
use residuum::caveat::Caveat;
use residuum::decide;
use residuum::error::{Error, ErrorKind, Faults};
use residuum::intake::{self, LeftOut, PassedIn, Superseded, UsedAs};
use residuum::pipeline::{self, Lost, Normalised};
use residuum::report::{json, terminal, wrapped};
use residuum::result::{CampaignHead, Planned};
use residuum::runs;
use serde_json::{Value, json};

use super::load::{Loaded, Outside, campaign_path, load_as_far_as_sound};
use super::tell::{ended, failed, one_object};
use super::width::of_stdout;
use super::work::normalised;
use super::{Common, Ending};

/// Everything that a look at a campaign brought up.
#[derive(Default)]
struct Found {
    stops: Vec<Error>,
    left_out: Vec<LeftOut>,
    passed_over: Vec<PassedIn>,
    caveats: Vec<Caveat>,
    used_as: Vec<UsedAs>,
    /// What an answer still lacks, with what to do about it.
    missing: Vec<(WhyOpen, ToDo)>,
    /// Title and numbers of runs, where these could be worked out.
    head: Option<CampaignHead>,
    /// Runs that can be used.
    used: usize,
    /// Lines of the runs log that a later version supersedes.
    superseded: Vec<Superseded>,
    /// Runs that are planned.
    planned: Vec<Planned>,
}

pub(super) fn check(common: &Common, chain: Option<&str>, columns: bool) -> Ending {
    if let Err(error) = campaign_path(&common.campaign) {
        return failed(&error.into());
    }
    if columns {
        return columns_of(common);
    }
    if let Some(run) = chain {
        return match chain_of(common, run) {
            Ok(text) => ended(&text, Ending::Done),
            Err(faults) => failed(&faults),
        };
    }
    let outside = Outside::of(common.allow_outside);
    let found = match load_as_far_as_sound(&common.campaign, outside) {
        Ok((loaded, readable)) => look(&loaded, &readable, common),
        Err(faults) => Found {
            stops: faults.into_errors(),
            ..Found::default()
        },
    };
    let faulty = !found.stops.is_empty() || found.left_out.iter().any(|entry| !entry.on_purpose);
    let text = if common.json {
        let Found {
            stops, left_out, ..
        } = &found;
        one_object(&json!({
            "campaign": found.head,
            "causes": json::causes(stops, left_out, &found.caveats),
            "stops": stops.iter().map(stop).collect::<Value>(),
            "left_out": json::left_out(left_out),
            "planned": found.planned,
            "superseded": json::superseded(&found.superseded),
            "caveats": json::caveats(&found.caveats),
            "not_read": terminal::passed_over(&found.passed_over),
            "slips": json::slips(&found.caveats),
            "used_as": json::used_as(&found.used_as),
            "missing": json::missing(&found.missing),
        }))
    } else {
        wrapped(&found.text(), of_stdout())
    };
    ended(&text, Ending::flagged(faulty))
}

/// What was understood of each column; logs that cannot be read are told beside it.
fn columns_of(common: &Common) -> Ending {
    let (loaded, _) =
        match load_as_far_as_sound(&common.campaign, Outside::of(common.allow_outside)) {
            Ok(loaded) => loaded,
            Err(faults) => return failed(&faults),
        };
    let (seen, unread) = intake::seen_columns(&loaded.campaign, &loaded.files);
    let unread = loaded.unread.into_iter().chain(unread).collect();
    let text = match common.json {
        true => one_object(&json!({ "columns": json::columns(&seen) })),
        false => terminal::columns(&seen, of_stdout()),
    };
    match Faults::or(unread, ()) {
        Ok(()) => ended(&text, Ending::Done),
        Err(faults) => {
            failed(&faults);
            ended(&text, Ending::Flagged)
        }
    }
}

/// How purity and yield of one run come about.
fn chain_of(common: &Common, run: &str) -> Result<String, Faults> {
    let loaded = common.load()?;
    let Normalised { logged, runs } = normalised(&loaded)?;
    let Some(chain) = runs::chain(&loaded.campaign, &logged, &runs, run) else {
        let out = runs.left_out.iter();
        let mut out = out.filter(|entry| entry.run.as_deref() == Some(run));
        let names = runs.results.iter().map(|result| result.run.as_str());
        let is_planned = runs.planned.iter().any(|plan| plan.run == run);
        let hint = match (out.next(), nearest(run, names)) {
            _ if is_planned => "it is planned in the log, and not made yet".into(),
            (Some(entry), _) => format!("it was left out: {}", entry.error.message()),
            (None, Some(near)) => format!("did you mean `{near}`?"),
            (None, None) => "name a run of the runs log".into(),
        };
        let what = format!("no chain of run `{run}`: it has no result");
        return Err(Error::new(ErrorKind::UnknownName, what).hint(hint).into());
    };
    Ok(match common.json {
        true => one_object(&json!({ "chain": json::chain_as_data(&chain) })),
        false => wrapped(&terminal::chain(&chain), of_stdout()),
    })
}

/// Reads the logs, works the runs out and fits the models, each as far as what comes before allows.
fn look(loaded: &Loaded, readable: &Readable, common: &Common) -> Found {
    let campaign = &loaded.campaign;
    let mut survey = intake::survey(campaign, &loaded.files);
    let mut found = Found {
        passed_over: survey.logged.passed.clone(),
        superseded: survey.logged.superseded.clone(),
        used_as: std::mem::take(&mut survey.logged.used_as),
        missing: pipeline::still_missing(campaign, &survey.logged),
        ..Found::default()
    };
    let unread = readable.faults.iter().chain(&loaded.unread);
    let unread: Vec<Error> = unread.cloned().collect();
    if !unread.is_empty() || !survey.stops.is_empty() {
        // What could not be read may hold what would be called missing.
        found.missing.clear();
        let lost = Lost {
            headings: readable.headings_lost,
            logs: readable.logs_lost,
            files: loaded.lost.clone(),
        };
        let behind = pipeline::behind_stops(campaign, survey, &lost);
        found.stops = unread.into_iter().chain(behind.stops).collect();
        found.left_out = behind.left_out;
        found.caveats = behind.caveats;
        return found;
    }
    let sure = survey.logged.dates_tell_plans;
    let levels = pipeline::levels_spelt_alike(campaign, &survey.logged);
    let runs = match pipeline::on_one_footing(campaign, survey.logged) {
        Ok(normalised) => normalised.runs,
        Err(stopped) => {
            let stops = stopped.faults.into_errors().into_iter();
            found.stops = stops.filter(|stop| !pipeline::only_follows(stop)).collect();
            found.left_out = stopped.left_out;
            found.planned = json::planned(&stopped.planned, sure);
            found.caveats = levels;
            return found;
        }
    };
    found.left_out = runs.left_out.clone();
    found.caveats = runs.caveats.clone();
    if campaign.model.is_some() {
        let response = common.response.as_deref();
        match pipeline::fit(campaign, &runs, response, common.seed) {
            Ok(models) => found.caveats.extend(models.caveats),
            Err(faults) => found.stops = faults.into_errors(),
        }
    }
    let of_plans = decide::doubts_of_plans(campaign, &runs);
    found.caveats.extend(of_plans);
    found.planned = json::planned(&runs.planned, runs.plans_are_sure);
    found.head = Some(json::head(campaign, &runs));
    found.used = runs.used();
    found
}

impl Found {
    fn text(&self) -> String {
        let mut text = String::new();
        for cause in terminal::faults(&self.stops) {
            text.push_str(&format!("stops: {cause}\n"));
        }
        text.push_str(&terminal::left_out(&self.left_out));
        text.push_str(&terminal::superseded(&self.superseded));
        text.push_str(&terminal::planned(&self.planned));
        text.push_str(&terminal::caveats_by_kind(&self.caveats));
        for line in terminal::passed_over(&self.passed_over) {
            text.push_str(&format!("not read as rows: {line}\n"));
        }
        text.push_str(&terminal::used_as(&self.used_as));
        if let Some(head) = &self.head {
            let (used, all) = (self.used, head.runs - self.superseded.len());
            let planned = match self.planned.len() {
                0 => String::new(),
                planned => format!(", {planned} planned"),
            };
            text.push_str(&format!("{used} of {all} runs can be used{planned}\n"));
        }
        text.push_str(&terminal::still_missing(&self.missing));
        text
    }
}

fn stop(stop: &Error) -> Value {
    json!({
        "reason": stop.message(),
        "file": stop.file(),
        "line": stop.line(),
        "column": stop.column(),
        "hint": stop.advice(),
    })
}
