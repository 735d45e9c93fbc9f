//! Tables `[second.NAME]`: further elements of the feed that are worth something, each with a product of its own.
//!
//! In: their sections, the chemistry and the prices. Out: [`SecondElement`]s.
//! This module never knows how much of it a run gave.

use super::basics::{Chemistry, Declared, formula};
use super::currency::Currency;
use super::money::{Prices, one_price};
use super::price::{Per, Price};
use super::section::Section;
use super::source::At;

/// A further element of the feed that is worth something.
#[derive(Debug, Clone)]
pub struct SecondElement {
    /// Its symbol, by which its columns of the runs log are called.
    pub element: String,
    /// Its product, and the element as what assays are stated as.
    pub chemistry: Chemistry,
    /// Column of the logs of lots and residues with its assay [mass fraction of the element].
    pub assay: String,
    /// Column of the runs log with the mass of its product, `Ni_mass`.
    pub mass_column: String,
    /// Column of the runs log with the purity of its product, `Ni_purity`.
    pub purity_column: String,
    /// What its yield is called as a response, `Ni_yield`.
    pub yield_column: String,
    /// Price of its product [currency/g].
    pub price: Option<Price>,
    /// Line of the campaign file.
    pub line: usize,
}

pub(super) fn second(
    all: &Section,
    name: At<String>,
    main: &Declared,
    prices: Option<&Prices>,
) -> Option<SecondElement> {
    all.table_if_there(&name.value, |section| {
        let fault = |what: String, hint: &str| section.source.fault(name.position, what, hint);
        let (element, path) = (&name.value, all.path(&name.value));
        let line = section.source.line(name.position);
        let currency = prices.and_then(Prices::stated_currency);
        let price = one_price(section, "price", Per::Gram, &Currency::new(currency.map(str::to_string)));
        let (product, assay) = (formula(section, "product"), section.text("assay"));
        for key in ["product", "assay"].iter().filter(|key| !section.has(key)) {
            let hint = "write `product = \"NiSO4·6H2O\"` and `assay = \"Ni_assay\"`, the column of the lots log with its mass fraction";
            fault(format!("`{path}.{key}` is missing"), hint);
        }
        if prices.is_none() && price.is_some() {
            let hint = "add `[prices]`: what the second product brings is held against what runs cost";
            fault(format!("`{path}.price` without `[prices]`"), hint);
        }
        match main {
            Declared::Nothing => fault(
                format!("`{path}` without `product` in `[campaign]`"),
                "name `product`, `followed` and `assay_as`: a second element is recovered beside the first",
            ),
            Declared::Sound(chemistry) if chemistry.followed == *element => fault(
                format!("`{path}` is the element that `[campaign]` follows already"),
                "take the table out, or follow another element",
            ),
            _ => {}
        }
        let product = product?;
        if product.value.atoms_of(element) == 0.0 {
            let what = format!("`{path}.product` holds no {element}: `{}`", product.value.text());
            let hint = "call the table by the symbol of the element, such as `[second.Ni]`, and write the formula of its product";
            section.source.fault(product.position, what, hint);
            return None;
        }
        let assay = assay?;
        if assay.value == "assay" {
            let hint = "that column holds the assay of the first element; give the second a column of its own, such as `Ni_assay`";
            section.refuse("assay", &assay, hint);
        }
        Some(SecondElement {
            chemistry: Chemistry {
                lines: [section.source.line(product.position), line],
                product: product.value,
                followed: element.clone(),
                assay_as: crate::chemistry::Formula::parse(element).ok()?,
            },
            mass_column: format!("{element}_mass"),
            purity_column: format!("{element}_purity"),
            yield_column: format!("{element}_yield"),
            element: element.clone(),
            assay: assay.value,
            price,
            line,
        })
    })
}
