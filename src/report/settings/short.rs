//! Question 6 in short: which settings are best.
//!
//! In: the best settings. Out: the answer for the first screen, names for people.
//! This module never recommends: it says what the model expects where.

use crate::campaign::Campaign;
use crate::decide::{BestSettings, HowSettled};
use crate::report::print::aim_names::{self, demand, difference, unit, value};
use crate::report::print::{Brief, joined, probability};

/// Which settings are best, what to expect there, and how that stands to the runs made.
pub fn short(campaign: &Campaign, best: &BestSettings, brief: &mut Brief) {
    let shown = aim_names::shown(&best.aim);
    let place = place(campaign, best, |_| true);
    let mean = shown.mean(&best.mean);
    let name = campaign.called(best.aim.of.name());
    match (best.reaches, demand(&best.aim)) {
        (Some(false), Some(demand)) => {
            brief.say(&format!("no settings within the limits give {demand}"));
            brief.say(&format!("nearest: {place}, {name} {mean}"));
        }
        _ => brief.say(&format!("{place}: {name} {mean}")),
    }
    if let Some(chance) = best.chance_spec.map(probability) {
        brief.say(&format!("{chance} chance of meeting the specification"));
    }
    let Some(present) = &best.present else {
        return;
    };
    let run = &present.run;
    let gain = present.gain.as_ref();
    let gain = gain
        .map(|gain| shown.change(gain).to_string())
        .unwrap_or_default();
    let against = format!("the best settings run, {run}");
    if present.same {
        return brief.say(&format!("those are {against}"));
    }
    match best.standing {
        HowSettled::Settled => brief.say(&format!("{gain} against {against}")),
        HowSettled::Alike => {
            let margin = difference(best.aim.margin.unwrap_or(0.0), &shown);
            brief.say(&format!("less than {margin} from {against}"));
        }
        HowSettled::NotSettled => {
            brief.say(&format!("whether that beats {against} is not settled"))
        }
    }
}

/// `heating muffle, oxidant excess 83.84 %, route spirit`: the settings of these factors.
pub fn place(campaign: &Campaign, best: &BestSettings, wanted: impl Fn(&str) -> bool) -> String {
    let each = best.at.iter().filter(|chosen| wanted(&chosen.factor));
    let each = each.map(|chosen| {
        let setting = value(&chosen.value) + &unit(&chosen.unit);
        format!("{} {setting}", campaign.called(&chosen.factor))
    });
    joined(each, ", ")
}
