//! What several campaigns say together, in sentences.
//!
//! In: what was found. Out: sentences and clauses, names as they were logged.
//! This module never decides whether an effect is settled.

use crate::answers::Status;
use crate::regression::{Interval, ResponseScale};
use crate::report::answer_words::status;
use crate::report::print::{
    Cell, Shown, and_list, around, capital, count, fixed, joined, plain, probability,
};
use crate::together::{
    Differing, NotPooled, OfResponse, SharedEffect, Together, What, Why, WhyNot,
};

/// How figures of a response are shown; those of a fit on the logit scale as they are.
pub fn shown(of: &OfResponse) -> Shown {
    match of.model.scale {
        ResponseScale::Plain => Shown::of(&of.model.unit),
        ResponseScale::Logit => Shown::of("logit"),
    }
}

/// An effect with its ± in the unit that is shown.
pub fn figure(of: &OfResponse, effect: &SharedEffect, value: f64, ends: Option<Interval>) -> Cell {
    let shown = shown(of);
    let unit = match effect.per.as_str() {
        "" => shown.difference.clone(),
        per => format!("{} per {per}", shown.difference).trim().to_string(),
    };
    shown.difference_with(value, ends).in_unit(&unit)
}

/// What the runs of all campaigns are.
pub fn runs_used(found: &Together) -> String {
    let percent = fixed(100.0 * found.confidence, 0);
    let of_response = found.responses.iter().map(|of| {
        let each = found.titles.iter().zip(&of.runs);
        let each = each.map(|(title, runs)| format!("{title} ({})", count(*runs, "run")));
        format!("{}: {}", of.model.response, and_list(each))
    });
    format!(
        "{} in one model. Runs used, {}. Intervals are {percent} %.",
        capital(&count(found.titles.len(), "campaign")),
        joined(of_response, "; ")
    )
}

pub fn question(response: &str) -> String {
    format!("What moves {response} in all campaigns?")
}

/// Each effect of a response in a sentence, with where it stands.
pub fn effects(of: &OfResponse) -> Vec<String> {
    of.effects
        .iter()
        .map(|effect| in_short(of, effect))
        .collect()
}

fn in_short(of: &OfResponse, effect: &SharedEffect) -> String {
    let what = format!("{}, {}", of.model.response, effect.name);
    let said = match (&effect.common, &effect.across) {
        (Some(term), _) => {
            figure(of, effect, term.value, term.interval).to_string() + " in all campaigns"
        }
        (None, Some(across)) => {
            let figure = figure(of, effect, across.value, effect.across_interval);
            format!("{figure} in the middle of campaigns that may differ")
        }
        (None, None) => "cannot be told".to_string(),
    };
    let why = joined(effect.why.iter().map(|why| reason(*why)), "; ");
    let standing = match effect.status {
        Status::Settled => "settled: nothing shows that a campaign differs".to_string(),
        other => status(other).to_string() + &around(": ", &why, ""),
    };
    format!("{what}: {said} ({standing}).")
}

/// Where a response stands: settled if all effects are, and so on.
pub fn standing(of: &OfResponse) -> Status {
    let is = |wanted: Status| of.effects.iter().filter(|one| one.status == wanted).count();
    match is(Status::Settled) {
        all if all == of.effects.len() => Status::Settled,
        0 if is(Status::InDoubt) > 0 => Status::InDoubt,
        0 => Status::Open,
        _ => Status::PartlyOpen,
    }
}

/// Why an effect is not settled.
pub fn reason(why: WhyNot) -> String {
    match why {
        WhyNot::HoldsZero => "its interval holds zero".into(),
        WhyNot::Differs => "it differs among the campaigns".into(),
        WhyNot::MayDiffer => "it was allowed to differ among the campaigns".into(),
        WhyNot::NotTested => "the runs cannot tell whether it differs among the campaigns".into(),
        WhyNot::BetweenCampaigns => "it was varied between campaigns alone, so that whatever else changed with the campaign may have done it".into(),
        WhyNot::FewTell(0) => "no campaign tells it by itself".into(),
        WhyNot::FewTell(few) => format!("only {} tells it by itself", count(few, "campaign")),
        WhyNot::HoldsZeroAcross => "it rests on being the same in every campaign, and these are too few, or too far apart, to show it without that".into(),
        WhyNot::AlongWithTime => "it changed so seldom along the runs of each campaign that whatever else changed in that time may have done it".into(),
        WhyNot::NotWithDrift => "it is no longer shown once each campaign may drift".into(),
        WhyNot::NotRobust => "a few runs that lie far off decide it".into(),
        WhyNot::FitNotSettled => "the fit did not settle".into(),
        WhyNot::NotSeparable => "the runs cannot tell it apart from something else".into(),
    }
}

/// What would lift it.
pub fn to_do(why: WhyNot) -> &'static str {
    match why {
        WhyNot::HoldsZero => "more runs over its range",
        WhyNot::Differs => {
            "let it differ with `--differ`, and decide for each campaign by its own figure; look for what the campaigns did otherwise"
        }
        WhyNot::MayDiffer => "decide for each campaign by its own figure",
        WhyNot::NotTested | WhyNot::NotSeparable => {
            "vary it within each campaign apart from everything else"
        }
        WhyNot::BetweenCampaigns => "vary it within one campaign, better within each",
        WhyNot::FewTell(_) | WhyNot::HoldsZeroAcross => {
            "vary it in a further campaign, or by more within each"
        }
        WhyNot::AlongWithTime | WhyNot::NotWithDrift => {
            "change it to and fro in the order of the runs"
        }
        WhyNot::NotRobust => "check the runs that lie far off",
        WhyNot::FitNotSettled => "leave out an effect or a block",
    }
}

/// How the table of effects is read.
pub const HOW_TO_READ: &str = "A level is told against the baseline of its factor, an amount per unit. The common effect holds if the effect is the same in every campaign; the column beside it takes it as another in each, so that few campaigns say little however many runs they have. An effect is settled only if both lie on one side of zero, nothing shows that it differs, and no few runs decide it.";

/// Whether an effect differs, and how likely that is luck.
pub fn differing(differing: &Differing, luck: f64) -> String {
    match differing.corrected {
        None => "not to be told".into(),
        Some(p) if p < luck => "differs".into(),
        Some(_) => "no difference shown".into(),
    }
}

/// How runs scatter by campaign.
pub fn scatter(of: &OfResponse) -> String {
    let Some(uneven) = &of.model.uneven else {
        return "Runs scatter alike in all campaigns, as far as they tell.".into();
    };
    let shown = shown(of);
    let levels = uneven.levels.iter();
    let levels = levels.map(|of| format!("{} {}", of.level, shown.scatter(of.sd)));
    format!(
        "Runs scatter differently by {} (chance by luck {}), and each counts accordingly: {}.",
        uneven.factor,
        probability(uneven.p),
        and_list(levels)
    )
}

/// What was not pooled and why, with where that stands.
pub fn not_pooled(found: &Together, not: &NotPooled) -> String {
    let title = found.titles.get(not.campaign).map_or("", String::as_str);
    format!("{}: {}", what(&not.what), because(title, not))
}

/// Why something is not pooled, in the campaign of this title.
pub fn because(title: &str, not: &NotPooled) -> String {
    let place = &not.place;
    let unit = |unit: &str| match unit {
        "" => "without a unit".to_string(),
        unit => format!("in `{unit}`"),
    };
    let reason = match &not.why {
        Why::NotThere => "it does not have it".into(),
        Why::OtherKind => "an amount in one campaign and a choice in the other".into(),
        Why::OtherUnit { first, here } => {
            format!("it is {} there and {} in the first campaign", unit(here), unit(first))
        }
        Why::OtherBaseline { first, here } => {
            format!("its baseline is `{here}` there and `{first}` in the first campaign")
        }
        Why::NoSuchLevel => "no run there has it; it is told from the other campaigns alone".into(),
        Why::LotsAreItsOwn => "lots of two campaigns are different lots, whatever their names; they count within their campaign".into(),
        Why::OtherAssay { first, here } => {
            format!("assays are stated as `{here}` there and as `{first}` in the first campaign")
        }
        Why::NoValue => "no run there has a value together with every factor of the model".into(),
        Why::NotInFirst => "the model of the first campaign does not have it; where it is the effect of one factor, it counts for the runs of its own campaign alone".into(),
        Why::PartNotPooled(part) => format!("`{part}` is not pooled"),
    };
    format!("{title}, {place}: {reason}")
}

pub fn what(what: &What) -> String {
    match what {
        What::Effect(name) => format!("the effect of `{name}`"),
        What::Joint(names) => format!("the joint effect of `{}`", joined(names, " with ")),
        What::Level { factor, level } => format!("the level `{level}` of `{factor}`"),
        What::Response(name) => format!("the response `{name}`"),
    }
}

/// How it was worked out.
pub fn method(percent: &str) -> String {
    format!(
        "One model a response, by restricted likelihood: the terms of the first campaign's model that all campaigns have in the same meaning, campaigns as a random block, lots and other blocks random within their campaign. Errors of measurement count as they are known, shared within a campaign and independent between campaigns; where runs of campaigns scatter differently, each campaign has a scatter of its own. An effect that only one campaign's model has counts for its runs alone. Degrees of freedom and tests of effects after Kenward and Roger (1997). Whether an effect differs is the test of its joint effect with the campaigns, these fixed, chances counted for all effects of a response (Holm 1979). The interval of an effect that may be another in each campaign comes from the campaigns' own fits, each counted by the width of its own interval: weights with a variance between campaigns after Paule and Mandel (1982), {percent} % of t with one degree of freedom less than campaigns (Hartung and Knapp 2001). Each campaign's own doubts stand in its own report."
    )
}

/// Cochran's Q and the spread between campaigns, for whoever asks.
pub fn spread(of: &OfResponse, effect: &SharedEffect) -> Option<String> {
    let across = effect.across.as_ref()?;
    let sd = shown(of).value(across.between.sqrt());
    Some(plain(sd))
}
