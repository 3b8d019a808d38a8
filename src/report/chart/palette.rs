//! Colours, from the set of Okabe and Ito (2008), which colour-blind readers can tell apart.

use plotters::style::RGBColor;

/// Heating: vermillion.
pub(super) const HEATING: RGBColor = RGBColor(0xD5, 0x5E, 0x00);
/// Cooling: blue.
pub(super) const COOLING: RGBColor = RGBColor(0x00, 0x72, 0xB2);
/// Warnings: orange.
pub(super) const WARNING: RGBColor = RGBColor(0xE6, 0x9F, 0x00);
/// What was chosen, pinned or found: bluish green.
pub(super) const PINNED: RGBColor = RGBColor(0x00, 0x9E, 0x73);
/// Reddish purple.
pub(super) const PURPLE: RGBColor = RGBColor(0xCC, 0x79, 0xA7);
/// Sky blue.
pub(super) const SKY: RGBColor = RGBColor(0x56, 0xB4, 0xE9);
/// The zone's temperature, and words.
pub(super) const INK: RGBColor = RGBColor(0x1A, 0x1A, 0x1A);
/// Words that stand back: 5.7 to 1 on white.
pub(super) const QUIET: RGBColor = RGBColor(0x66, 0x66, 0x66);
/// Outdoor air.
pub(super) const OUTDOOR: RGBColor = RGBColor(0x80, 0x80, 0x80);
/// Grid lines.
pub(super) const GRID: RGBColor = RGBColor(0xE4, 0xE4, 0xE4);
/// The band between the setpoints.
pub(super) const BAND: RGBColor = RGBColor(0xEF, 0xF3, 0xEA);
/// Where the band lies at some time of each day.
pub(super) const WIDE_BAND: RGBColor = RGBColor(0xF8, 0xFA, 0xF5);
/// Lines between days or months.
pub(super) const BORDER: RGBColor = RGBColor(0xC8, 0xC8, 0xC8);
/// Night.
pub(super) const NIGHT: RGBColor = RGBColor(0xF5, 0xF5, 0xF9);
/// A zone that is on and idle.
pub(super) const IDLE: RGBColor = RGBColor(0xEE, 0xEE, 0xEE);
/// Between a day's lowest and highest temperature.
pub(super) const RANGE: RGBColor = RGBColor(0xDC, 0xDC, 0xDC);
/// Electric power.
pub(super) const POWER: RGBColor = RGBColor(0xC4, 0xC4, 0xC4);
/// The edge of the power area.
pub(super) const POWER_EDGE: RGBColor = RGBColor(0x70, 0x70, 0x70);
/// Behind a group that heats.
pub(super) const HEATING_GROUND: RGBColor = RGBColor(0xFD, 0xEE, 0xE2);
/// Behind a group that cools.
pub(super) const COOLING_GROUND: RGBColor = RGBColor(0xE6, 0xF1, 0xF8);
/// Paper.
pub(super) const PAPER: RGBColor = RGBColor(0xFF, 0xFF, 0xFF);
