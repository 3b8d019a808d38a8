//! The worst that can happen, for each requirement that asks for it: what is proved and what was found
//! as sentences and as a picture.

use maud::{Markup, html};

use super::{NARROW, WIDE, still_chart};
use crate::report::chart::{ChartFault, worst_svg};
use crate::report::render::html::{Words, list, section, text};
use crate::report::review::asked_words;
use crate::report::worst::{Worst, ZoneWorst, worst_cautions, worst_sentences};
use crate::study::review::{Bounded, Evidence, Review, Reviewed};
use crate::study::worst::End;

/// A part for each such requirement; nothing where there are none.
pub(super) fn worst_section(review: &Review<'_>) -> Result<Markup, ChartFault> {
    let mut parts = Vec::new();
    let mut borne_in_mind: Vec<String> = Vec::new();
    for row in &review.rows {
        if let Evidence::Bound(bounded) = &row.by {
            parts.push(part(row, bounded, &mut borne_in_mind)?);
        }
    }
    let inside = html! {
        @for part in &parts { (part) }
        (list(&borne_in_mind))
    };
    Ok(section("worst", "The worst that can happen", &inside))
}

/// One requirement's; cautions that were not yet given are added to those to bear in mind.
fn part(
    row: &Reviewed<'_>,
    bounded: &Bounded,
    borne_in_mind: &mut Vec<String>,
) -> Result<Markup, ChartFault> {
    let mut found = [None, None];
    found[bounded.end as usize] = bounded.found.clone().map(|found| (found, String::new()));
    let zone = [ZoneWorst::new(bounded.reached.clone(), found, [&[], &[]])];
    let asked = |end: End| (bounded.end == end).then(|| row.model.unit.to_celsius(bounded.asked));
    let worst = Worst {
        model: row.model,
        question: &bounded.question,
        zones: &zone,
        at_least: asked(End::Lowest),
        at_most: asked(End::Highest),
        draws: None,
    };
    let [wide, narrow] = [WIDE, NARROW].map(|width| worst_svg(&worst, &zone[0], width));
    for caution in worst_cautions(&worst) {
        if !borne_in_mind.contains(&caution) {
            borne_in_mind.push(caution);
        }
    }
    let verdict = row.verdict.name();
    Ok(html! {
        h3 { (Words(&format!("{}: {verdict}", row.requirement.id))) }
        (text(&format!("Asked: {}.", asked_words(row))))
        @for sentence in worst_sentences(&worst, &zone[0], bounded.end) { (text(&sentence)) }
        (still_chart(HEAD, wide?, narrow?))
    })
}

const HEAD: &str = "Nothing lies outside the band. The line in it is the worst run that was found, with \
                    a mark wherever somebody presses something; the dashed line is what is asked.";
