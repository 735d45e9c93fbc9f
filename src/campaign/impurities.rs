//! Tables `[impurities.NAME]`: impurities that are followed, with the most that product may hold.
//!
//! In: their sections. Out: [`FollowedImpurity`]s.
//! This module never knows which runs met a limit.

use super::basics::formula;
use super::figure::amount;
use super::section::Section;
use super::source::At;
use crate::chemistry::Formula;
use crate::units::Dimension;

/// An impurity that is followed.
#[derive(Debug, Clone)]
pub struct FollowedImpurity {
    /// Its name, which is also its column of the logs of crops and residues.
    pub name: String,
    /// The most that product may hold [mass fraction].
    pub limit: Option<f64>,
    /// The compound that it is present as, where its content is stated of the element that it is named after.
    pub present_as: Option<Formula>,
    /// Line of the campaign file.
    pub line: usize,
}

pub(super) fn impurity(all: &Section, name: At<String>) -> Option<FollowedImpurity> {
    all.table_if_there(&name.value, |section| {
        let limit = section.meaning("limit", |text| match amount(text, Dimension::Fraction)? {
            limit if limit < 1.0 => Ok(limit),
            _ => Err("a limit is below 1, such as `50 ppm` or `0.02 %`".to_string()),
        });
        let present_as = formula(section, "formula");
        if let Some(At { value, position }) = &present_as
            && value.atoms_of(&name.value) == 0.0
        {
            let path = section.path("formula");
            let what = format!("`{path}` `{}` holds no `{}`", value.text(), name.value);
            let hint = "its content is stated of the element that it is named after: name the table by that symbol, or leave `formula` out";
            section.source.fault(*position, what, hint);
        }
        Some(FollowedImpurity {
            limit,
            present_as: present_as.map(|stated| stated.value),
            line: section.source.line(name.position),
            name: name.value.clone(),
        })
    })
}
