//! The call that puts several campaigns together.
//!
//! In: the options of a call. Out: a report of its own, or JSON on stdout.
//! This module never works out an effect, and never pools what could not be read whole.

use std::path::{Path, PathBuf};

use clap::Args;
use residuum::error::Faults;
use residuum::pipeline::{Extent, Normalised};
use residuum::report::{Width, json, not_together, of_campaigns, terminal};
use residuum::result::CampaignHead;
use residuum::together::{Asked, Member, Stopped, together};

use super::load::Loaded;
use super::publish::publish;
use super::source::{contents, source, unchanged};
use super::tell::{Told, failed, one_object, remark, told};
use super::width::of_stdout;
use super::work::normalised;
use super::{Common, Ending};

/// The folder of the report below that of all reports.
const NAME: &str = "together";

/// Options of the call.
#[derive(Debug, Args)]
pub(super) struct TogetherOptions {
    /// Campaign folders, or campaign files; the model is that of the first.
    #[arg(required = true, num_args = 1.., value_name = "DIR")]
    campaigns: Vec<PathBuf>,
    /// Let the effect of this factor differ among the campaigns.
    #[arg(long, value_name = "NAME")]
    differ: Vec<String>,
    /// Folder that the report `together` is written into.
    #[arg(long, default_value = "reports", value_name = "DIR")]
    out: PathBuf,
    /// Print the result as one JSON object, and nothing else, on stdout; write no report.
    #[arg(long)]
    json: bool,
    /// Say nothing on stderr but errors.
    #[arg(long)]
    quiet: bool,
    /// Model this response only.
    #[arg(long, value_name = "NAME")]
    response: Option<String>,
    /// Seed of whatever is simulated.
    #[arg(long, default_value_t = 1, value_name = "N")]
    seed: u64,
    /// Exit with 1 if there is any doubt or any run was left out.
    #[arg(long)]
    strict: bool,
    /// Read logs that a campaign file names outside of its folder.
    #[arg(long)]
    allow_outside: bool,
}

impl TogetherOptions {
    /// What a call on one of the campaigns takes.
    fn of_one(&self, campaign: &Path) -> Common {
        Common {
            campaign: campaign.to_path_buf(),
            out: self.out.clone(),
            json: self.json,
            quiet: self.quiet,
            response: self.response.clone(),
            seed: self.seed,
            strict: self.strict,
            allow_outside: self.allow_outside,
        }
    }
}

pub(super) fn of_all(options: &TogetherOptions) -> Ending {
    let commons = options.campaigns.iter().map(|path| options.of_one(path));
    let commons: Vec<Common> = commons.collect();
    let read = commons.iter().map(|common| {
        let loaded = common.load()?;
        let normalised = normalised(&loaded)?;
        Ok((loaded, normalised))
    });
    let read: Vec<Result<(Loaded, Normalised), Faults>> = read.collect();
    let mut faulty = false;
    for (common, found) in commons.iter().zip(&read) {
        if let Err(faults) = found {
            if faulty {
                remark("\n");
            }
            remark(&format!("in `{}`:\n", common.campaign.display()));
            failed(faults);
            faulty = true;
        }
    }
    if faulty {
        return Ending::Failed;
    }
    let read: Vec<(Loaded, Normalised)> = read.into_iter().flatten().collect();
    match found(options, &commons, &read) {
        Ok(told_of) => told(&commons[0], Ok(told_of)),
        Err(faults) => failed(&faults),
    }
}

fn found(
    options: &TogetherOptions,
    commons: &[Common],
    read: &[(Loaded, Normalised)],
) -> Result<Told, Faults> {
    let members = read.iter().map(|(loaded, normalised)| Member {
        campaign: &loaded.campaign,
        runs: &normalised.runs,
    });
    let members: Vec<Member> = members.collect();
    let asked = Asked {
        differ: options.differ.clone(),
        response: options.response.clone(),
        seed: options.seed,
        extent: Extent::Whole,
    };
    let titles = members.iter().map(|of| of.campaign.title.clone());
    let titles: Vec<String> = titles.collect();
    let found = together(&members, &asked).map_err(|stopped| match stopped {
        Stopped::Faults(faults) => faults,
        Stopped::NothingAlike(not_pooled) => not_together(&not_pooled, &titles),
    })?;
    let heads = members.iter().map(|of| json::head(of.campaign, of.runs));
    let head = heads.fold(CampaignHead::default(), |sum, head| CampaignHead {
        runs: sum.runs + head.runs,
        left_out: sum.left_out + head.left_out,
        ..sum
    });
    let head = CampaignHead {
        title: titles.join("; "),
        ..head
    };
    let left_out = members.iter().flat_map(|of| of.runs.left_out.clone());
    let left_out: Vec<_> = left_out.collect();
    let mut result = json::together(&found, head);
    result.left_out = json::left_out(&left_out);
    let doubts = found.responses.iter().flat_map(|of| of.caveats.clone());
    let doubts = doubts.collect();
    if options.json {
        return Ok(Told::of(one_object(&result), left_out, doubts));
    }
    let mut hazards: Vec<String> = Vec::new();
    for hazard in members.iter().flat_map(|of| &of.campaign.hazards) {
        if !hazards.contains(hazard) {
            hazards.push(hazard.clone());
        }
    }
    let folder = options.out.join(NAME);
    let sources = read.iter().map(|(loaded, _)| source(&folder, &loaded.path));
    let sources = sources.collect::<Vec<_>>().join(", ");
    let files = of_campaigns(&found, &result, &hazards, &sources)?;
    for (common, (loaded, _)) in commons.iter().zip(read) {
        unchanged(common, &contents(loaded))?;
    }
    let published = publish(&options.out, NAME, &files)?;
    let path = published.folder().join("report.md").display().to_string();
    published.keep();
    // A pipe gets the path alone.
    let text = match of_stdout() {
        Width::Columns(_) if !options.quiet => terminal::together(&found, of_stdout()) + "\n",
        _ => String::new(),
    };
    Ok(Told::of(format!("{text}{path}\n"), left_out, doubts))
}
