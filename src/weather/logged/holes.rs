//! Rows that are missing, and what is put in their place.

use super::LoggedRow;
use crate::weather::gaps::{self, Fill, Gap};
use crate::weather::spell::Light;

/// The times without rows between some rows. What nobody says is filled on a straight line.
pub(super) fn gaps_in(
    rows: &[LoggedRow],
    seconds: &[f64],
    usual: f64,
    fill: Option<Fill>,
) -> Vec<Gap> {
    let apart = seconds.windows(2).map(|pair| pair[1] - pair[0]);
    let pairs = rows.windows(2).zip(apart).filter(|(_, apart)| gaps::is_gap(*apart, usual));
    pairs
        .map(|(pair, seconds)| Gap {
            from: pair[0].time,
            to: pair[1].time,
            line: pair[1].line,
            seconds,
            fill: fill.unwrap_or(Fill::Straight),
        })
        .collect()
}

/// The rows with one more in each gap, a usual distance before the gap's end.
pub(super) fn filled(
    (rows, seconds): (&[LoggedRow], &[f64]),
    usual: f64,
    gaps: &[Gap],
) -> Vec<(LoggedRow, f64)> {
    let mut all: Vec<(LoggedRow, f64)> = Vec::with_capacity(rows.len() + gaps.len());
    let mut gaps = gaps.iter().peekable();
    for (row, second) in rows.iter().zip(seconds) {
        if let Some(gap) = gaps.next_if(|gap| gap.line == row.line)
            && let Some((before, begin)) = all.last().copied()
        {
            let at = second - usual;
            let part = (at - begin) / (second - begin);
            let line = |from: f64, to: f64| from + part * (to - from);
            let put = match gap.fill {
                Fill::Hold => before,
                Fill::Straight => LoggedRow {
                    temperature: line(before.temperature, row.temperature),
                    vapour: line(before.vapour, row.vapour),
                    light: mean(before.light, row.light),
                    ..before
                },
            };
            all.push((put, at));
        }
        all.push((*row, *second));
    }
    all
}

/// The mean of the radiation of two rows of the same columns.
fn mean(one: Light, other: Light) -> Light {
    let mean = f64::midpoint;
    match (one, other) {
        (
            Light::Split { beam, diffuse },
            Light::Split { beam: other_beam, diffuse: other_diffuse },
        ) => Light::Split { beam: mean(beam, other_beam), diffuse: mean(diffuse, other_diffuse) },
        (Light::Global(one), Light::Global(other)) => Light::Global(mean(one, other)),
        (
            Light::GlobalAndDiffuse { global, diffuse },
            Light::GlobalAndDiffuse { global: other_global, diffuse: other_diffuse },
        ) => Light::GlobalAndDiffuse {
            global: mean(global, other_global),
            diffuse: mean(diffuse, other_diffuse),
        },
        (
            Light::GlobalAndBeam { global, beam },
            Light::GlobalAndBeam { global: other_global, beam: other_beam },
        ) => Light::GlobalAndBeam {
            global: mean(global, other_global),
            beam: mean(beam, other_beam),
        },
        (one, _) => one,
    }
}
