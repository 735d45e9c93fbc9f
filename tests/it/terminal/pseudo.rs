//! What does somebody at a terminal see?
//!
//! In: a command and the columns of a terminal. Out: [`Seen`], what stands on the screen in the end.
//! This module never expects anything but that pseudo-terminals can be opened.

use std::fs::File;
use std::io::Read;
use std::os::fd::OwnedFd;
use std::process::{Command, Stdio};
use std::thread;

use rustix::fs::{Mode, OFlags, open};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{OptionalActions, Winsize, tcgetattr, tcsetattr, tcsetwinsize};

/// Rows of every terminal; nothing depends on them.
const ROWS: u16 = 40;

/// What a call left on the screen.
pub struct Seen {
    /// The exit code.
    pub exit_code: i32,
    /// What stands on the standard output.
    pub stdout: String,
    /// What stands on the standard error, bars that were wiped away not among it.
    pub stderr: String,
}

/// Both ends of a pseudo-terminal.
struct Terminal {
    controller: OwnedFd,
    user: OwnedFd,
}

/// Runs a command whose two streams are terminals of so many columns.
pub fn at_a_terminal(mut command: Command, columns: u16) -> Seen {
    let [out, err] = [(), ()].map(|()| terminal(columns));
    command
        .env_remove("COLUMNS")
        .env("TERM", "xterm")
        .stdin(Stdio::null())
        .stdout(out.user)
        .stderr(err.user);
    let mut child = command.spawn().expect("the program starts");
    // The command holds the user's ends open; without it, reading ends with the program.
    drop(command);
    let [stdout, stderr] = [out.controller, err.controller].map(|end| thread::spawn(|| read(end)));
    let status = child.wait().expect("the program ends");
    Seen {
        exit_code: status.code().expect("the program ends by itself"),
        stdout: screen(&stdout.join().expect("the terminal can be read")),
        stderr: screen(&stderr.join().expect("the terminal can be read")),
    }
}

fn terminal(columns: u16) -> Terminal {
    let controller = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a pseudo-terminal");
    grantpt(&controller).expect("it can be granted");
    unlockpt(&controller).expect("it can be unlocked");
    let name = ptsname(&controller, Vec::new()).expect("it has a name");
    let flags = OFlags::RDWR | OFlags::NOCTTY;
    let user = open(name.as_c_str(), flags, Mode::empty()).expect("it can be opened");
    let mut settings = tcgetattr(&user).expect("it has settings");
    settings.make_raw();
    tcsetattr(&user, OptionalActions::Now, &settings).expect("it takes settings");
    let size = Winsize {
        ws_row: ROWS,
        ws_col: columns,
        ws_xpixel: 0,
        ws_ypixel: 0,
    };
    tcsetwinsize(&user, size).expect("it takes a size");
    Terminal { controller, user }
}

/// Everything until the other end is closed, which Linux tells as an error.
fn read(end: OwnedFd) -> String {
    let mut file = File::from(end);
    let mut bytes = Vec::new();
    let mut part = [0; 65_536];
    while let Ok(count @ 1..) = file.read(&mut part) {
        bytes.extend_from_slice(&part[..count]);
    }
    String::from_utf8(bytes).expect("the program writes UTF-8")
}

/// The text as it stands in the end: lines that were written over or wiped are gone, colours too.
fn screen(written: &str) -> String {
    let mut lines = vec![String::new()];
    let mut letters = written.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '\n' => lines.push(String::new()),
            '\r' if letters.peek() != Some(&'\n') => last(&mut lines).clear(),
            '\r' => {}
            '\u{1b}' => {
                letters.next_if_eq(&'[');
                let mut count = String::new();
                while let Some(digit) = letters.next_if(|c| c.is_ascii_digit() || ";?".contains(*c))
                {
                    count.push(digit);
                }
                match letters.next() {
                    Some('K') => last(&mut lines).clear(),
                    Some('A') => {
                        let up = count.parse().unwrap_or(1);
                        lines.truncate(lines.len().saturating_sub(up).max(1));
                    }
                    _ => {}
                }
            }
            other => last(&mut lines).push(other),
        }
    }
    lines.join("\n")
}

fn last(lines: &mut [String]) -> &mut String {
    lines.last_mut().expect("there is always a line")
}

#[test]
fn a_screen_shows_what_was_not_wiped_away() {
    assert_eq!(screen("a\nb\n"), "a\nb\n");
    assert_eq!(
        screen("reading\r\u{1b}[2Kfitting\r\u{1b}[2Kdone\n"),
        "done\n"
    );
    assert_eq!(screen("\u{1b}[31mred\u{1b}[0m"), "red");
}
