//! The usual plant of a zone's own against minimum efficiencies of ANSI/ASHRAE/IES 90.1-2010, Table
//! 6.8.1-10, air-cooled multi-zone heat pumps of 65 000 to 135 000 Btu/h (19 to 40 kW), and the
//! Carnot factor. Values from memory: nobody's catalogue.

use approx::assert_relative_eq;
use setband::plant::Cop;

/// Btu in a Wh.
const BTU_PER_WH: f64 = 3.412_142;

fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

#[test]
fn the_usual_heating_cop_is_the_least_that_the_standard_allows_at_both_rating_points() {
    let usual = Cop::usual_heating();
    // 47 F and 17 F dry bulb: 3.3 and 2.25. The points in C have one digit, a twentieth of a kelvin.
    for (outdoor, least) in [(47.0, 3.3), (17.0, 2.25)] {
        assert_relative_eq!(usual.at(celsius(outdoor)), least, max_relative = 0.002);
    }
    // In between it goes straight: at freezing by 8.3 of 16.6 K, half way.
    assert_relative_eq!(usual.at(0.0), f64::midpoint(2.25, 3.3), max_relative = 1e-12);
}

#[test]
fn the_usual_cooling_cop_is_that_of_an_energy_efficiency_ratio_of_eleven_at_95_fahrenheit() {
    let usual = Cop::usual_cooling();
    assert_relative_eq!(usual.at(celsius(95.0)), 11.0 / BTU_PER_WH, max_relative = 0.01);
}

/// By hand, 281.15 K evaporating: 281.15 / (Tc - 281.15) is 7.209 at 35 C outdoors (47 C condensing),
/// 8.786 at 28 C (40 C) and 11.715 at 20 C (32 C), and milder air changes nothing.
#[test]
fn away_from_its_rating_point_it_follows_the_carnot_factor() {
    let usual = Cop::usual_cooling();
    for (outdoor, factor) in [(28.0, 8.786), (20.0, 11.715), (5.0, 11.715)] {
        assert_relative_eq!(usual.at(outdoor), 3.2 * factor / 7.209, max_relative = 2e-4);
    }
}
