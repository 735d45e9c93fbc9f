//! Does what is written in any of the ways read back the same?
//!
//! In: rows drawn at random, and a way to write them drawn at random: encoding, separator, marks of numbers, quotes, line ends, packed or not,
//! lines that are no rows. Out: what intake read of them, held against what was written.
//! This module never holds a figure back: each number that is drawn has to come back to the last digit.

use std::io::Write;

use flate2::Compression;
use flate2::write::GzEncoder;
use proptest::prelude::*;
use residuum::campaign::{CampaignDraft, FileText, LogKind};
use residuum::intake::{LogFile, survey};

/// Rows that are drawn each time, and times: small enough for every run of the tests.
const MOST_ROWS: usize = 8;
const TIMES: u32 = 400;

#[derive(Debug, Clone, Copy)]
enum Encoding {
    Utf8,
    Utf8WithMark,
    Utf16Little,
    Utf16Big,
    Windows,
}

#[derive(Debug, Clone)]
struct Way {
    encoding: Encoding,
    separator: char,
    comma: bool,
    group: &'static str,
    end: &'static str,
    quotes: bool,
    packed: bool,
    title: bool,
    units: bool,
    total: bool,
    blank: bool,
}

fn ways() -> impl Strategy<Value = Way> {
    let encodings = prop::sample::select(vec![
        Encoding::Utf8,
        Encoding::Utf8WithMark,
        Encoding::Utf16Little,
        Encoding::Utf16Big,
        Encoding::Windows,
    ]);
    let separators = prop::sample::select(vec![',', ';', '\t', '|']);
    let ends = prop::sample::select(vec!["\n", "\r\n", "\r"]);
    let groups = prop::sample::select(vec!["", "'", " ", "\u{a0}", "other mark"]);
    let flags = prop::array::uniform7(any::<bool>());
    (encodings, separators, ends, groups, flags).prop_map(
        |(encoding, separator, end, group, flags)| {
            let [comma, quotes, packed, title, units, total, blank] = flags;
            // A decimal comma asks for another separator.
            let comma = comma && separator != ',';
            Way {
                encoding,
                separator,
                comma,
                group,
                end,
                quotes,
                packed,
                title,
                units,
                total,
                blank,
            }
        },
    )
}

/// A mass in thousandths of a gram, and a remark.
fn rows() -> impl Strategy<Value = Vec<(u32, String)>> {
    let remark = "[a-zA-Z\u{e0}-\u{ff} ,;|\"'#%]{0,14}";
    prop::collection::vec((1u32..9_999_999, remark), 1..MOST_ROWS)
}

/// A number with three decimals, so that no group can be taken for them.
fn number(thousandths: u32, way: &Way) -> String {
    let (mark, other) = if way.comma { (',', ".") } else { ('.', ",") };
    let group = if way.group == "other mark" {
        other
    } else {
        way.group
    };
    let digits = (thousandths / 1000).to_string();
    let mut whole = String::new();
    for (position, digit) in digits.chars().enumerate() {
        if position > 0 && (digits.len() - position).is_multiple_of(3) {
            whole.push_str(group);
        }
        whole.push(digit);
    }
    // A fourth decimal keeps `1.234` from being one group of thousands.
    format!("{whole}{mark}{:03}0", thousandths % 1000)
}

fn written(rows: &[(u32, String)], way: &Way) -> Vec<u8> {
    let separator = way.separator.to_string();
    let cell = |text: &str| {
        let needs = text.contains([way.separator, '"', '\n', '\r']);
        match needs || way.quotes {
            true => format!("\"{}\"", text.replace('"', "\"\"")),
            false => text.to_string(),
        }
    };
    let line = |cells: [&str; 3]| format!("{}{}", cells.map(cell).join(&separator), way.end);
    let empty = format!("{separator}{separator}{}", way.end);
    let mut text = String::new();
    if way.title {
        text.push_str(&format!(
            "Winter campaign{separator}{separator}{}{empty}",
            way.end
        ));
    }
    text.push_str(&line(["run", "feed_mass", "remark"]));
    if way.units {
        text.push_str(&line(["", "g", ""]));
    }
    for (position, (mass, remark)) in rows.iter().enumerate() {
        if way.blank && position == 1 {
            text.push_str(&empty);
        }
        text.push_str(&line([
            &format!("R{position}"),
            &number(*mass, way),
            remark,
        ]));
    }
    if way.total {
        text.push_str(&line(["Total", "", ""]));
    }
    let units = || text.encode_utf16();
    let bytes = match way.encoding {
        Encoding::Utf8 => text.into_bytes(),
        Encoding::Utf8WithMark => [b"\xEF\xBB\xBF", text.as_bytes()].concat(),
        Encoding::Utf16Little => [0xFEFF]
            .into_iter()
            .chain(units())
            .flat_map(u16::to_le_bytes)
            .collect(),
        Encoding::Utf16Big => [0xFEFF]
            .into_iter()
            .chain(units())
            .flat_map(u16::to_be_bytes)
            .collect(),
        Encoding::Windows => text
            .chars()
            .map(|sign| u8::try_from(u32::from(sign)).unwrap())
            .collect(),
    };
    if !way.packed {
        return bytes;
    }
    let mut packer = GzEncoder::new(Vec::new(), Compression::fast());
    packer.write_all(&bytes).unwrap();
    packer.finish().unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: TIMES, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(14), ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_in_any_way_reads_back_the_same(rows in rows(), way in ways()) {
        let decimal = if way.comma { "," } else { "." };
        let separator = if way.separator == '\t' { "\\t".to_string() } else { way.separator.to_string() };
        let text = format!(
            "[campaign]\ntitle = \"x\"\n[logs]\nruns = \"runs.csv\"\ndecimal = \"{decimal}\"\nseparator = \"{separator}\"\n"
        );
        let campaign = FileText { file: "campaign.toml".into(), text };
        let campaign = CampaignDraft::read(campaign).unwrap().check().unwrap();
        let log = LogFile { kind: LogKind::Runs, file: "runs.csv".into(), part: None, bytes: written(&rows, &way) };
        let found = survey(&campaign, &[log]);
        prop_assert!(found.stops.is_empty(), "{:?}", found.stops);
        let logged = found.logged;
        prop_assert!(logged.left_out.is_empty(), "{:?}", logged.left_out);
        let read: Vec<f64> = logged.runs.rows.iter().chain(&logged.planned.rows).map(|row| row.feed_mass.unwrap().value).collect();
        let wanted: Vec<f64> = rows.iter().map(|(mass, _)| f64::from(*mass) / 1000.0).collect();
        prop_assert_eq!(read, wanted);
    }
}
