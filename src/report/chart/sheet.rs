//! What all sheets have in common: their width, the size of words, and what stands over a chart.

use super::canvas::{Canvas, Stroke};
use super::palette::{INK, QUIET};
use super::text::Type;
use super::{ChartFault, NARROWEST, WIDEST};
use crate::report::figures::{count, days_in_words, three_figures};
use crate::report::headline::asked_and_denied;
use crate::report::run::{Run, label};

/// Sizes that all parts of a chart share, px.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    /// The whole width.
    pub width: f64,
    /// The em of common words.
    pub em: f64,
}

impl Sheet {
    /// The sheet of a wished width: words grow with it, within reason.
    pub(super) fn new(width: u32) -> Self {
        let width = f64::from(width.clamp(NARROWEST, WIDEST));
        Self { width, em: (width / 78.0).clamp(10.5, 15.0) }
    }

    /// The sheet of a zone alone, whose labels are shortened where there is little room.
    pub(super) fn of_zone(width: u32) -> Self {
        const NARROWEST_ZONE: u32 = 280;
        let plain = Self::new(width);
        let sheet = Self { width: f64::from(width.clamp(NARROWEST_ZONE, WIDEST)), ..plain };
        // A page is read from nearer than a sheet: words as large as its own small ones.
        if sheet.is_narrow() { sheet } else { Self { em: sheet.em.max(12.0), ..sheet } }
    }

    /// Whether only the shortest words have room.
    pub(super) fn is_narrow(self) -> bool {
        self.width < 560.0
    }

    /// The height of title and subtitle.
    pub(super) fn head(self) -> f64 {
        self.em * 4.6
    }

    /// Writes title and subtitle.
    pub(super) fn write_head(
        self,
        canvas: &mut Canvas,
        title: &str,
        subtitle: &str,
    ) -> Result<(), ChartFault> {
        let (left, room) = (self.em * 0.8, self.width - self.em * 1.6);
        canvas.layer("title", Stroke::Solid, |layer| {
            let how = Type::new(self.em * 1.4, INK).bold();
            layer.words(&how.cut(title, room), (left, self.em * 1.5), how);
            let how = Type::new(self.em, QUIET);
            layer.words(&how.cut(subtitle, room), (left, self.em * 3.2), how);
        })
    }
}

/// What stands over a chart: the zone where there is one, then the study.
pub(super) fn title(run: &Run) -> String {
    let study = study_name(run);
    match run.model.zones.as_slice() {
        [only] => named(label(only), &study),
        _ => study,
    }
}

/// The study, with its variant.
pub(super) fn study_name(run: &Run) -> String {
    match &run.model.variant {
        Some(variant) => format!("{}, variant {variant}", run.model.title),
        None => run.model.title.clone(),
    }
}

/// A name before that of the study, if it has one.
pub(super) fn named(name: &str, study: &str) -> String {
    if study.is_empty() { name.to_owned() } else { format!("{name}: {study}") }
}

/// The period and its figures in one line.
pub(super) fn subtitle(run: &Run) -> String {
    let (asked, denied) = asked_and_denied(run.summary);
    let mut facts = vec![
        count(run.summary.group.changeovers, "changeover"),
        format!("{} kWh", three_figures(run.summary.energy.total_kwh)),
        count(asked, "request"),
    ];
    if denied > 0 {
        facts.push(format!("{denied} not done as asked"));
    }
    format!("{}: {}", days_in_words(&run.model.period), facts.join(", "))
}
