//! Answer to question 9: the cost of a gram of product against buying it.
//!
//! In: costs. Out: the answer.
//! This module never adds up a cost.

use super::{Answer, Basis, Figure, FigureOf, Question, Status, ToDo, WhyOpen};
use crate::decide::Choice;
use crate::measured::Measured;

/// Grams in a kilogram: people read prices per kilogram.
const PER_KILOGRAM: f64 = 1000.0;

pub(super) fn answer(basis: &Basis) -> Answer {
    let question = Question::Cost;
    let Some(costs) = basis.costs else {
        let (status, to_do) = (Status::NotAsked, vec![ToDo::StatePrices]);
        return Answer::without(question, status, WhyOpen::NoPrices, to_do);
    };
    let campaign = match &costs.campaign {
        Ok(campaign) => campaign,
        Err(reason) => {
            let reason = WhyOpen::NoCost(reason.clone());
            return Answer::without(question, Status::Open, reason, Vec::new());
        }
    };
    let unit = format!("{}/kg", costs.prices.currency);
    let figure = |what, value: &Measured| {
        let half = costs.sources.expanded(value, basis.confidence);
        Figure::new(what, "", PER_KILOGRAM * value.value(), &unit)
            .with_half_width(PER_KILOGRAM * half)
    };
    let mut figures = vec![figure(FigureOf::CostPerKilogram, &campaign.per_gram)];
    if let Some(gained) = &campaign.gained_by_making {
        let more = gained.clone() * -1.0;
        figures.push(figure(FigureOf::MoreThanBuying, &more));
    }
    let choice = campaign.make_or_buy.as_ref();
    if let Some(choice) = choice {
        let made = [
            (FigureOf::CostToSpecification, Some(&choice.counted)),
            (FigureOf::CostWithoutLabour, choice.uncounted.as_ref()),
        ];
        let made = made
            .into_iter()
            .filter_map(|(what, made)| Some((what, made?)));
        figures.extend(made.map(|(what, made)| figure(what, &made.per_gram)));
    }
    let is_open =
        choice.is_some_and(|choice| !matches!(choice.counted.choice, Choice::Make | Choice::Buy));
    if costs.not_counted.is_empty() && costs.without_a_cost.is_empty() {
        let reason = is_open.then_some(WhyOpen::MakeOrBuy);
        let answer = Answer::with(question, figures, reason, Vec::new());
        return match is_open {
            true => Answer {
                status: Status::PartlyOpen,
                ..answer
            },
            false => answer,
        };
    }
    let (reason, to_do) = (Some(WhyOpen::NotAllCounted), vec![ToDo::StatePrices]);
    Answer {
        status: Status::PartlyOpen,
        ..Answer::with(question, figures, reason, to_do)
    }
}
