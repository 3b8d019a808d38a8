//! `fit.html` and the charts of a fit.

use maud::{PreEscaped, html};

use super::{CAUTION, Fitted, measures, silent, told, why_not, with_unit};
use crate::log::LogTime;
use crate::report::chart::{ChartFault, FitView, ProfileView, fit_svg, profiles_svg};
use crate::report::html::plain_page;
use crate::report::render::html::{Words, list, section};
use crate::study::fit::ZoneFit;
use crate::time::{DAY, Instant, Period, Seconds};

/// Width of a chart on the page, px.
const WIDTH: u32 = 900;

impl Fitted<'_> {
    /// What was measured in a zone beside the model, `width` px wide.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn chart(&self, zone: &ZoneFit, width: u32) -> Result<String, ChartFault> {
        let unit = self.model.unit;
        let grid = &zone.inputs.grid;
        let first = grid.from.date();
        let midnight = LogTime::midnight(first);
        let end = grid.at(grid.count.saturating_sub(1));
        let days = (end - midnight - 1).max(0) / DAY + 1;
        let period = Period::new(first, days, Seconds::minutes(1)).unwrap_or(self.model.period);
        let at = |place: usize| Instant::new(grid.at(place) - midnight);
        let shown = zone.inputs.readings.shown.iter().enumerate();
        let measured: Vec<(Instant, Option<f64>)> =
            shown.map(|(place, it)| (at(place), it.map(|it| unit.from_celsius(it)))).collect();
        let modelled: Vec<(Instant, f64)> = zone
            .modelled
            .iter()
            .enumerate()
            .map(|(place, it)| (at(place), unit.from_celsius(*it)))
            .collect();
        let residuals = zone.residuals.map(|it| it.map(|it| unit.difference_from_kelvin(it)));
        let view = FitView {
            title: &format!("{}: measured and fitted", zone.label),
            subtitle: &self.headline(zone),
            unit,
            period,
            measured: &measured,
            modelled: &modelled,
            residuals: &residuals,
        };
        fit_svg(&view, width)
    }

    /// The profiles of a zone's numbers, `width` px wide; `None` where it has none.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn profiles(&self, zone: &ZoneFit, width: u32) -> Result<Option<String>, ChartFault> {
        let profiles: Vec<ProfileView> = zone
            .parameters
            .iter()
            .filter_map(|it| {
                let interval = it.interval.filter(|_| it.profile.len() > 2)?;
                let unit =
                    if it.unit.is_empty() { String::new() } else { format!(", {}", it.unit) };
                let points = it.profile.clone();
                Some(ProfileView {
                    name: format!("{}{unit}", it.key.replace('_', " ")),
                    points,
                    interval,
                    value: it.value,
                })
            })
            .collect();
        if profiles.is_empty() {
            return Ok(None);
        }
        let title = format!("{}: how sure each number is", zone.label);
        let subtitle = "Logarithm of the likelihood below its best, all others at their best; below the \
                        dashed line lies what 95 % intervals leave out.";
        profiles_svg((&title, subtitle), &profiles, width).map(Some)
    }
}

/// The page of a fit.
///
/// # Errors
/// See [`ChartFault`].
pub fn fit_html(fitted: &Fitted) -> Result<String, ChartFault> {
    let mut parts = Vec::new();
    for zone in fitted.zones {
        let chart = fitted.chart(zone, WIDTH)?;
        let profiles = fitted.profiles(zone, WIDTH)?;
        let all: Vec<String> =
            zone.parameters.iter().filter(|it| it.is_identifiable()).map(told).collect();
        let quiet: Vec<String> = zone.parameters.iter().filter_map(silent).collect();
        let body = html! {
            p { (Words(&fitted.headline(zone))) }
            figure { (PreEscaped(chart)) }
            h3 { "Fitted" }
            (list(&all))
            @if let Some(profiles) = profiles { figure { (PreEscaped(profiles)) } }
            @if !quiet.is_empty() { h3 { "Not identifiable from this log" } (list(&quiet)) }
            h3 { "How well" }
            (list(&measures(fitted, zone)))
            @if let Some(hours) = &zone.by_hour {
                h3 { "Heat by the hour that no log explains" }
                p {
                    @for (hour, power) in hours.iter().enumerate() {
                        (format!("{hour:02}:00 {}", with_unit(*power, "W"))) @if hour < 23 { ", " }
                    }
                }
            }
        };
        parts.push(section(&format!("zone-{}", zone.zone.get()), &zone.label, &body));
    }
    let left: Vec<String> = fitted.left_out.iter().map(why_not).collect();
    let body = html! {
        @for part in &parts { (part) }
        @if !left.is_empty() { (section("left-out", "Left out", &list(&left))) }
        (section("cautions", "Bear in mind", &list(&[CAUTION])))
    };
    let span = fitted.model.log.as_deref().and_then(|site| site.log.span());
    let subtitle = span.map(|(from, to)| format!("{from} to {to}")).unwrap_or_default();
    Ok(plain_page(&format!("Fitted to its log: {}", fitted.model.title), &subtitle, &body))
}
