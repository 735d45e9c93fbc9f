//! Which texts stand between quotes in Rust code, and in whose argument list?
//!
//! In: Rust text. Out: [`Literal`]s with what stands around them.
//! This module never judges what it finds.

use super::tree::{character, quoted, raw};

/// A text between double quotes.
pub struct Literal {
    /// Its line, the first of the file being 1.
    pub line: usize,
    /// What stands between the quotes.
    pub text: String,
    /// The calls and brackets that it stands in, the outermost first: `Error::new(`, `.hint(`, `format!(`, `#[`.
    pub inside: Vec<String>,
    /// The code before it on its line.
    pub before: String,
    /// The code that follows it, up to the next literal or line.
    pub after: String,
}

/// The literals of a text without its tests.
pub fn literals(text: &str) -> Vec<Literal> {
    let end = text.find("#[cfg(test)]\nmod tests {");
    let mut rest = &text[..end.unwrap_or(text.len())];
    let mut found: Vec<Literal> = Vec::new();
    let mut inside: Vec<String> = Vec::new();
    let mut code = String::new();
    let mut line = 1;
    while let Some(first) = rest.chars().next() {
        let after_word =
            code.ends_with(|last: char| last.is_alphanumeric() || last == '_' || last == '\'');
        let comment = rest.starts_with("//");
        let literal = match first {
            '"' => quoted(rest),
            'r' if !after_word => raw(rest),
            _ => 0,
        };
        let skipped = match first {
            _ if comment => rest.find('\n').unwrap_or(rest.len()),
            '\'' => character(rest),
            _ => literal,
        };
        if literal > 0 && !comment {
            let text = rest[..literal].trim_start_matches('r').trim_matches('#');
            found.push(Literal {
                line,
                text: text[1..text.len() - 1].to_string(),
                inside: inside.clone(),
                before: code.rsplit('\n').next().unwrap_or_default().to_string(),
                after: String::new(),
            });
        }
        if skipped > 0 {
            line += rest[..skipped].matches('\n').count();
            rest = &rest[skipped..];
            continue;
        }
        match first {
            '(' | '[' | '{' => inside.push(format!("{}{first}", caller(&code))),
            ')' | ']' | '}' => drop(inside.pop()),
            '\n' => line += 1,
            _ => {}
        }
        code.push(first);
        if let Some(last) = found.last_mut() {
            last.after.push(first);
        }
        rest = &rest[first.len_utf8()..];
    }
    found
}

/// The name that a bracket follows, with its path, or a dot if it is a method.
fn caller(code: &str) -> &str {
    let is_name = |c: char| c.is_alphanumeric() || "_:!#".contains(c);
    let start = code
        .char_indices()
        .rev()
        .take_while(|(_, c)| is_name(*c))
        .last()
        .map_or(code.len(), |(start, _)| start);
    let dot = usize::from(start < code.len() && code[..start].ends_with('.'));
    &code[start - dot..]
}
