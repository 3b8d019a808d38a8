//! `audit.html`: each finding with its piece of chart; prints, and needs no network.

use maud::{Markup, html};

use super::{Audited, CAUTION, unsaid};
use crate::log::LogTime;
use crate::report::chart::{ChartFault, LogPanel, LogView, log_svg};
use crate::report::html::{plain_page, still_chart};
use crate::report::render::html::{Words, list, section};
use crate::study::audit::LogFinding;
use crate::time::{Period, Seconds};

/// Widths of a piece of chart, px: for wide windows and paper, and for narrow ones.
const WIDTHS: [u32; 2] = [900, 400];
/// So many findings have a piece of chart: a page stays small enough to be sent.
const MOST_CHARTS: usize = 20;

/// The page of an audit.
///
/// # Errors
/// See [`ChartFault`].
pub fn audit_html(audited: &Audited) -> Result<String, ChartFault> {
    let (full, rest) = audited.told();
    let mut parts: Vec<Markup> = Vec::new();
    for (place, finding) in full.iter().enumerate() {
        let chart = if place < MOST_CHARTS { piece(audited, finding)? } else { None };
        parts.push(html! {
            article.finding {
                h3 { (finding.weight.name()) ": " (Words(audited.zone(finding))) " (" (finding.code) ")" }
                p { (Words(&finding.message)) }
                p { (Words(&audited.seen(finding))) "." }
                p { b { "What helps: " } (Words(&finding.remedy)) "." }
                @if let Some(chart) = chart { (chart) }
            }
        });
    }
    let more = audited.more(&rest);
    let body = html! {
        (section("answer", "In short", &html! { p { (Words(&audited.answer())) } }))
        (section("findings", "Findings", &html! { @for part in &parts { (part) } }))
        @if !more.is_empty() { (section("more", "More of the same kinds", &list(&more))) }
        (section("unsaid", "What the log cannot say", &list(&unsaid(&audited.audit.cannot_say))))
        (section("cautions", "Bear in mind", &list(&[CAUTION])))
    };
    let title = format!("Log and settings: {}", audited.model.title);
    let span = audited.site.log.span();
    let subtitle = span.map(|(from, to)| format!("{from} to {to}")).unwrap_or_default();
    Ok(plain_page(&title, &subtitle, &body))
}

/// The day of a finding's first span, with its spans shaded.
fn piece(audited: &Audited, finding: &LogFinding) -> Result<Option<Markup>, ChartFault> {
    let courses = &audited.audit.courses;
    let course = match &finding.zone {
        Some(zone) => courses.iter().find(|course| course.id == *zone),
        None => courses.first(),
    };
    let (Some(course), Some((from, _))) = (course, finding.spans.first()) else { return Ok(None) };
    let Ok(period) = Period::new(from.date(), 1, Seconds::minutes(1)) else { return Ok(None) };
    let midnight = LogTime::midnight(from.date());
    let spans: Vec<(LogTime, LogTime)> = finding
        .spans
        .iter()
        .copied()
        .filter(|(begin, end)| *end > midnight && *begin < midnight + crate::time::DAY)
        .collect();
    let panel =
        LogPanel { name: &course.label, samples: &course.samples, spans: &spans, notes: &[] };
    let title = format!("{}, {}", course.label, from.date());
    let view = LogView {
        title: &title,
        subtitle: &format!("{}: shaded where it was seen", finding.code.replace('_', " ")),
        unit: course.unit,
        period,
        panels: &[panel],
    };
    let [wide, narrow] = WIDTHS.map(|width| log_svg(&view, width));
    let head = format!("The day of {}; shaded where it was seen", from.date());
    Ok(Some(still_chart(&head, wide?, narrow?)))
}
