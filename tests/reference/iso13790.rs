//! The hourly method of ISO 13790:2008, annex C, on the network of this crate: without the
//! capacity of the air, by the standard's own steps.

use approx::assert_abs_diff_eq;
use serde::Deserialize;
use setband::building::{
    AIR, HeatGains, MassClass, Network, Space, SpaceInput, Ventilation, ZonePropagator, operative,
};
use setband::time::{Seconds, Span};

use super::sheet::part;

const MODES: &str = include_str!("data/iso13790_5r1c.json");
/// The worked modes give some temperatures with seven decimals only.
const SEVEN_DECIMALS: f64 = 5e-8;
/// Loads of up to 18 kW are given with ten decimals.
const LOAD: f64 = 1e-8;
/// The values computed again from the equations are given with twelve digits, up to 16.
const TWELVE_DIGITS: f64 = 1e-10;
/// A thousand hours of a room of some hours' time constant: what is left of the start.
const STEADY: f64 = 1e-9;

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Inputs {
    A_f: f64,
    A_m: f64,
    C_m: f64,
    H_op: f64,
    H_w: f64,
    v_m3_s: f64,
    rho_c: f64,
    phi_int: f64,
    phi_sol: f64,
    theta_e: f64,
    theta_m_prev: f64,
    set_heat: f64,
    set_cool: f64,
    phi_max: f64,
    phi_min: f64,
}

impl Inputs {
    fn space(&self) -> Space {
        let flow = self.v_m3_s * self.rho_c / AIR;
        let input = SpaceInput {
            floor: self.A_f,
            height: 2.7,
            mass_area: self.A_m,
            mass_capacity: self.C_m,
            air_capacity: 1.0,
            opaque: self.H_op,
            windows: self.H_w,
            infiltration: 0.0,
            open_window: 0.0,
            ventilation: Some(Ventilation { flow, when: Span::ALWAYS }),
            start: None,
        };
        Space::new(input).expect("the worked room is sound")
    }

    fn gains(&self) -> HeatGains {
        HeatGains { internal: self.phi_int, solar: self.phi_sol }
    }
}

#[derive(Deserialize)]
struct Expected {
    #[serde(rename = "phi_HC_actual")]
    actual: f64,
    #[serde(rename = "phi_HC_unrestricted")]
    unrestricted: f64,
    theta_m_t: f64,
    theta_air: f64,
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Recomputed {
    H_em: f64,
    H_is: f64,
    theta_s: f64,
    theta_op: f64,
}

#[derive(Deserialize)]
struct WorkedMode {
    inputs: Inputs,
    expected: Expected,
    recomputed: Recomputed,
}

/// An hour's result.
struct Hour {
    mass_end: f64,
    mass: f64,
    surface: f64,
    air: f64,
}

/// One hour by equations (C.4) to (C.11), Crank and Nicolson's scheme for the mass. `capacity`
/// is that of the mass in W/K over the hour.
fn hour(network: &Network, outdoor: f64, gains: HeatGains, before: f64, plant: f64) -> Hour {
    let (ve, is, w) = (network.ventilation, network.air_to_surface, network.windows);
    let (ms, em) = (network.surface_to_mass, network.mass_to_outdoors);
    let (h1, capacity) = (1.0 / (1.0 / ve + 1.0 / is), network.mass_capacity / 3600.0);
    let h2 = h1 + w;
    let h3 = 1.0 / (1.0 / h2 + 1.0 / ms);
    let into_air = 0.5 * gains.internal + plant;
    let into_surface = network.flows(outdoor, gains).surface;
    let into_mass = network.mass_share * (0.5 * gains.internal + gains.solar);
    let total = into_mass
        + em * outdoor
        + h3 * (into_surface + w * outdoor + h1 * (into_air / ve + outdoor)) / h2;
    let half = 0.5 * (h3 + em);
    let mass_end = (before * (capacity - half) + total) / (capacity + half);
    let mass = 0.5 * (before + mass_end);
    let surface =
        (ms * mass + into_surface + w * outdoor + h1 * (outdoor + into_air / ve)) / (ms + w + h1);
    let air = (is * surface + ve * outdoor + into_air) / (is + ve);
    Hour { mass_end, mass, surface, air }
}

/// The load by equation (C.13), from the free temperature and that under 10 W/m2.
fn load(mode: &Inputs, network: &Network) -> f64 {
    let air = |plant| hour(network, mode.theta_e, mode.gains(), mode.theta_m_prev, plant).air;
    let (free, trial) = (air(0.0), 10.0 * mode.A_f);
    let setpoint = free.clamp(mode.set_heat, mode.set_cool);
    trial * (setpoint - free) / (air(trial) - free)
}

#[test]
fn the_five_worked_control_modes_come_out() {
    let modes: Vec<WorkedMode> = part(MODES, "/worked_modes");
    assert_eq!(modes.len(), 5);
    for WorkedMode { inputs, expected, recomputed } in modes {
        let network = Network::new(&inputs.space(), true);
        assert_abs_diff_eq!(network.mass_to_outdoors, recomputed.H_em, epsilon = TWELVE_DIGITS);
        assert_abs_diff_eq!(network.air_to_surface, recomputed.H_is, epsilon = TWELVE_DIGITS);
        let unrestricted = load(&inputs, &network);
        assert_abs_diff_eq!(unrestricted, expected.unrestricted, epsilon = LOAD);
        let actual = unrestricted.clamp(inputs.phi_min, inputs.phi_max);
        assert_abs_diff_eq!(actual, expected.actual, epsilon = LOAD);
        let end = hour(&network, inputs.theta_e, inputs.gains(), inputs.theta_m_prev, actual);
        assert_abs_diff_eq!(end.mass_end, expected.theta_m_t, epsilon = SEVEN_DECIMALS);
        assert_abs_diff_eq!(end.air, expected.theta_air, epsilon = SEVEN_DECIMALS);
        assert_abs_diff_eq!(end.surface, recomputed.theta_s, epsilon = TWELVE_DIGITS);
        let felt = operative(end.air, end.surface);
        assert_abs_diff_eq!(felt, recomputed.theta_op, epsilon = TWELVE_DIGITS);
    }
}

#[test]
fn the_surface_temperature_is_that_of_the_standard() {
    // The surface node of the network with air and mass as states, given the standard's air and
    // mass, is the standard's surface node.
    for WorkedMode { inputs, expected, .. } in part::<Vec<WorkedMode>>(MODES, "/worked_modes") {
        let network = Network::new(&inputs.space(), true);
        let end =
            hour(&network, inputs.theta_e, inputs.gains(), inputs.theta_m_prev, expected.actual);
        let gain = network.flows(inputs.theta_e, inputs.gains()).surface;
        let ours = network.surface_temperature([end.air, end.mass], inputs.theta_e, gain);
        assert_abs_diff_eq!(ours, end.surface, epsilon = TWELVE_DIGITS);
    }
}

#[test]
fn both_ways_of_stepping_come_to_rest_at_the_same_temperatures() {
    for WorkedMode { inputs, expected, .. } in part::<Vec<WorkedMode>>(MODES, "/worked_modes") {
        let network = Network::new(&inputs.space(), true);
        let flows = network.flows(inputs.theta_e, inputs.gains()).with_plant(expected.actual);
        let exact = ZonePropagator::new(&network, Seconds::hours(1));
        let (mut ours, mut theirs) = ([0.0, 0.0], 0.0);
        for _ in 0..1000 {
            ours = exact.advance(ours, flows);
            theirs =
                hour(&network, inputs.theta_e, inputs.gains(), theirs, expected.actual).mass_end;
        }
        let rest = hour(&network, inputs.theta_e, inputs.gains(), theirs, expected.actual);
        assert_abs_diff_eq!(ours[0], rest.air, epsilon = STEADY);
        assert_abs_diff_eq!(ours[1], rest.mass_end, epsilon = STEADY);
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Class {
    Am_per_Af: f64,
    Cm_per_Af: f64,
}

#[test]
fn the_mass_classes_are_those_of_table_12() {
    let classes = [
        ("very_light", MassClass::VeryLight),
        ("light", MassClass::Light),
        ("medium", MassClass::Medium),
        ("heavy", MassClass::Heavy),
        ("very_heavy", MassClass::VeryHeavy),
    ];
    for (name, class) in classes {
        let table: Class = part(MODES, &format!("/classes/{name}"));
        assert_abs_diff_eq!(class.area_per_floor(), table.Am_per_Af);
        assert_abs_diff_eq!(class.capacity_per_floor(), table.Cm_per_Af);
    }
}
