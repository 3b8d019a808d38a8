//! Predicted mean vote against the tables of two standards.

use approx::assert_abs_diff_eq;
use serde::Deserialize;
use setband::measures::{Surroundings, predicted_mean_vote, predicted_percentage_dissatisfied};

use super::sheet::rows;

const ISO_7730: &str = include_str!("data/iso7730_annexD_table_D1.csv");
const ASHRAE_55: &str = include_str!("data/ashrae55_pmv_validation.csv");
/// Table D.1 prints votes with two decimals, half of them rounded the other way.
const ISO_VOTE: f64 = 0.01;
/// It prints whole percents.
const ISO_PERCENT: f64 = 0.6;
/// The same equations iterated to 1e-9 by another program, printed with six decimals.
const SIX_DECIMALS: f64 = 1e-6;
/// Four decimals, of a percentage.
const FOUR_DECIMALS: f64 = 1e-4;
/// Humidities of this table are printed in whole percents, votes with one decimal.
const ASHRAE_VOTE: f64 = 0.03;
/// This row's printed vote, 0.50, does not follow from the standard's own equations, which give
/// 0.36; both other programs in the table say so.
const MISPRINTED_RUN: u32 = 7;

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the columns of the file")]
struct IsoRow {
    run: u32,
    air_temp_C: f64,
    radiant_temp_C: f64,
    air_velocity_m_s: f64,
    rh_pct: f64,
    met: f64,
    clo: f64,
    pmv_published: f64,
    ppd_published_pct: f64,
    #[serde(rename = "pmv_own_converged_1e-9")]
    pmv_converged: f64,
    ppd_own_converged: f64,
}

#[test]
fn votes_are_those_of_iso_7730_table_d_1() {
    for row in rows::<IsoRow>(ISO_7730) {
        let around = Surroundings {
            air: row.air_temp_C,
            mean_radiant: row.radiant_temp_C,
            air_speed: row.air_velocity_m_s,
            humidity: row.rh_pct,
            met: row.met,
            clo: row.clo,
        };
        let vote = predicted_mean_vote(&around);
        let dissatisfied = predicted_percentage_dissatisfied(vote);
        assert_abs_diff_eq!(vote, row.pmv_converged, epsilon = SIX_DECIMALS);
        assert_abs_diff_eq!(dissatisfied, row.ppd_own_converged, epsilon = FOUR_DECIMALS);
        if row.run != MISPRINTED_RUN {
            assert_abs_diff_eq!(vote, row.pmv_published, epsilon = ISO_VOTE);
            assert_abs_diff_eq!(dissatisfied, row.ppd_published_pct, epsilon = ISO_PERCENT);
        }
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the columns of the file")]
struct AshraeRow {
    tdb_C: f64,
    tr_C: f64,
    v_m_s: f64,
    rh_pct: f64,
    met: f64,
    clo: f64,
    pmv_published: f64,
}

#[test]
fn votes_are_those_of_ashrae_55() {
    for row in rows::<AshraeRow>(ASHRAE_55) {
        let around = Surroundings {
            air: row.tdb_C,
            mean_radiant: row.tr_C,
            air_speed: row.v_m_s,
            humidity: row.rh_pct,
            met: row.met,
            clo: row.clo,
        };
        assert_abs_diff_eq!(predicted_mean_vote(&around), row.pmv_published, epsilon = ASHRAE_VOTE);
    }
}

#[test]
fn a_vote_of_nothing_leaves_five_percent_dissatisfied() {
    // ISO 7730:2005, clause 5: the least there can be.
    assert_abs_diff_eq!(predicted_percentage_dissatisfied(0.0), 5.0, epsilon = 1e-12);
}
