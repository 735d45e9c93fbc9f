//! Control charts in words.
//!
//! In: series and signals. Out: questions, clauses and figures that page, terminal and pictures share, not escaped, and the answer to question 8.
//! This module never finds a signal.

use crate::campaign::RunRule;
use crate::drift::{
    Cause, Change, ChartKind, ChartPoint, Drifts, Explained, InControl, Origin, Series, Side,
    SignalReason, Subject,
};
use crate::report::print::{
    Shown, and_list, around, capital, count, decimals_for, fixed, joined, percent, when,
};

/// What a series is about, with names as they are in the campaign.
pub(crate) fn name_of(series: &Series) -> String {
    about(&series.subject)
}

/// What charts of the reference material are about.
const CONTROL: &str = "content of the control sample";

/// What charts are about, with names as they are in the campaign.
pub fn about(subject: &Subject) -> String {
    match subject {
        Subject::Response(name) => name.clone(),
        Subject::Titrant(name) => format!("concentration of {name}"),
        Subject::Control => CONTROL.into(),
    }
}

/// The question that a chart answers.
pub(crate) fn asked(series: &Series, kind: ChartKind) -> String {
    let name = name_of(series);
    let one = match series.subject {
        Subject::Response(_) => "run",
        Subject::Titrant(_) => "standardisation",
        Subject::Control => "titration of it",
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
pub fn centre_of(series: &Series) -> String {
    let unit = Shown::of(&series.unit).unit;
    figure(series, series.in_control.centre, &unit)
}

/// `2.1 points`.
pub fn sd_of(series: &Series) -> String {
    let unit = Shown::of(&series.unit).difference;
    figure(series, series.in_control.sd, &unit)
}

/// A value of the series with the digits that its standard deviation allows.
fn figure(series: &Series, value: f64, unit: &str) -> String {
    let shown = Shown::of(&series.unit);
    let decimals = decimals_for(shown.value(series.in_control.sd));
    fixed(shown.value(value), decimals) + &around(" ", unit, "")
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
        Subject::Control => "titrations of it",
    };
    let all = series.places.len();
    let from = |origin: Origin| match origin {
        Origin::Stated => "stated in the campaign file".to_string(),
        Origin::FirstRuns(runs) if runs == all => format!(
            "estimated from all {runs} {one}, so that a drift among them partly hides itself"
        ),
        Origin::FirstRuns(runs) => format!("estimated from the first {runs} of {all} {one}"),
    };
    let [centre, sd] = [centre_from, sd_from].map(from);
    match centre_from == sd_from {
        true => format!("both {centre}"),
        false => format!("the centre {centre}, the standard deviation {sd}"),
    }
}

/// `3.2 points (1.5 SD) low`.
pub fn departure(series: &Series, explained: &Explained) -> String {
    let signal = &explained.signal;
    let unit = Shown::of(&series.unit).difference;
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
    let ends = [signal.first, signal.last].map(|position| series.places[position].name.as_str());
    match signal.first == signal.last {
        true => ends[0].to_string(),
        false => ends.join(" to "),
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
    let cause = explained.cause.as_ref();
    cause.map_or_else(|| "none in the log".into(), candidate)
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
            let known = when(*in_model, ", though its mean effect is taken out");
            format!("{factor} {now} after {before} at run {run}{known}")
        }
    };
    match cause.after_onset {
        0 => change,
        n => {
            let runs = count(n.unsigned_abs() as usize, "run");
            let side = if n < 0 { "before" } else { "after" };
            format!("{change} ({runs} {side} the estimated onset)")
        }
    }
}

/// How far the limits stand out where runs share errors, and what counts as usual of lots; nothing where they do not.
pub fn widened(series: &Series) -> String {
    let charts = series.charts.iter().filter(|chart| chart.widened > 1.0);
    let charts = charts.map(|chart| {
        let times = fixed(chart.widened, 2);
        format!("{} {times} times", chart_words(chart.kind))
    });
    let lots = series.spread_of_lots.map(|sd| {
        let unit = Shown::of(&series.unit).difference;
        format!(
            "The lots of the first runs differ by more than stated errors explain, and a spread of {} (SD) from lot to lot counts as usual.",
            figure(series, sd, &unit)
        )
    });
    let limits = around(
        "Runs share errors, such as that of the assay of their lot, and stay together on one side without any drift; so that charts flag no more often by luck than with independent runs, their limits stand further out: ",
        &joined(charts, ", "),
        ".",
    );
    joined([limits, lots.unwrap_or_default()], " ")
}

/// Where a rule on neighbouring runs was published.
pub fn source_of(rule: RunRule) -> &'static str {
    match rule {
        RunRule::NineOnOneSide => "Nelson, Journal of Quality Technology 16 (1984) 237-239, test 2",
        RunRule::SixRisingOrFalling => {
            "Nelson, Journal of Quality Technology 16 (1984) 237-239, test 3"
        }
        RunRule::TwoOfThreeBeyondTwo => {
            "Nelson, Journal of Quality Technology 16 (1984) 237-239, test 5"
        }
    }
}

/// `31 %`, of a chance that was counted over simulated logs and is known to no more digits.
pub fn simulated_chance(chance: f64) -> String {
    match chance {
        chance if chance < 0.005 => "below 1 %".into(),
        chance => percent(chance, 0),
    }
}

/// What the charts say, in a few sentences.
pub fn headline(drift: &Drifts) -> String {
    let (mut flagged, mut quiet) = (Vec::new(), Vec::new());
    for series in &drift.series {
        match main_finding(series) {
            Some(finding) => flagged.push(finding),
            None => quiet.push(format!(
                "{} (centre {}, SD {})",
                name_of(series),
                centre_of(series),
                sd_of(series)
            )),
        }
    }
    let quiet = around("Nothing out of the ordinary in ", &and_list(quiet), ".");
    flagged.extend((!quiet.is_empty()).then_some(quiet));
    joined(flagged, " ")
}

fn main_finding(series: &Series) -> Option<String> {
    let (_, explained) = series.main_signal()?;
    let began = onset(series, explained);
    let cause = match (&series.subject, &explained.cause) {
        (Subject::Titrant(_) | Subject::Control, _) => String::new(),
        (_, Some(cause)) => format!("; first candidate cause: {}", candidate(cause)),
        (_, None)
            if series
                .places
                .iter()
                .take(1)
                .any(|first| first.name == began) =>
        {
            ", from the start of the log, so there is no change to name".into()
        }
        (_, None) => "; nothing in the log changed there".into(),
    };
    Some(format!(
        "{}: flagged at {}, {} since about {began}{cause} (a log of this length without drift has a flag with a chance of {}).",
        capital(&name_of(series)),
        flagged_runs(series, explained),
        departure(series, explained),
        simulated_chance(series.chance_of_any_flag),
    ))
}

/// Name that the section knows a picture by.
pub fn picture_name(series: &Series, kind: ChartKind) -> String {
    let about = match &series.subject {
        Subject::Response(name) => format!("response-{name}"),
        Subject::Titrant(name) => format!("titrant-{name}"),
        Subject::Control => "control".into(),
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
