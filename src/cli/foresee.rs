//! The call that foresees what was never run.
//!
//! In: the options of a call. Out: text or JSON on stdout.
//! This module never works out a mass.

use clap::Args;
use residuum::campaign::{Campaign, RoutePlan, did_you_mean, measure};
use residuum::error::{Error, ErrorKind, Faults};
use residuum::foresee::{
    Asked, CropAsked, Known, Strength, WashAsked, foresee, logged_liquors, other_solvents,
    saturated_liquors,
};
use residuum::pipeline::{self, Extent};
use residuum::report::{json, not_foreseen, terminal};
use residuum::result::WholeResult;
use residuum::units::Dimension;

use super::faults::lacking;
use super::tell::{Told, output, told};
use super::width::of_stdout;
use super::work::analysed;
use super::{Common, Ending};

/// Options of the call.
#[derive(Debug, Args)]
pub(super) struct ForeseeOptions {
    #[command(flatten)]
    common: Common,
    /// A crop: boil down until so much liquor is left beside the crystals, such as "100 mL".
    #[arg(long, value_name = "VOLUME", requires = "chill_to")]
    boil_to: Option<String>,
    /// A crop: chill the liquor to this temperature, such as 0 or "0 degC".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    chill_to: Option<String>,
    /// The liquor that the crop comes from, such as "300 mL"; those of the log where it is absent.
    #[arg(long, value_name = "VOLUME", requires = "chill_to")]
    from: Option<String>,
    /// That liquor, or the one that is washed out, is saturated at this temperature.
    #[arg(
        long,
        value_name = "TEMPERATURE",
        conflicts_with = "strength",
        allow_hyphen_values = true
    )]
    saturated_at: Option<String>,
    /// That liquor holds so much product, such as "80 g/L".
    #[arg(long, value_name = "STRENGTH")]
    strength: Option<String>,
    /// This route of `[routes]`; all of them where nothing is asked for.
    #[arg(long, value_name = "NAME")]
    route: Vec<String>,
    /// A wash in so many portions.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000), requires = "portion", requires = "holds")]
    wash: Option<u32>,
    /// Volume of each portion, such as "100 mL".
    #[arg(long, value_name = "VOLUME", requires = "wash")]
    portion: Option<String>,
    /// Liquor that the solid on the filter holds back, such as "25 mL".
    #[arg(long, value_name = "VOLUME", requires = "wash")]
    holds: Option<String>,
    /// Temperature of the wash, for what it dissolves of the product.
    #[arg(
        long,
        value_name = "TEMPERATURE",
        requires = "wash",
        allow_hyphen_values = true
    )]
    wash_at: Option<String>,
}

pub(super) fn foreseen(options: &ForeseeOptions) -> Ending {
    let common = &options.common;
    let mut is_barred = false;
    let found = analysed(common, |loaded, normalised| {
        let campaign = loaded.campaign;
        let asked = asked(options, &campaign)?;
        let mut liquors = logged_liquors(&normalised.logged, &normalised.runs);
        let how = pipeline::Asked {
            extent: Extent::WithoutCharts,
            ..pipeline::Asked::usual(common.seed)
        };
        let analysis = pipeline::analyse(campaign.clone(), normalised, how)?;
        if liquors.is_empty() {
            liquors = saturated_liquors(analysis.findings.liquors.as_ref());
        }
        let other_solvents = other_solvents(analysis.findings.liquors.as_ref());
        let known = Known {
            campaign: &analysis.campaign,
            runs: &analysis.runs,
            liquors: &liquors,
            other_solvents: &other_solvents,
            routes: analysis.findings.routes.as_ref(),
        };
        let found = foresee(&asked, &known);
        let found = found.map_err(|reason| not_foreseen(&reason, &analysis.campaign))?;
        is_barred = found.is_barred();
        let text = || terminal::foreseen(&found, &analysis, of_stdout());
        let result = || WholeResult {
            foresee: Some(json::foresee(&found, &analysis)),
            ..json::part(&analysis.campaign, &analysis.runs, &analysis.caveats)
        };
        let output = output(common, text, result);
        let left_out = analysis.runs.left_out.clone();
        Ok(Told {
            shown: Some(Vec::new()),
            ..Told::of(output, left_out, analysis.doubts())
        })
    });
    match told(common, found) {
        Ending::Done => Ending::flagged(common.strict && is_barred),
        other => other,
    }
}

/// What the options ask for.
///
/// # Errors
/// Every option that cannot be read, in one go; then what is not declared.
fn asked<'a>(options: &ForeseeOptions, campaign: &'a Campaign) -> Result<Asked<'a>, Faults> {
    let mut faults = Vec::new();
    let mut value = |option: &str, text: &Option<String>, dimension: Dimension| {
        let text = text.as_deref()?;
        let read = measure(text, dimension);
        read.map_err(|hint| faults.push(unread(option, text, hint)))
            .ok()
    };
    let boil_to = value("--boil-to", &options.boil_to, Dimension::Volume);
    let chill_to = value("--chill-to", &options.chill_to, Dimension::Temperature);
    let from = value("--from", &options.from, Dimension::Volume);
    let saturated_at = value(
        "--saturated-at",
        &options.saturated_at,
        Dimension::Temperature,
    );
    let strength = value(
        "--strength",
        &options.strength,
        Dimension::MassConcentration,
    );
    let portion = value("--portion", &options.portion, Dimension::Volume);
    let holds = value("--holds", &options.holds, Dimension::Volume);
    let wash_at = value("--wash-at", &options.wash_at, Dimension::Temperature);
    let strength = strength.map(Strength::Grams);
    let strength = strength.or(saturated_at.map(Strength::SaturatedAt));
    if strength.is_none() && faults.is_empty() && options.from.is_some() {
        let hint = "add `--saturated-at 20` or `--strength \"80 g/L\"`";
        faults.push(
            Error::new(
                ErrorKind::Missing,
                "`--from` does not say how strong the liquor is",
            )
            .hint(hint),
        );
    }
    if strength.is_some() && options.from.is_none() && options.wash.is_none() {
        let what = "a strength stands there without a liquor";
        let hint = "add `--from \"300 mL\"`, or `--wash` with what is washed out";
        faults.push(Error::new(ErrorKind::Missing, what).hint(hint));
    }
    let crop = chill_to.map(|chill_to| CropAsked {
        boil_to,
        chill_to,
        from: from.zip(strength),
    });
    let wash = options.wash.zip(portion).zip(holds);
    let wash = wash.map(|((portions, portion), holds)| WashAsked {
        portions,
        portion,
        holds,
        wash_at,
        // What is washed off a crop is the liquor that it came from.
        strength: match chill_to {
            Some(at) => Some(Strength::SaturatedAt(at)),
            None => strength,
        },
    });
    let routes = routes(options, campaign, crop.is_none() && wash.is_none());
    let routes = routes.map_err(|error| faults.push(error));
    Faults::or(
        faults,
        Asked {
            crop,
            routes: routes.unwrap_or_default(),
            wash,
        },
    )
}

fn unread(option: &str, text: &str, hint: String) -> Error {
    Error::new(ErrorKind::OutOfRange, format!("`{option}` is `{text}`")).hint(hint)
}

/// The routes asked for: those named, or all where nothing else is asked for.
fn routes<'a>(
    options: &ForeseeOptions,
    campaign: &'a Campaign,
    nothing_else: bool,
) -> Result<Vec<&'a RoutePlan>, Error> {
    let declared = &campaign.routes;
    if options.route.is_empty() && nothing_else {
        return match declared.is_empty() {
            false => Ok(declared.iter().collect()),
            true => Err(lacking(
                &campaign.file,
                format!(
                    "nothing is asked for, and `{}` declares no `[routes.NAME]`",
                    campaign.file
                ),
                "ask for a crop, `--boil-to \"100 mL\" --chill-to 0`, for a wash, `--wash 3 --portion \"100 mL\" --holds \"25 mL\"`, or declare a route",
            )),
        };
    }
    let found = options.route.iter().map(|name| {
        let mut known = declared.iter();
        let found = known.find(|plan| plan.name == *name);
        found.ok_or_else(|| {
            let names = declared.iter().map(|plan| plan.name.as_str());
            let file = &campaign.file;
            let otherwise =
                || format!("declare it: `[routes.{name}]` with `equation` or `ceiling`");
            let hint = did_you_mean(name, names).unwrap_or_else(otherwise);
            lacking(file, format!("`{file}` declares no route `{name}`"), &hint)
        })
    });
    found.collect()
}
