//! Readers of what came out of each run: crops, titres, residues.
//!
//! In: tables. Out: [`CropRow`], [`TitreRow`], [`ResidueRow`].
//! This module never turns a titre into a purity.

use super::cell_values::LoggedNumber;
use super::cell_words::is_missing;
use super::crop_row::CropRow;
use super::logged::Logged;
use super::residue_row::ResidueRow;
use super::rows::RowReader;
use super::table::{Column, Table};
use super::titre_row::{CONTROL, FurtherOfTitre, TitreOf, TitreRow};
use super::weighings::{DRYING, IGNITION, leaves_what, weighings};
use crate::campaign::{Campaign, Titration};
use crate::error::{Error, ErrorKind, Place};
use crate::units::Dimension;

pub(super) fn read_crops(
    campaign: &Campaign,
    table: &Table,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let [run, crop, mass, moisture, liquor_volume, temperature] = table.columns([
        "run",
        "crop",
        "mass",
        "moisture",
        "liquor_volume",
        "temperature",
    ]);
    let masses = table.columns(["wet_mass", "dry_mass", "tare"]);
    let ignition = table.columns(["ignited_sample", "ignited_mass", "ignited_tare"]);
    stops.extend(leaves_what(campaign, table, ignition));
    let leaves = campaign.ignition.as_ref().zip(campaign.chemistry.as_ref());
    let can_gain = leaves.is_some_and(|(ignition, chemistry)| ignition.can_gain(chemistry));
    let known = logged.crops.iter().map(|row| (row.run.as_str(), row.crop));
    let again = again(table, known, |reader| {
        Some((reader.text(run)?, written_number(reader, crop))).filter(|(_, number)| *number > 0)
    });
    RowReader::each(table, &mut logged.crops, &mut logged.left_out, |reader| {
        let of_run = reader.demanded(run, reader.name(run));
        let number = crop_number(reader, crop);
        if reader.is_sound() && again.binary_search(&reader.row).is_ok() {
            reader.fault_alike(
                crop,
                ErrorKind::DuplicatedRun,
                &format!("names crop {number} of run `{of_run}` a second time"),
                "names a crop of its run a second time",
                NUMBER_THEM,
            );
        }
        Some(CropRow {
            place: reader.place(),
            run: of_run,
            crop: number,
            mass: reader.demanded(mass, reader.not_negative(mass)),
            moisture: reader.fraction(moisture),
            drying: weighings(reader, masses, &DRYING, false).map(Box::new),
            ignition: weighings(reader, ignition, &IGNITION, can_gain).map(Box::new),
            liquor_volume: reader.not_negative(liquor_volume),
            temperature: reader.number(temperature),
            impurities: impurities(campaign, reader),
        })
    });
}

/// Contents of the impurities that are followed, in the order of the campaign file.
fn impurities(campaign: &Campaign, reader: &RowReader) -> Vec<Option<LoggedNumber>> {
    let followed = campaign.impurities.iter();
    followed
        .map(|of| reader.own_fraction(reader.table.column(&of.name)))
        .collect()
}

/// Faults for impurities of the campaign file of which no log holds any value.
pub(super) fn impurities_nowhere(campaign: &Campaign, logged: &Logged) -> Vec<Error> {
    let followed = campaign.impurities.iter().enumerate();
    let nowhere = followed.filter(|(position, _)| {
        let in_crops = logged.crops.iter().map(|row| &row.impurities);
        let mut all = in_crops.chain(logged.residues.iter().map(|row| &row.impurities));
        all.all(|of| of.get(*position).is_none_or(Option::is_none))
    });
    nowhere
        .map(|(_, of)| {
            let place = Place::new(&campaign.file, of.line);
            let message = format!(
                "no content of `{}` in the logs of crops and residues, which {place} asks for",
                of.name
            );
            let hint = format!(
                "add a column `{} / ppm` to one of them, or take it out of the campaign file",
                of.name
            );
            place
                .fault(ErrorKind::MissingColumn, message, hint)
                .in_column(&of.name)
        })
        .collect()
}

/// Rows that name once more what a row before them or a log before theirs names; a row that is none names nothing.
fn again<'k, K: Ord>(
    table: &'k Table,
    known: impl Iterator<Item = K>,
    key: impl Fn(&RowReader<'k>) -> Option<K>,
) -> Vec<usize> {
    let rows = || {
        let readers = RowReader::all(table);
        readers.filter_map(|reader| Some((key(&reader)?, Some(reader.row))))
    };
    let mut known = known.map(|known| (known, None)).peekable();
    // Most logs are written in order.
    if known.peek().is_none() && rows().is_sorted_by(|one, next| one.0 < next.0) {
        return Vec::new();
    }
    let mut all: Vec<(K, Option<usize>)> = known.chain(rows()).collect();
    all.sort();
    let pairs = all.windows(2).filter(|pair| pair[0].0 == pair[1].0);
    let mut again: Vec<usize> = pairs.filter_map(|pair| pair[1].1).collect();
    again.sort_unstable();
    again
}

/// What to do about the number of a crop.
const NUMBER_THEM: &str = "number the crops of a run 1, 2, ...";

/// The number of a crop, 1 where none is written and 0 where it is no such number.
fn written_number(reader: &RowReader, crop: Column) -> u32 {
    let text = reader.text(crop);
    text.map_or(1, |text| text.parse().unwrap_or_default())
}

/// The same, with a fault where it is no such number.
fn crop_number(reader: &RowReader, crop: Column) -> u32 {
    let number = written_number(reader, crop);
    if number == 0 {
        let kind = ErrorKind::NotANumber;
        reader.refuse::<()>(crop, kind, "is no number of a crop", NUMBER_THEM);
    }
    number
}

pub(super) fn read_titres(
    campaign: &Campaign,
    table: &Table,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let for_all = campaign.of_titration(|titration| titration.aliquot);
    let for_all = for_all.map(LoggedNumber::plain);
    stops.extend(campaign.of_titration(|titration| flask_for_nothing(campaign, titration, table)));
    let [run, crop, mass, titre, dilution, titrant, blank] = table.columns([
        "run",
        "crop",
        "sample_mass",
        "titre",
        "dilution",
        "titrant",
        "blank",
    ]);
    let [back_titrant, back_titre, blank_of, date] =
        table.columns(["back_titrant", "back_titre", "blank_of", "date"]);
    let part = table.columns(PART);
    let has_control = campaign.titration.as_ref();
    let has_control = has_control.is_none_or(|titration| titration.control.is_some());
    let before = logged.titres.len();
    RowReader::each(table, &mut logged.titres, &mut logged.left_out, |reader| {
        let of = match reader.text(crop) {
            Some("residue") => TitreOf::Residue,
            Some("feed") => TitreOf::Feed,
            Some(CONTROL) => TitreOf::Control,
            _ => TitreOf::Crop(crop_number(reader, crop)),
        };
        let of_run = match of {
            // A control tells of a day, whichever run was titrated beside it.
            TitreOf::Control => reader.name(run).unwrap_or_default(),
            _ => reader.demanded(run, reader.name(run)),
        };
        if of == TitreOf::Control && !has_control {
            let what = "is a control, and `[titration]` names no reference material";
            let hint = "add `control = { formula = \"...\", purity = 0.9995 }` to `[titration]`";
            reader.refuse::<()>(crop, ErrorKind::UnknownName, what, hint);
        }
        // An empty titre is a titre that was missed: the crop simply has none from this row.
        if reader.text(titre).is_none() && table.has_usable_rows() {
            return None;
        }
        let sample_mass = reader.demanded(mass, reader.positive(mass));
        let volume = volume(reader, titre, of).unwrap_or_default();
        let mut further = FurtherOfTitre {
            aliquot: aliquot(campaign, reader, part).or(for_all),
            dilution: reader.positive(dilution),
            ..FurtherOfTitre::default()
        };
        let (titrant, blank) = (reader.name(titrant), reader.not_negative(blank));
        further.back_titrant = reader.name(back_titrant);
        further.back_titre = reader.not_negative(back_titre);
        further.date = reader.date(date);
        further.blank_of = reader.name(blank_of);
        if further.blank_of.is_some() && blank.is_some() {
            let what = "names a blank beside a blank of its own";
            let hint = "leave `blank` or `blank_of` empty: a titre is corrected once";
            reader.refuse::<()>(blank_of, ErrorKind::OutOfRange, what, hint);
        }
        Some(TitreRow {
            place: reader.place(),
            run: of_run,
            of,
            sample_mass,
            titre: volume,
            titrant,
            blank,
            further: (further != FurtherOfTitre::default()).then(|| Box::new(further)),
        })
    });
    let read = logged.titres.split_off(before);
    let (controls, titres) = read.into_iter().partition(|row| row.of == TitreOf::Control);
    logged.titres.extend::<Vec<TitreRow>>(titres);
    logged.controls.extend::<Vec<TitreRow>>(controls);
}

/// A flask of the campaign file that no aliquot was taken from; all of each sample would count as titrated.
fn flask_for_nothing(campaign: &Campaign, titration: &Titration, table: &Table) -> Option<Error> {
    let has_aliquot = titration.aliquot.is_some() || table.column("aliquot").position.is_some();
    (titration.flask.is_some() && !has_aliquot).then(|| {
        let message = format!(
            "`titration.flask` in `{}` goes with an aliquot, and `{}` has no column `aliquot`",
            campaign.file, table.file
        );
        let hint = "add `aliquot / mL` to the log, or `aliquot` to `[titration]`";
        table.lacks_column("aliquot", message, hint)
    })
}

/// Columns of the part of a solution that was titrated.
pub(super) const PART: [&str; 2] = ["aliquot", "flask"];

/// The part of a solution that was titrated: as a fraction, or as a volume of its flask.
///
/// A volume `v` of a flask `f` is `q = v / f`, with `u(q)/q = √((u(v)/v)² + (u(f)/f)²)` of what the log states.
///
/// # Source
/// JCGM 100:2008, 5.1.6.
pub(super) fn aliquot(
    campaign: &Campaign,
    reader: &RowReader,
    [aliquot, of_flask]: [Column; 2],
) -> Option<LoggedNumber> {
    let flask = reader.positive(of_flask);
    let head = reader.cell(aliquot).map(|(head, _)| head);
    let Some(head) = head else {
        let known = campaign.of_titration(|titration| titration.aliquot);
        if flask.is_some() && known.is_none() {
            let hint = "write what was titrated of it under `aliquot / mL`, or leave the flask out";
            let what = "stands without an aliquot";
            reader.refuse::<()>(of_flask, ErrorKind::Missing, what, hint);
        }
        return None;
    };
    let all = "leave the cell empty for all of it";
    let hint = format!("an aliquot is the part of the solution that was titrated; {all}");
    let refuse = |what: &str, hint: &str| reader.refuse(aliquot, ErrorKind::OutOfRange, what, hint);
    let aliquot = reader.above_zero(aliquot, reader.number(aliquot), &hint)?;
    if head.dimension() != Dimension::Volume {
        let hint = "an aliquot is a part of 1; a volume has its unit in the heading, `aliquot / mL`, and its flask under `flask / mL`";
        return match aliquot.value <= 1.0 {
            true => Some(aliquot),
            false => refuse("is above 1", hint),
        };
    }
    let of_file = campaign.of_titration(|titration| titration.flask);
    let of_file = of_file.map(LoggedNumber::plain);
    if reader.text(of_flask).is_some() && flask.is_none() {
        return None;
    }
    let Some(flask) = flask.or(of_file) else {
        let hint = "write the volume of its flask under `flask / mL`, or `flask = \"250 mL\"` under `[titration]`";
        return refuse("is a volume without its flask", hint);
    };
    if aliquot.value > flask.value {
        let what = format!("is larger than its flask of {} mL", flask.value);
        return refuse(&what, "check both volumes and their units");
    }
    let relative = |number: LoggedNumber| Some(number.uncertainty? / number.value);
    let value = aliquot.value / flask.value;
    let uncertainty = match [relative(aliquot), relative(flask)] {
        [None, None] => None,
        [one, other] => Some(value * one.unwrap_or(0.0).hypot(other.unwrap_or(0.0))),
    };
    Some(LoggedNumber { value, uncertainty })
}

/// Titrant run in; only a residue may be so depleted that it uses up none.
fn volume(reader: &RowReader, titre: Column, of: TitreOf) -> Option<LoggedNumber> {
    let volume = reader.not_negative(titre);
    if of == TitreOf::Residue {
        return volume;
    }
    let hint = "leave the cell empty when the sample was not titrated";
    reader.above_zero(titre, volume, hint)
}

pub(super) fn read_residues(campaign: &Campaign, table: &Table, logged: &mut Logged) {
    let [run, date, mass, assay, moisture] =
        table.columns(["run", "date", "mass", "assay", "moisture"]);
    let jar = table.column("jar");
    // Where residues stand beside the runs, a run of which none is logged has a row all the same.
    let is_residue = |reader: &RowReader| {
        let texts = [mass, assay].map(|column| reader.text(column));
        texts.into_iter().flatten().any(|text| !is_missing(text))
    };
    let known = logged.residues.iter().map(|row| row.run.as_str());
    let again = again(table, known, |reader| {
        reader.text(run).filter(|_| is_residue(reader))
    });
    RowReader::each(
        table,
        &mut logged.residues,
        &mut logged.left_out,
        |reader| {
            let of_run = reader.demanded(run, reader.name(run));
            if !is_residue(reader) {
                return None;
            }
            if reader.is_sound() && again.binary_search(&reader.row).is_ok() {
                reader.fault_alike(
                    run,
                    ErrorKind::DuplicatedRun,
                    &format!("names the residue of run `{of_run}` a second time"),
                    "names the residue of its run a second time",
                    "each run has one row in the residues log",
                );
            }
            Some(ResidueRow {
                place: reader.place(),
                run: of_run,
                date: reader.date(date),
                mass: reader.demanded(mass, reader.not_negative(mass)),
                assay: reader.fraction(assay),
                moisture: reader.fraction(moisture),
                impurities: impurities(campaign, reader),
                second: reader.second_assays(campaign),
                jar: reader.name_text(jar).map(str::to_string),
            })
        },
    );
}
