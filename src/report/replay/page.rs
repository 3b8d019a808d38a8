//! `replay.html`: the days of a log with other settings; prints, and needs no network.

use maud::html;

use super::{Replayed, table, words};
use crate::report::chart::{ChartFault, NARROWEST, USUAL_WIDTH, replay_svg};
use crate::report::html::{plain_page, still_chart};
use crate::report::render::html::{Words, list, section, table as numbers};

/// What the chart shows.
const HEAD_OF_CHART: &str = "What was measured is drawn full, the run as logged dashed, variants with \
                             longer dashes or dots; shaded is where 95 of 100 draws lie.";

/// The page of a replay.
///
/// # Errors
/// See [`ChartFault`].
pub fn replay_html(replayed: &Replayed) -> Result<String, ChartFault> {
    let title = format!("The same days with other settings: {}", replayed.model.title);
    let span = replayed.span();
    let view = replayed.view(&replayed.model.title, &span);
    let (wide, narrow) = (replay_svg(&view, USUAL_WIDTH)?, replay_svg(&view, NARROWEST)?);
    let variants = replayed.variants();
    let body = html! {
        (section("answer", "In short", &html! { p { (Words(&replayed.answer())) } }))
        (section("variants", "With other settings", &list(&variants)))
        (section("charts", "Through the days", &html! {
            (still_chart(HEAD_OF_CHART, wide, narrow))
        }))
        (section("figures", "Figures", &numbers(&table::figures(replayed), "numbers cards")))
        (section("unexplained", "What the model does not explain", &list(&words::disturbance(replayed))))
        (section("notes", "What the figures rest on", &list(&words::notes(replayed))))
        (section("cautions", "Bear in mind", &list(&[words::CAUTION])))
    };
    Ok(plain_page(&title, &span, &body))
}
