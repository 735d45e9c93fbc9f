//! The call that reads everything and reports every fault.
//!
//! In: the options of the call. Out: what stops, what is left out and what is doubtful, as text or JSON.
//! This module never ends at the first fault.

use residuum::caveat::Caveat;
use residuum::error::Error;
use residuum::intake::{self, LeftOut};
use residuum::pipeline;
use residuum::report::{json, terminal, wrapped};
use residuum::result::CampaignHead;
use serde_json::{Value, json};

use super::load::{Loaded, campaign_path, load};
use super::tell::{ended, failed, one_object};
use super::width::of_stdout;
use super::{Common, Ending};

/// Everything that a look at a campaign brought up.
#[derive(Default)]
struct Found {
    stops: Vec<Error>,
    left_out: Vec<LeftOut>,
    caveats: Vec<Caveat>,
    /// Title and numbers of runs, where these could be worked out.
    head: Option<CampaignHead>,
    /// Runs that can be used.
    used: usize,
}

pub(super) fn check(common: &Common) -> Ending {
    if let Err(error) = campaign_path(&common.campaign) {
        return failed(&error.into());
    }
    let found = match load(&common.campaign) {
        Ok(loaded) => look(&loaded, common),
        Err(faults) => Found {
            stops: faults.into_errors(),
            ..Found::default()
        },
    };
    let faulty = !found.stops.is_empty() || found.left_out.iter().any(|entry| !entry.on_purpose);
    let text = if common.json {
        one_object(&json!({
            "campaign": found.head,
            "stops": found.stops.iter().map(stop).collect::<Value>(),
            "left_out": json::left_out(&found.left_out),
            "caveats": json::caveats(&found.caveats),
            "slips": json::slips(&found.caveats),
        }))
    } else {
        wrapped(&found.text(), of_stdout())
    };
    ended(&text, Ending::flagged(faulty))
}

/// Reads the logs, works the runs out and fits the models, each as far as what comes before allows.
fn look(loaded: &Loaded, common: &Common) -> Found {
    let survey = intake::survey(&loaded.campaign, &loaded.files);
    let mut found = Found {
        stops: loaded.unread.iter().chain(&survey.stops).cloned().collect(),
        ..Found::default()
    };
    if !found.stops.is_empty() {
        found.left_out = survey.logged.left_out;
        return found;
    }
    let runs = match pipeline::on_one_footing(&loaded.campaign, survey.logged) {
        Ok(normalised) => normalised.runs,
        Err(stopped) => {
            found.stops = stopped.faults.into_errors();
            found.left_out = stopped.left_out;
            return found;
        }
    };
    found.left_out = runs.left_out.clone();
    found.caveats = runs.caveats.clone();
    if loaded.campaign.model.is_some() {
        let response = common.response.as_deref();
        match pipeline::fit(&loaded.campaign, &runs, response, common.seed) {
            Ok(models) => found.caveats.extend(models.caveats),
            Err(faults) => found.stops = faults.into_errors(),
        }
    }
    found.head = Some(json::head(&loaded.campaign, &runs));
    found.used = runs.used();
    found
}

impl Found {
    fn text(&self) -> String {
        let mut text = String::new();
        for stop in &self.stops {
            text.push_str(&format!("stops: {stop}\n"));
        }
        text.push_str(&terminal::left_out(&self.left_out));
        text.push_str(&terminal::caveats(&self.caveats));
        if let Some(head) = &self.head {
            let (used, all) = (self.used, head.runs);
            text.push_str(&format!("{used} of {all} runs can be used\n"));
        }
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
