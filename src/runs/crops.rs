//! Crops of a run, and what each is worth.
//!
//! In: rows of the crops log, or of the flat style; titres, ignitions and impurities at hand. Out: [`CropResult`]s.
//! This module never counts a purity twice: titres lead, then the ignition, an entry, what is left by difference.

use super::drying::{as_present, by_drying, by_ignition, ways_disagree};
use super::one_run::Desk;
use super::results::{CropResult, Outcome, PurityBy};
use super::titration::as_weighed;
use crate::caveat::{Caveat, Part, Reason, ToldTwice};
use crate::intake::{CropRow, FlatCrop, LoggedNumber, RunRow, TitreOf};
use crate::measured::Measured;
use crate::name::Name;

impl Desk<'_> {
    /// Crops by their own log, else in the flat style of the runs log.
    pub fn crops_of(&mut self, row: &RunRow) -> Vec<CropResult> {
        let whole = row
            .purity
            .map(|purity| self.book.reading(purity, &["purity"], "purity"));
        let mut crops: Vec<CropResult> = Vec::new();
        for logged in self.crops.get(&*row.run).cloned().unwrap_or_default() {
            let flat = FlatCrop {
                crop: logged.crop,
                moisture: logged.moisture,
                ..FlatCrop::default()
            };
            crops.push(CropResult {
                liquor_volume: logged.liquor_volume.map(|volume| volume.value),
                temperature: logged.temperature.map(|temperature| temperature.value),
                ..self.crop(row, &flat, logged.mass, (whole.as_ref(), Some(logged)))
            });
        }
        for flat in &row.crops {
            if let Some(mass) = flat.mass
                && !crops.iter().any(|known| known.crop == flat.crop)
            {
                crops.push(self.crop(row, flat, mass, (whole.as_ref(), None)));
            }
        }
        crops.sort_by_key(|crop| crop.crop);
        crops
    }

    /// One crop of that mass, with the purity logged of the whole run and its row of the crops log.
    fn crop(
        &mut self,
        row: &RunRow,
        flat: &FlatCrop,
        mass: LoggedNumber,
        (whole, logged): (Option<&Measured>, Option<&CropRow>),
    ) -> CropResult {
        let crop = flat.crop;
        let drying = logged.and_then(|logged| logged.drying.as_deref());
        let dried = drying.map(|of| by_drying(of, &mut self.book));
        let mass = self.book.reading(mass, &["crop_mass"], "crop mass");
        let moisture = flat
            .moisture
            .map(|moisture| self.book.reading(moisture, &["moisture"], "moisture"));
        if let (Some(used), Some(other)) = (&moisture, &dried) {
            let doubt = ways_disagree(crop, ToldTwice::Moisture, [used, other]);
            self.caveats
                .extend(doubt.map(|doubt| Caveat::of_run(&row.run, doubt)));
        }
        let moisture = moisture.as_ref().or(dried.as_ref());
        let titrated = self
            .titrated
            .get(&(Name::from(&row.run), TitreOf::Crop(crop)));
        let titrated = titrated.map(|found| as_weighed(found.clone(), moisture, self.basis));
        let ignited = logged.and_then(|logged| self.ignited(logged, moisture));
        let withheld = row.may_use(&[Part::Purity, Part::PurityOf(crop)]).is_err();
        if let (Some(used), Some(other), false) = (&titrated, &ignited, withheld) {
            let doubt = ways_disagree(crop, ToldTwice::Purity, [used, other]);
            self.caveats
                .extend(doubt.map(|doubt| Caveat::of_run(&row.run, doubt)));
        }
        let is_told = withheld || titrated.is_some() || ignited.is_some();
        let entry = match flat.purity.filter(|_| !is_told) {
            Some(own) => Some(self.book.reading(own, &["purity"], "purity")),
            None => whole.cloned(),
        };
        let entry = entry.map(|found| as_weighed(found, moisture, self.basis));
        let by = [
            (PurityBy::Titres, titrated),
            (PurityBy::Ignition, ignited),
            (PurityBy::Entry, entry),
        ];
        let found = by
            .into_iter()
            .find_map(|(by, found)| Some((by, Ok(found?))));
        let (purity_by, purity) = match found {
            _ if withheld => {
                let part = Part::PurityOf(crop);
                (PurityBy::Entry, Err(Reason::Withheld { part }))
            }
            Some(found) => found,
            None if self.campaign.by_difference => {
                let found = self.by_difference(crop, moisture, logged);
                (PurityBy::Difference, found)
            }
            None => {
                let reason = match self.campaign.titration {
                    Some(_) => Reason::NoTitre { crop },
                    None => Reason::NoPurity { crop },
                };
                (PurityBy::Entry, Err(reason))
            }
        };
        CropResult {
            crop,
            mass,
            purity,
            purity_by,
            dried_to: dried,
            liquor_volume: None,
            temperature: None,
        }
    }

    /// Purity as weighed by the ignition of a crop, where it was ignited.
    fn ignited(&mut self, logged: &CropRow, moisture: Option<&Measured>) -> Option<Measured> {
        let (weighed, per_left) = (logged.ignition.as_deref()?, self.per_left.as_ref()?);
        let found = by_ignition(weighed, per_left, &mut self.book);
        let basis = self.campaign.ignition.as_ref()?.sample;
        Some(as_weighed(found, moisture, basis))
    }

    /// Purity as weighed [mass fraction]: `1 − moisture − Σ contents`, each content as the compound that it is present as.
    ///
    /// # Assumes
    /// Nothing else is in the crop: what nobody looked for counts as product.
    /// # Errors
    /// [`Reason::NotByDifference`] where moisture or an impurity is not logged, or where they leave nothing.
    /// # Source
    /// Assay by difference; common practice, no source. Checked in `tests/it/reference/titration/ignition.rs`.
    fn by_difference(
        &mut self,
        crop: u32,
        moisture: Option<&Measured>,
        logged: Option<&CropRow>,
    ) -> Outcome {
        let mut missing: Vec<String> = Vec::new();
        let mut rest = Measured::exact(1.0);
        match moisture {
            Some(moisture) => rest = &rest - moisture,
            None => missing.push("moisture".into()),
        }
        for (position, impurity) in self.campaign.impurities.iter().enumerate() {
            let content = logged.and_then(|row| *row.impurities.get(position)?);
            let Some(content) = content else {
                missing.push(impurity.name.clone());
                continue;
            };
            let label = format!("content of {}", impurity.name);
            let content = self.book.reading(content, &["impurity"], label);
            rest = &rest - &(&content * &as_present(impurity, self.weights));
        }
        match missing.is_empty() && rest.value() > 0.0 {
            true => Ok(rest),
            false => Err(Reason::NotByDifference { crop, missing }),
        }
    }
}
