//! Differences to the base as bars from a zero line: cost, electricity by use, and changeovers.

use super::title;
use crate::measures::{Figure, FigureUnit};
use crate::report::chart::ChartFault;
use crate::report::chart::canvas::{Area, Canvas, Stroke};
use crate::report::chart::hatch::diagonals;
use crate::report::chart::palette::{GRID, INK, POWER, POWER_EDGE, QUIET};
use crate::report::chart::sheet::Sheet;
use crate::report::chart::text::{Anchor, Type};
use crate::report::compare::answer;
use crate::report::content::{Quantity, Units, signed_percent};
use crate::report::figures::days_in_words;
use crate::report::headline::capitalised;
use crate::study::{Comparison, Contender, Difference, differences};

/// What is shown, in this order; what is zero for all is left out.
const SHOWN: [&str; 8] = [
    "cost",
    "total_kwh",
    "heating_kwh",
    "cooling_kwh",
    "fan_kwh",
    "backup_kwh",
    "standby_kwh",
    "changeovers",
];

/// The chart of the differences between each variant and the base, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn differences_svg(comparison: &Comparison, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let groups = groups(comparison);
    let layout = Layout::new(sheet, comparison, &groups);
    let mut canvas = Canvas::new(sheet.width, layout.height)?;
    let subtitle = format!(
        "{}. Against {}: less to the left, plain; more to the right, hatched.",
        days_in_words(&comparison.base.model.period),
        comparison.base.spoken()
    );
    sheet.write_head(&mut canvas, &title(comparison), &subtitle)?;
    if groups.is_empty() {
        canvas.layer("empty", Stroke::Solid, |layer| {
            let how = Type::new(sheet.em, QUIET);
            let words = "There is nothing to show: no variant has a figure of these.";
            layer.words(words, (sheet.em * 0.8, sheet.head() + sheet.em), how);
        })?;
    }
    let mut top = sheet.head();
    for group in &groups {
        draw(&mut canvas, group, &layout, top)?;
        top += layout.group_height(group);
    }
    let description = answer(comparison, Contender::spoken).join(" ");
    Ok(canvas.finish(&title(comparison), &description))
}

/// One figure with its difference in every variant.
struct Group {
    figure: &'static Figure,
    head: String,
    /// Its unit with a blank before it; empty for counts.
    unit: String,
    bars: Vec<(String, Difference)>,
}

fn groups(comparison: &Comparison) -> Vec<Group> {
    let base = &comparison.base.finished.summary;
    let units = Units::of(&comparison.base.model);
    let figures = SHOWN.iter().filter_map(|key| Figure::named(key));
    figures
        .filter_map(|figure| {
            let bars: Vec<(String, Difference)> = comparison
                .variants
                .iter()
                .filter_map(|variant| {
                    let all = differences(base, &variant.finished.summary);
                    let found = all.into_iter().find(|(other, _)| other.key == figure.key)?;
                    Some((variant.spoken(), found.1))
                })
                .collect();
            let quantity = Quantity::from(figure.unit);
            let shows = |value: Option<f64>| {
                value.is_some_and(|value| quantity.shown(value).parse() != Ok(0.0))
            };
            let says = bars.iter().any(|(_, it)| shows(it.base) || shows(it.value));
            let value = quantity.shown(figure.of(base).unwrap_or(0.0));
            let unit = format!(" {}", units.unit(quantity)).trim_end().to_owned();
            let words = capitalised(figure.words);
            let head = format!("{words}: {} has {value}{unit}", comparison.base.spoken());
            says.then_some(Group { figure, head, unit, bars })
        })
        .collect()
}

struct Layout {
    em: f64,
    /// Where names begin, px.
    left: f64,
    /// The zero line, px.
    zero: f64,
    /// Room for a bar to either side, px.
    room: f64,
    /// The largest difference in energy, in cost and in changeovers.
    most: [f64; 3],
    /// Names as they have room, by the names in full.
    names: Vec<(String, String)>,
    height: f64,
}

impl Layout {
    fn new(sheet: Sheet, comparison: &Comparison, groups: &[Group]) -> Self {
        let em = sheet.em;
        let how = Type::new(em, INK);
        let names: Vec<String> = comparison.variants.iter().map(Contender::spoken).collect();
        let widest = names.iter().map(|name| how.width(name)).fold(0.0, f64::max);
        let widest = widest.min(sheet.width * 0.22);
        let short = how.cut_apart(&names, widest);
        let names = names.into_iter().zip(short).collect();
        let (left, right) = (em * 0.8 + widest + em, sheet.width - em * 0.8);
        let zero = f64::midpoint(left, right);
        // The numbers at the ends of bars need their room, too.
        let numbers = groups.iter().flat_map(|group| {
            group.bars.iter().map(|(_, difference)| how.width(&number(group, difference)))
        });
        let ends = numbers.fold(0.0, f64::max) + em;
        let room = ((right - left) / 2.0 - ends).max(em * 3.0);
        let most = [0, 1, 2].map(|axis| {
            let of_kind = groups.iter().filter(|it| axis_of(it.figure) == axis);
            let sizes =
                of_kind.flat_map(|group| group.bars.iter().filter_map(|it| it.1.absolute()));
            sizes.map(f64::abs).fold(0.0, f64::max)
        });
        let mut layout = Self { em, left: em * 0.8, zero, room, most, names, height: 0.0 };
        let tall: f64 = groups.iter().map(|group| layout.group_height(group)).sum();
        layout.height = libm::ceil(sheet.head() + tall.max(em * 2.0) + em * 0.6);
        layout
    }

    fn group_height(&self, group: &Group) -> f64 {
        self.em * (3.0 + 1.7 * group.bars.len() as f64)
    }

    fn px(&self, figure: &Figure, value: f64) -> f64 {
        let most = self.most[axis_of(figure)];
        if most > 0.0 { value / most * self.room } else { 0.0 }
    }
}

/// Bars of figures on the same axis have one scale.
fn axis_of(figure: &Figure) -> usize {
    match figure.unit {
        FigureUnit::Count => 2,
        FigureUnit::Money => 1,
        _ => 0,
    }
}

fn draw(canvas: &mut Canvas, group: &Group, layout: &Layout, top: f64) -> Result<(), ChartFault> {
    let &Layout { em, left, zero, .. } = layout;
    let first = top + em * 1.9;
    canvas.layer("figure", Stroke::Solid, |layer| {
        let how = Type::new(em, INK).bold();
        layer.words(&group.head, (left, top + em * 0.9), how);
        let bottom = first + em * 1.7 * group.bars.len() as f64;
        layer.line(&[(zero, first), (zero, bottom)], GRID, 1.4);
    })?;
    canvas.layer("bars", Stroke::Solid, |layer| {
        for (place, (name, difference)) in group.bars.iter().enumerate() {
            let middle = first + em * 1.7 * (place as f64 + 0.5);
            let how = Type::new(em, INK);
            let short = layout.names.iter().find(|(whole, _)| whole == name);
            layer.words(short.map_or(name, |(_, short)| short), (left, middle), how);
            let absolute = difference.absolute().unwrap_or(0.0);
            let tip = zero + layout.px(group.figure, absolute);
            let bar = Area {
                left: zero.min(tip),
                right: zero.max(tip),
                top: middle - em * 0.55,
                bottom: middle + em * 0.55,
            };
            if bar.width() > 0.0 {
                if absolute > 0.0 {
                    layer.line(&diagonals(bar, em * 0.4), POWER_EDGE, 1.2);
                } else {
                    layer.fill(bar, POWER);
                }
                layer.outline(bar, INK, 1.0);
            }
            let right = absolute >= 0.0;
            let (x, anchor) = if right {
                (bar.right + em * 0.5, Anchor::Start)
            } else {
                (bar.left - em * 0.5, Anchor::End)
            };
            layer.words(&number(group, difference), (x, middle), how.at(anchor));
        }
    })
}

/// `−1.23 kWh (−12 %)`, `+3 (+20 %)`, `no difference`.
fn number(group: &Group, difference: &Difference) -> String {
    let absolute = difference.absolute().unwrap_or(0.0);
    let size = Quantity::from(group.figure.unit).signed(absolute);
    if size == "0" {
        return "no difference".into();
    }
    let unit = &group.unit;
    let percent = difference.percent().map(|it| format!(" ({})", signed_percent(it)));
    format!("{size}{unit}{}", percent.unwrap_or_default())
}
