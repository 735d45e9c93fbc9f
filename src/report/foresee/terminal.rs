//! What is foreseen for a terminal or a pipe.
//!
//! In: what was foreseen, and the analysis that it rests on. Out: plain text.
//! This module never prints: the program does.

use super::{Of, Told, of_crops, of_routes, of_washes};
use crate::foresee::Foreseen;
use crate::pipeline::Analysis;
use crate::report::print::{Screen, Width};

/// All that is foreseen.
pub fn foreseen(found: &Foreseen, analysis: &Analysis, width: Width) -> String {
    let mut screen = Screen::new(width);
    let of = Of {
        campaign: &analysis.campaign,
        factor: analysis.coverage_factor(),
    };
    let crop = found.crop.iter().map(|crop| of_crops::told(crop, &of));
    let routes = found.routes.iter().map(|route| of_routes::told(route, &of));
    let wash = found.wash.iter().map(|wash| of_washes::told(wash, &of));
    for told in crop.chain(routes).chain(wash) {
        show(&mut screen, &told);
    }
    let cautions = of.cautions(found);
    if !cautions.is_empty() {
        screen.paragraph();
        screen.line("Cautions; local codes, safety data sheets and licensed practice come first, and nothing here is a permission:");
        for caution in cautions {
            screen.line(&format!("- {caution}"));
        }
    }
    screen.finish()
}

fn show(screen: &mut Screen, told: &Told) {
    screen.paragraph();
    screen.line(&told.heading);
    screen.gap();
    for line in told.barred.iter().chain(&told.lines) {
        screen.line(line);
    }
    for table in &told.tables {
        screen.gap();
        screen.table(table);
    }
    let lists = [
        ("Rests on:", &told.rests_on),
        ("Could be wrong:", &told.doubts),
        ("Would test it:", &told.tests),
    ];
    for (heading, lines) in lists.into_iter().filter(|(_, lines)| !lines.is_empty()) {
        screen.gap();
        screen.line(heading);
        for line in lines {
            screen.line(&format!("- {line}."));
        }
    }
}
