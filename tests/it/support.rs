//! What does each test need? A campaign folder to write into, the program, and a count of digits that agree.
//!
//! In: file names with their text, arguments, numbers. Out: [`CampaignFolder`], [`Outcome`], and panics that say
//! what differs from what.
//! This module never knows what the right answer is.

use std::ffi::OsStr;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

/// Digits beyond these are not counted: binary64 holds 15 decimal digits in every case.
///
/// The parser of JSON numbers may be off in the last binary digit, which these digits do not show either.
pub const MOST_DIGITS: f64 = 15.0;

/// Part of half a unit of a printed figure that binary rounding may add to it.
const ROUNDING_OF_HALF_A_UNIT: f64 = 1e-6;

/// A campaign folder that vanishes with its value.
pub struct CampaignFolder {
    directory: TempDir,
}

impl CampaignFolder {
    /// An empty folder.
    pub fn new() -> Self {
        Self {
            directory: tempfile::tempdir().expect("a temporary folder can be made"),
        }
    }

    /// A folder with the same files as another, so that the original stays as it is.
    pub fn copy_of(original: &Path) -> Self {
        let folder = Self::new();
        copy_files(original, folder.path());
        folder
    }

    /// The folder with one more file, or with this text for it; its name is relative to the folder.
    pub fn with(self, name: &str, text: &str) -> Self {
        let path = self.path().join(name);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent).expect("a folder can be made below a temporary folder");
        }
        std::fs::write(path, text).expect("a file can be written to a temporary folder");
        self
    }

    /// Where the folder is.
    pub fn path(&self) -> &Path {
        self.directory.path()
    }
}

/// Copies all files below a folder to another one, which is made where it is not there.
pub fn copy_files(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder can be made below a temporary folder");
    for entry in std::fs::read_dir(from).expect("the folder can be listed") {
        let path = entry.expect("the folder can be listed").path();
        let target = to.join(path.file_name().expect("a listed file has a name"));
        if path.is_dir() {
            copy_files(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("a file can be copied to a temporary folder");
        }
    }
}

/// What one call of the program left behind.
pub struct Outcome {
    /// The exit code.
    pub exit_code: i32,
    /// What went to the standard output.
    pub stdout: String,
    /// What went to the standard error.
    pub stderr: String,
}

impl Outcome {
    /// The one JSON object on the standard output of a call that was done.
    ///
    /// Panics with both streams if the call failed or if anything else than one object was printed.
    pub fn json(&self) -> Value {
        assert_eq!(
            self.exit_code, 0,
            "exit code\nstdout: {}\nstderr: {}",
            self.stdout, self.stderr
        );
        let value: Value = serde_json::from_str(&self.stdout)
            .unwrap_or_else(|error| panic!("not JSON: {error}\nstdout: {}", self.stdout));
        assert!(value.is_object(), "not an object: {value}");
        value
    }
}

/// Runs the program with these arguments, in a folder of its own where nothing lies.
///
/// Panics if a report that it wrote holds a figure that is none: so every report of every test is searched.
pub fn residuum<A: AsRef<OsStr>>(arguments: &[A]) -> Outcome {
    let elsewhere = tempfile::tempdir().expect("a temporary folder can be made");
    let output = Command::new(env!("CARGO_BIN_EXE_residuum"))
        .args(arguments)
        .current_dir(elsewhere.path())
        .output()
        .expect("the program starts");
    let outcome = Outcome {
        exit_code: output.status.code().expect("the program ends by itself"),
        stdout: String::from_utf8(output.stdout).expect("the standard output is UTF-8"),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    };
    let arguments: Vec<&OsStr> = arguments.iter().map(AsRef::as_ref).collect();
    let writes = ["report", "rounds"].map(OsStr::new);
    let is_asked_for_help = arguments.iter().any(|argument| *argument == "--help");
    let call = arguments.first().filter(|_| !is_asked_for_help);
    if call.is_some_and(|call| writes.contains(call)) && outcome.exit_code != 2 {
        let out = arguments.iter().position(|argument| *argument == "--out");
        let out = out.map_or(Path::new("reports"), |place| {
            Path::new(arguments[place + 1])
        });
        check_finite_below(&elsewhere.path().join(out));
    }
    outcome
}

fn check_finite_below(folder: &Path) {
    for entry in std::fs::read_dir(folder).expect("the report can be listed") {
        let path = entry.expect("the report can be listed").path();
        if path.is_dir() {
            check_finite_below(&path);
        } else {
            let bytes = std::fs::read(&path).expect("the file can be read");
            check_finite(&path.to_string_lossy(), &String::from_utf8_lossy(&bytes));
        }
    }
}

/// Panics if a text holds what a processor calls a figure that is none; a cell that is quoted may read so.
pub fn check_finite(what: &str, text: &str) {
    const QUOTES: [&str; 4] = ["`", "&#96;", "'", "\""];
    for none in ["NaN", "nan", "inf", "Infinity", "infinity"] {
        for (place, _) in text.match_indices(none) {
            let (before, behind) = (&text[..place], &text[place + none.len()..]);
            let is_part = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
            let is_word = !is_part(before.chars().next_back()) && !is_part(behind.chars().next());
            let before = before.trim_end_matches(['+', '-']);
            let behind = behind.trim_start_matches('\\');
            let is_quoted = QUOTES
                .iter()
                .any(|quote| before.ends_with(quote) && behind.starts_with(quote));
            let line = text[..place].lines().count();
            assert!(!is_word || is_quoted, "{what} line {line} holds `{none}`");
        }
    }
}

/// Runs `residuum CALL CAMPAIGN --json` and reads its object.
pub fn residuum_json(call: &str, campaign: &Path) -> Value {
    residuum(&[OsStr::new(call), campaign.as_os_str(), OsStr::new("--json")]).json()
}

/// A file below `tests/data`.
pub fn data(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("`tests/data/{name}` can't be read: {error}"))
}

/// A JSON file below `tests/data`.
pub fn data_json(name: &str) -> Value {
    serde_json::from_str(&data(name))
        .unwrap_or_else(|error| panic!("`tests/data/{name}` is not JSON: {error}"))
}

/// The number under a key, printed as a JSON number or, in reference data, as text at its published precision.
pub fn number(object: &Value, key: &str) -> f64 {
    let value = &object[key];
    value
        .as_f64()
        .or_else(|| value.as_str().and_then(|text| text.parse().ok()))
        .unwrap_or_else(|| panic!("`{key}` is not a number but {value} in {object}"))
}

/// The list under a key.
pub fn list<'a>(object: &'a Value, key: &str) -> &'a [Value] {
    object[key]
        .as_array()
        .unwrap_or_else(|| panic!("`{key}` is not a list in {object}"))
}

/// The member of a list whose `key` reads `name`, if there is one.
pub fn member<'a>(members: &'a [Value], key: &str, name: &str) -> Option<&'a Value> {
    members.iter().find(|member| member[key] == name)
}

/// How many significant digits agree: `−log₁₀(|actual − expected| / |expected|)`, between 0 and [`MOST_DIGITS`].
///
/// For an expected zero, the digits after the point that are zero.
///
/// # Source
/// The log relative error of McCullough, B. D., The American Statistician 52 (1998) 358-366.
pub fn matching_digits(actual: f64, expected: f64) -> f64 {
    let scale = if expected == 0.0 { 1.0 } else { expected.abs() };
    let error = (actual - expected).abs() / scale;
    if error.is_nan() {
        0.0
    } else {
        (-error.log10()).clamp(0.0, MOST_DIGITS)
    }
}

/// Prints how many digits agree and panics if they are fewer than `at_least`.
pub fn check_digits(what: &str, actual: f64, expected: f64, at_least: f64) {
    let digits = matching_digits(actual, expected);
    println!("{what}: {digits:.1} digits");
    assert!(
        digits >= at_least,
        "{what}: {actual:e} agrees with {expected:e} to {digits:.1} digits, not to {at_least:.1}"
    );
}

/// Panics if a number does not round to a printed figure, that is, lies more than half a unit of its last digit away.
pub fn check_printed(what: &str, actual: f64, printed: &str) {
    let expected: f64 = printed
        .parse()
        .unwrap_or_else(|_| panic!("{what}: `{printed}` is not a number"));
    let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
    let half_a_unit = 0.5 * 10f64.powi(-(decimals as i32));
    assert!(
        (actual - expected).abs() <= half_a_unit * (1.0 + ROUNDING_OF_HALF_A_UNIT),
        "{what}: {actual} does not round to {printed}"
    );
}

/// Markdown with the words of each link alone.
pub fn without_links(markdown: &str) -> String {
    let mut shown = String::new();
    let mut rest = markdown;
    while let Some((before, behind)) = rest.split_once("](") {
        let (words, link) = before.rsplit_once('[').unwrap_or((before, ""));
        shown.push_str(words);
        shown.push_str(link);
        rest = behind.split_once(')').map_or("", |(_, behind)| behind);
    }
    shown + rest
}
