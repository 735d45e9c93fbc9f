//! What many logs came to, and whether that is good enough.
//!
//! In: [`Log`]s. Out: [`Tally`] and [`Share`].
//! This module never draws a log.

use std::ops::RangeInclusive;

use residuum::regression::Interval;

use super::logs::Log;

/// What is taken off must be within a third of the truth.
pub const OF_THE_TRUTH: RangeInclusive<f64> = 2.0 / 3.0..=4.0 / 3.0;

/// Share of intervals that must hold the truth, the confidence of the models being 95 %.
pub const HELD: RangeInclusive<f64> = 0.93..=0.97;

/// Half of a tenth: a chance stands for those of its tenth.
pub const HALF_A_TENTH: f64 = 0.05;

/// A share or a mean that is simulated may miss by so many of its own standard errors: one in two hundred does by luck on
/// either side.
pub const LUCK: f64 = 2.58;

/// Fewest chances in a tenth that is looked at.
pub const FEWEST_CASES: f64 = 40.0;

/// A share with its count.
#[derive(Debug, Default, Clone, Copy)]
pub struct Share {
    pub of: f64,
    pub hits: f64,
}

impl Share {
    pub fn count(&mut self, hit: f64) {
        self.of += 1.0;
        self.hits += hit;
    }

    pub fn value(self) -> f64 {
        self.hits / self.of
    }

    /// By how much it may miss what is expected, by luck alone.
    pub fn luck(self, expected: f64) -> f64 {
        LUCK * (expected * (1.0 - expected) / self.of).sqrt()
    }

    pub fn check(self, allowed: &RangeInclusive<f64>, what: &str) {
        let (low, high) = (*allowed.start(), *allowed.end());
        let share = self.value();
        println!("{what}: {share:.3} of {}", self.of);
        assert!(share >= low - self.luck(low), "{what}: {share}");
        assert!(share <= high + self.luck(high), "{what}: {share}");
    }
}

/// What one size of effects came to.
#[derive(Debug, Default)]
pub struct Tally {
    logs: f64,
    taken_off: f64,
    too_good: f64,
    too_good_squares: f64,
    held: Share,
    held_new_run: Share,
    /// Gains whose interval lies above zero; where they are truly none or less, and where they are more.
    settled_wrong: Share,
    settled_right: Share,
    /// For each tenth how often the chance fell into it and the settings were better, and the sum of the chances.
    pub tenths: [(Share, f64); 10],
}

pub fn holds(interval: Option<Interval>, value: f64) -> f64 {
    let ends = interval.expect("an interval");
    f64::from(u8::from((ends.low..=ends.high).contains(&value)))
}

impl Tally {
    pub fn add(&mut self, log: &Log) {
        self.logs += 1.0;
        self.taken_off += log.found.too_good_by;
        self.too_good += log.too_good_by;
        self.too_good_squares += log.too_good_by * log.too_good_by;
        self.held.count(holds(log.found.mean.interval, log.truth));
        self.held_new_run
            .count(holds(log.found.new_run.interval, log.new_run));
        let Some(lead) = &log.found.against else {
            return;
        };
        let settled = lead.gain.interval.expect("an interval").low > 0.0;
        let settled = f64::from(u8::from(settled));
        // Rounding of means that are the same.
        let is_better = log.gain > 1e-12;
        match is_better {
            true => self.settled_right.count(settled),
            false => self.settled_wrong.count(settled),
        }
        // Settings that are alike are better as often as not.
        let better = if is_better {
            1.0
        } else if log.gain < -1e-12 {
            0.0
        } else {
            0.5
        };
        let tenth = &mut self.tenths[((10.0 * lead.chance_better) as usize).min(9)];
        tenth.0.count(better);
        tenth.1 += lead.chance_better;
    }

    pub fn join(&mut self, other: &Tally) {
        self.logs += other.logs;
        self.taken_off += other.taken_off;
        self.too_good += other.too_good;
        self.too_good_squares += other.too_good_squares;
        for (one, more) in [
            (&mut self.held, other.held),
            (&mut self.held_new_run, other.held_new_run),
            (&mut self.settled_wrong, other.settled_wrong),
            (&mut self.settled_right, other.settled_right),
        ] {
            one.of += more.of;
            one.hits += more.hits;
        }
        for (one, more) in self.tenths.iter_mut().zip(&other.tenths) {
            one.0.of += more.0.of;
            one.0.hits += more.0.hits;
            one.1 += more.1;
        }
    }

    /// Whether of the settings with a chance in a tenth about as many are better.
    pub fn check_chances(&self) {
        for (share, said) in self.tenths {
            let said = said / share.of;
            if share.of >= FEWEST_CASES {
                let allowed = (said - HALF_A_TENTH)..=(said + HALF_A_TENTH).min(1.0);
                share.check(&allowed, &format!("better where {said:.3} was said"));
            }
        }
    }

    pub fn check(&self, what: &str) {
        let (taken_off, too_good) = (self.taken_off / self.logs, self.too_good / self.logs);
        let variance = self.too_good_squares / self.logs - too_good * too_good;
        let luck = LUCK * (variance / self.logs).sqrt();
        println!(
            "{what}: {taken_off:.5} taken off, {too_good:.5} too good, {:.2} of it",
            taken_off / too_good
        );
        let low = OF_THE_TRUTH.start() * (too_good - luck);
        let high = OF_THE_TRUTH.end() * (too_good + luck);
        assert!((low..=high).contains(&taken_off), "{what}: {taken_off}");
        self.held.check(&HELD, &format!("{what}, mean"));
        self.held_new_run.check(&HELD, &format!("{what}, new run"));
        if self.settled_wrong.of > 0.0 {
            let what = format!("{what}, settled though not better");
            self.settled_wrong.check(&(0.0..=0.05), &what);
        }
        if self.settled_right.of > 0.0 {
            let share = self.settled_right;
            println!(
                "{what}, settled and better: {:.3} of {}",
                share.value(),
                share.of
            );
        }
    }
}
