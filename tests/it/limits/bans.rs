//! What is forbidden, and is it in these settings?
//!
//! In: names, levels and ranges of factors, random numbers. Out: [`Ban`]s, as text of the campaign file and as a judge.
//! This module never asks the library what is forbidden.

use residuum::seeded::Seeded;

/// A factor that settings may have.
pub enum Of {
    /// From this to that.
    Amount(f64, f64),
    /// One of these.
    Choice(&'static [&'static str]),
}

/// A factor with its name.
pub type Named = (&'static str, Of);

/// What one factor must not be.
#[derive(Debug, Clone)]
pub enum Part {
    Level(&'static str),
    Above(f64),
    Below(f64),
    AtLeast(f64),
    AtMost(f64),
    Between(f64, f64),
}

/// A combination never to be proposed.
#[derive(Debug, Clone)]
pub struct Ban(pub Vec<(&'static str, Part)>);

/// A level, or an amount with all its digits.
#[derive(Debug, Clone)]
pub enum At {
    Level(String),
    Amount(f64),
}

/// A whole number below `count`.
pub fn below(random: &mut Seeded, count: usize) -> usize {
    ((random.uniform() * count as f64) as usize).min(count - 1)
}

impl Ban {
    /// One or two factors that must not come together.
    pub fn random(factors: &[Named], random: &mut Seeded) -> Self {
        let first = below(random, factors.len());
        let second = below(random, factors.len());
        let mut parts = vec![part(&factors[first], random)];
        if second != first {
            parts.push(part(&factors[second], random));
        }
        Ban(parts)
    }

    /// `{ heating = "hob", excess = "> 80" }`.
    pub fn written(&self) -> String {
        let parts = self.0.iter().map(|(name, part)| {
            let text = match part {
                Part::Level(level) => (*level).to_string(),
                Part::Above(end) => format!("> {end}"),
                Part::Below(end) => format!("< {end}"),
                Part::AtLeast(end) => format!("at least {end}"),
                Part::AtMost(end) => format!("at most {end}"),
                Part::Between(low, high) => format!("{low} to {high}"),
            };
            format!("{name} = \"{text}\"")
        });
        format!("{{ {} }}", parts.collect::<Vec<_>>().join(", "))
    }

    /// Whether settings have all that must not come together, as they are or as they are rounded where they are shown.
    pub fn is_in(&self, settings: &[(String, At)]) -> bool {
        self.0.iter().all(|(name, part)| {
            let mut named = settings.iter().filter(|(factor, _)| factor == name);
            named.any(|(_, at)| part.is(at))
        })
    }
}

fn part((name, of): &Named, random: &mut Seeded) -> (&'static str, Part) {
    let found = match of {
        Of::Choice(levels) => Part::Level(levels[below(random, levels.len())]),
        Of::Amount(low, high) => {
            // Ends with two to six digits, so that some lie where rounding reaches over them.
            let digits = 1 + below(random, 5);
            let mut end = || {
                let value = low + random.uniform() * (high - low);
                format!("{value:.digits$e}").parse().expect("a number")
            };
            let (one, other): (f64, f64) = (end(), end());
            match below(random, 5) {
                0 => Part::Above(one),
                1 => Part::Below(one),
                2 => Part::AtLeast(one),
                3 => Part::AtMost(one),
                _ => Part::Between(one.min(other), one.max(other)),
            }
        }
    };
    (name, found)
}

impl Part {
    fn is(&self, at: &At) -> bool {
        match at {
            At::Level(level) => matches!(self, Part::Level(forbidden) if forbidden == level),
            At::Amount(value) => {
                let shown = [format!("{value:.3e}"), format!("{value:.4}")];
                let shown = shown.map(|text| text.parse().expect("a number"));
                self.holds(*value) || shown.into_iter().any(|value| self.holds(value))
            }
        }
    }

    fn holds(&self, value: f64) -> bool {
        match *self {
            Part::Level(_) => false,
            Part::Above(end) => value > end,
            Part::Below(end) => value < end,
            Part::AtLeast(end) => value >= end,
            Part::AtMost(end) => value <= end,
            Part::Between(low, high) => low <= value && value <= high,
        }
    }
}
