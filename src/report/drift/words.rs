//! Control charts in words.
//!
//! In: series and signals. Out: questions, clauses and figures that page, terminal and pictures share, not escaped, and the answer to question 8.
//! This module never finds a signal.

use crate::drift::{
    Cause, Change, ChartKind, ChartPoint, Drifts, Explained, InControl, Origin, Series, Side,
    SignalReason, Subject,
};
use crate::report::print::{Naming, Shown, and_list, capital, decimals_for, fixed};

/// What a series is about, with names as they are in the campaign.
pub(crate) fn name_of(series: &Series) -> String {
    about(&series.subject)
}

/// What charts are about, with names as they are in the campaign.
pub fn about(subject: &Subject) -> String {
    match subject {
        Subject::Response(name) => name.clone(),
        Subject::Titrant(name) => format!("concentration of {name}"),
    }
}

/// The question that a chart answers.
pub(crate) fn asked(series: &Series, kind: ChartKind) -> String {
    let name = name_of(series);
    let one = match series.subject {
        Subject::Response(_) => "run",
        Subject::Titrant(_) => "standardisation",
    };
    match kind {
        ChartKind::Individuals => format!("Is the {name} of any {one} out of the ordinary?"),
        ChartKind::Ewma => format!("Has the recent {name} moved away?"),
        ChartKind::Cusum => format!("Does {name} depart for good, and since when?"),
    }
}

/// Name of a chart for people.
pub fn chart_words(kind: ChartKind) -> &'static str {
    match kind {
        ChartKind::Individuals => "single values",
        ChartKind::Ewma => "weighted mean of the newest values",
        ChartKind::Cusum => "cumulative sums",
    }
}

/// `62.1 %`: the centre with as many digits as a tenth of the standard deviation needs.
pub(crate) fn centre_of(series: &Series) -> String {
    figure(
        series,
        series.in_control.centre,
        &Shown::raw(&series.unit).unit,
    )
}

/// `2.1 points`.
pub fn sd_of(series: &Series) -> String {
    let shown = Shown::raw(&series.unit);
    let sd = shown.value(series.in_control.sd);
    with_unit(fixed(sd, decimals_for(sd)), &shown.difference)
}

/// A value of the series with the digits that its standard deviation allows.
pub fn figure(series: &Series, value: f64, unit: &str) -> String {
    let shown = Shown::raw(&series.unit);
    let decimals = decimals_for(shown.value(series.in_control.sd));
    with_unit(fixed(shown.value(value), decimals), unit)
}

fn with_unit(text: String, unit: &str) -> String {
    if unit.is_empty() {
        text
    } else {
        format!("{text} {unit}")
    }
}

/// Where centre and standard deviation come from.
pub fn origin(series: &Series) -> String {
    let InControl {
        centre_from,
        sd_from,
        ..
    } = series.in_control;
    let one = match series.subject {
        Subject::Response(_) => "runs",
        Subject::Titrant(_) => "standardisations",
    };
    let all = series.places.len();
    let from = |origin: Origin| match origin {
        Origin::Stated => "stated in the campaign file".to_string(),
        Origin::FirstRuns(runs) if runs == all => format!(
            "estimated from all {runs} {one}, so that a drift among them partly hides itself"
        ),
        Origin::FirstRuns(runs) => format!("estimated from the first {runs} of {all} {one}"),
    };
    if centre_from == sd_from {
        format!("both {}", from(centre_from))
    } else {
        format!(
            "the centre {}, the standard deviation {}",
            from(centre_from),
            from(sd_from)
        )
    }
}

/// `3.2 points (1.5 SD) low`.
pub fn departure(series: &Series, explained: &Explained) -> String {
    let signal = &explained.signal;
    let unit = Shown::raw(&series.unit).difference;
    format!(
        "{} ({} SD) {}",
        figure(series, signal.size.abs(), &unit),
        fixed(signal.size_in_sd.abs(), 1),
        if signal.size < 0.0 { "low" } else { "high" }
    )
}

/// `B-041` or `B-041 to B-047`.
pub fn flagged_runs(series: &Series, explained: &Explained) -> String {
    let signal = &explained.signal;
    let name = |position: usize| series.places[position].name.as_str();
    if signal.first == signal.last {
        name(signal.first).to_string()
    } else {
        format!("{} to {}", name(signal.first), name(signal.last))
    }
}

/// The run where the departure began, as far as the chart can tell.
pub fn onset<'a>(series: &'a Series, explained: &Explained) -> &'a str {
    &series.places[explained.signal.onset].name
}

/// Why it is flagged.
pub fn why(explained: &Explained) -> String {
    let signal = &explained.signal;
    match signal.reason {
        SignalReason::Rule(rule) => rule.words().to_string(),
        SignalReason::BeyondLimit => beyond(signal.side).into(),
    }
}

fn beyond(side: Side) -> &'static str {
    match side {
        Side::Above => "above the upper limit",
        Side::Below => "below the lower limit",
    }
}

/// What is out of the ordinary at a run; None where nothing is.
pub fn flag(point: &ChartPoint) -> Option<String> {
    let limit = point.limited.beyond().map(beyond);
    let rules = point.rules.iter().map(|at| at.rule.words());
    let words: Vec<&str> = limit.into_iter().chain(rules).collect();
    (!words.is_empty()).then(|| words.join("; "))
}

/// The first candidate cause in words.
pub fn cause(explained: &Explained) -> String {
    explained
        .cause
        .as_ref()
        .map_or_else(|| "none in the log".into(), candidate)
}

/// A candidate cause in words.
pub fn candidate(cause: &Cause) -> String {
    let run = &cause.run;
    let change = match &cause.change {
        Change::Lot { before, now } => format!("lot {now} after lot {before} from run {run}"),
        Change::Titrant { titrant } => format!("titrant {titrant} from run {run}"),
        Change::Standardised { titrant, date } => {
            format!("titrant {titrant} standardised on {date}, before run {run}")
        }
        Change::Level {
            factor,
            before,
            now,
            in_model,
        } => {
            let known = if *in_model {
                ", though its mean effect is taken out"
            } else {
                ""
            };
            format!("{factor} {now} after {before} at run {run}{known}")
        }
    };
    match cause.after_onset {
        0 => change,
        n => format!(
            "{change} ({} run{} {} the estimated onset)",
            n.abs(),
            if n.abs() == 1 { "" } else { "s" },
            if n < 0 { "before" } else { "after" }
        ),
    }
}

/// `31 %`, of a chance that was counted over simulated logs and is known to no more digits.
pub fn simulated_chance(chance: f64) -> String {
    if chance < 0.005 {
        "below 1 %".into()
    } else {
        format!("{} %", fixed(100.0 * chance, 0))
    }
}

/// What the charts say, in a few sentences.
pub fn headline(drift: &Drifts, naming: Naming) -> String {
    let (mut flagged, mut quiet) = (Vec::new(), Vec::new());
    for series in &drift.series {
        match main_finding(series, naming) {
            Some(finding) => flagged.push(finding),
            None => quiet.push(format!(
                "{} (centre {}, SD {})",
                naming(&name_of(series)),
                naming(&centre_of(series)),
                naming(&sd_of(series))
            )),
        }
    }
    let mut text = flagged.join(" ");
    if !quiet.is_empty() {
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(&format!(
            "Nothing out of the ordinary in {}.",
            and_list(&quiet)
        ));
    }
    text
}

fn main_finding(series: &Series, naming: Naming) -> Option<String> {
    let (_, explained) = series.main_signal()?;
    let cause = match &explained.cause {
        Some(cause) => format!("; first candidate cause: {}", naming(&candidate(cause))),
        None if begins_with_the_log(series, explained) => {
            ", from the start of the log, so there is no change to name".into()
        }
        None => "; nothing in the log changed there".into(),
    };
    let cause = match series.subject {
        Subject::Response(_) => cause,
        Subject::Titrant(_) => String::new(),
    };
    Some(format!(
        "{}: flagged at {}, {} since about {}{cause} (a log of this length without drift has a flag with a chance of {}).",
        capital(&naming(&name_of(series))),
        naming(&flagged_runs(series, explained)),
        naming(&departure(series, explained)),
        naming(onset(series, explained)),
        simulated_chance(series.chance_of_any_flag),
    ))
}

/// Whether a departure was there from the first place charted on.
fn begins_with_the_log(series: &Series, explained: &Explained) -> bool {
    series
        .places
        .first()
        .is_some_and(|first| first.name == onset(series, explained))
}

/// Name that the section knows a picture by.
pub fn picture_name(series: &Series, kind: ChartKind) -> String {
    let about = match &series.subject {
        Subject::Response(name) => format!("response-{name}"),
        Subject::Titrant(name) => format!("titrant-{name}"),
    };
    format!("drift-{}-{about}", kind.name())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_candidate_is_said_with_its_distance_from_the_onset() {
        let mut cause = Cause {
            run: "B-041".into(),
            after_onset: 0,
            change: Change::Lot {
                before: "C".into(),
                now: "D".into(),
            },
        };
        let change = "lot D after lot C from run B-041";
        assert_eq!(candidate(&cause), change);
        for (after_onset, distance) in [(-1, "1 run before"), (2, "2 runs after")] {
            cause.after_onset = after_onset;
            let expected = format!("{change} ({distance} the estimated onset)");
            assert_eq!(candidate(&cause), expected);
        }
    }
}
