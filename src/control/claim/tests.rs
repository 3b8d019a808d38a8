//! What claims mean, and what is no claim.

use super::*;
use crate::control::{Limits, OnConflict, Range, SetpointRules, Ticks};
use crate::units::TemperatureUnit;

/// Heat 20 and cool 24 in steps of a half.
fn stored() -> (Grid, Stored) {
    let grid = Grid::new(TemperatureUnit::Celsius, 0.5).expect("a known step");
    let range = |low, high| Range { low: Ticks::new(low), high: Ticks::new(high) };
    let limits = Limits { heat: range(20, 60), cool: range(32, 70) };
    let rules = SetpointRules::new(limits, Ticks::new(2), OnConflict::Push).expect("feasible");
    let setpoints = rules.start_dual(Ticks::new(40), Ticks::new(48)).expect("legal");
    (grid, Stored { setpoints, mode: Mode::Auto, power: Power::On })
}

#[test]
fn claims_hold_or_not() {
    let (grid, stored) = stored();
    for (text, holds) in [
        ("cool >= 23", true),
        ("cool>=24.5", false),
        ("cool - heat >= 3", true),
        ("cool - heat > 4", false),
        ("cool - heat = 4", true),
        ("cool - heat != 4", false),
        ("heat + 4 == cool", true),
        ("(heat + cool) - 44 < 0.1 and mode = auto", true),
        ("mode = heat or power = on", true),
        ("mode != fan and not (heat > 21 or cool < 24)", true),
        ("not not power = off", false),
        ("(cool - heat >= 3)", true),
        ("((heat)) <= (-(-20))", true),
        ("mode = cool or heat < 20 and cool > 0", false),
        ("Cool >= HEAT", true),
    ] {
        let claim = Claim::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault}"));
        assert_eq!(claim.holds(grid, &stored), holds, "{text}");
        assert_eq!(claim.text(), text);
    }
}

#[test]
fn what_is_no_claim_is_told_by_its_place() {
    for (text, column) in [
        ("", 1),
        ("cool", 5),
        ("cool >= ", 9),
        ("cool >= 23 23", 12),
        ("mode > heat", 6),
        ("mode = warm", 8),
        ("power = 1", 9),
        ("cool >= 2.3.4", 9),
        ("cool ? 3", 6),
        ("(cool >= 23", 12),
        ("cool >= 23 and", 15),
    ] {
        let fault = Claim::parse(text).expect_err(text);
        assert_eq!(fault.column, column, "{text}: {fault}");
    }
    assert!(Claim::parse(&"(".repeat(500)).is_err());
    assert!(Claim::parse(&format!("cool >= {}", "1".repeat(1000))).is_err());
    assert!(Claim::parse(&"not ".repeat(200)).is_err());
}
