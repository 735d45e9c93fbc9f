//! What stands on the shelf? Residue of earlier runs, used up oldest first, each run's only once.
//!
//! In: finished runs, and how much a run would like to charge. Out: what it gets, with its assay.
//! This module never hands out the residue of a run whose log is doubtful.

use super::batch::{self, Batch};

/// Residue of one run.
#[derive(Debug, Clone)]
struct Jar {
    run: String,
    mass: f64,
    true_assay: f64,
    assay: f64,
}

/// All residue that waits.
#[derive(Debug, Default)]
pub struct Shelf {
    jars: Vec<Jar>,
}

/// Residue mixed from whole jars, of which a part is charged.
#[derive(Debug, Clone, Default)]
pub struct Charge {
    /// Runs that the residue comes from, oldest first.
    pub from: Vec<String>,
    /// Mass to be charged [g].
    pub mass: f64,
    /// True mass fraction of CuO.
    pub true_assay: f64,
    /// Mass fraction of CuO by the log: mean of the jars by mass.
    pub assay: f64,
}

impl Shelf {
    /// Puts the residue of a run on the shelf, unless its log is doubtful.
    pub fn put(&mut self, batch: &Batch) {
        if batch::is_doubtful(&batch.name) {
            return;
        }
        self.jars.push(Jar {
            run: batch.name.clone(),
            mass: batch.residue.mass,
            true_assay: batch.residue.true_assay,
            assay: batch.residue.assay,
        });
    }

    /// Takes whole jars until the wish is met, and charges as much of the mixture as wished for.
    ///
    /// What is left of the mixture is thrown away. If the shelf holds less than the wish, all of it is charged.
    pub fn take(&mut self, wish: f64) -> Charge {
        if wish <= 0.0 {
            return Charge::default();
        }
        let mut taken: Vec<Jar> = Vec::new();
        let mut mass = 0.0;
        while mass < wish && !self.jars.is_empty() {
            let jar = self.jars.remove(0);
            mass += jar.mass;
            taken.push(jar);
        }
        let mean = |content: fn(&Jar) -> f64| {
            taken.iter().map(|jar| jar.mass * content(jar)).sum::<f64>() / mass
        };
        Charge {
            mass: mass.min(wish),
            true_assay: mean(|jar| jar.true_assay),
            assay: mean(|jar| jar.assay),
            from: taken.iter().map(|jar| jar.run.clone()).collect(),
        }
    }
}
