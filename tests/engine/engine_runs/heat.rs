//! Heat adds up over whole runs, and nothing is ever not a number.

use proptest::prelude::*;
use setband::building::{
    Balance, BlockPropagator, Coupling, Gain, HeatGains, Network, Ventilation, ZoneHeat,
    ZonePropagator,
};
use setband::control::{Key, Mode, ModePolicy, Power, Request, Sharing, Side};
use setband::engine::{
    Action, GroupView, LedgerRow, Model, Observer, ZoneIndex, ZoneView, run as run_watched,
};
use setband::plant::{FanRun, StartUp, UnitControl};
use setband::time::{ClockTime, DaySet, Instant, Seconds, Span};
use setband::weather::Weather;

use crate::rig::{
    Given, MINUTE, asks, by, door, grouped, minute, model, outdoor_unit, owned, period,
};

/// Part of all heat moved, as the physics asks.
const HEAT_ADDS_UP: f64 = 1e-9;

/// What an observer sees of one zone at one step.
#[derive(Clone, Copy)]
struct Seen {
    at: Instant,
    nodes: [f64; 2],
    network: Network,
    plant: f64,
}

/// Keeps what the balance needs, and refuses what is not a number.
struct Witness {
    zones: Vec<Vec<Seen>>,
}

impl Observer for Witness {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let row = view.row();
        let values = [
            row.outdoor,
            row.temperature,
            row.mass_temperature,
            row.operative,
            row.sensed,
            row.heat_w,
            row.electric_w,
        ];
        assert!(values.iter().all(|value| value.is_finite()), "{row:?}");
        self.zones[view.zone.get()].push(Seen {
            at: view.at,
            nodes: view.nodes,
            network: *view.network,
            // What the row says, with the fan: outdoors electricity less what is not heat.
            plant: row.heat_w + view.power.fan,
        });
    }
    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// Adds up a run from what its observer saw: flows from outdoors and gains are worked out here
/// again, and the engine's own next state closes the step.
fn balances(model: &Model) -> Vec<Balance> {
    let mut witness = Witness { zones: vec![Vec::new(); model.zones.len()] };
    run_watched(model, &mut witness);
    let step = model.period.step();
    let seconds = step.get() as f64;
    let mut balances = vec![Balance::default(); model.zones.len()];
    let steps = witness.zones[0].len();
    for number in 0..steps - 1 {
        let seen: Vec<Seen> = witness.zones.iter().map(|zone| zone[number]).collect();
        let middle = Instant::new(seen[0].at.get() + step.get() / 2);
        let at_middle = seen[0].at.get() as f64 + 0.5 * seconds;
        let outdoor = model.weather.outdoor(model.period.first(), at_middle);
        let gains: Vec<HeatGains> = model
            .zones
            .iter()
            .map(|zone| {
                let running =
                    zone.gains.iter().filter(|it| it.when.contains(&model.period, middle));
                HeatGains { internal: running.map(|it| it.power).sum(), solar: 0.0 }
            })
            .collect();
        let means = means(model, &seen, outdoor, &gains, step);
        let mut to_neighbours = vec![0.0; seen.len()];
        for it in &model.neighbours {
            let (one, other) = (it.one.get(), it.other.get());
            let heat = it.conductance * (means[one][0] - means[other][0]);
            to_neighbours[one] += heat;
            to_neighbours[other] -= heat;
        }
        for (zone, seen) in seen.iter().enumerate() {
            let heat = ZoneHeat::over_step(
                &seen.network,
                means[zone],
                outdoor,
                gains[zone],
                seen.plant,
                to_neighbours[zone],
            );
            let next = witness.zones[zone][number + 1].nodes;
            let (before, after) = (seen.network.stored(seen.nodes), seen.network.stored(next));
            balances[zone].add(&heat, seconds, before, after);
        }
    }
    balances
}

/// Mean air and mass of every zone over a step.
fn means(
    model: &Model,
    seen: &[Seen],
    outdoor: f64,
    gains: &[HeatGains],
    step: Seconds,
) -> Vec<[f64; 2]> {
    let flows =
        |zone: usize| seen[zone].network.flows(outdoor, gains[zone]).with_plant(seen[zone].plant);
    if model.neighbours.is_empty() {
        let alone = |(zone, seen): (usize, &Seen)| {
            ZonePropagator::new(&seen.network, step).mean(seen.nodes, flows(zone))
        };
        return seen.iter().enumerate().map(alone).collect();
    }
    let networks: Vec<Network> = seen.iter().map(|seen| seen.network).collect();
    let couplings: Vec<Coupling> = model
        .neighbours
        .iter()
        .map(|it| Coupling {
            one: it.one.get(),
            other: it.other.get(),
            conductance: it.conductance,
        })
        .collect();
    let block = BlockPropagator::new(&networks, &couplings, step);
    let nodes: Vec<f64> = seen.iter().flat_map(|seen| seen.nodes).collect();
    let flows: Vec<f64> = (0..seen.len()).flat_map(flows).collect();
    let mut mean = vec![0.0; nodes.len()];
    block.mean(&nodes, &flows, &mut mean);
    mean.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
}

prop_compose! {
    /// Any zone: any plant, any fan, gains and ventilation that come and go.
    fn any_zone()(
        control in prop::sample::select(vec![
            UnitControl::ON_OFF,
            Given::MODULATING,
            UnitControl::Ideal,
        ]),
        heat in 17_i32..23,
        apart in 0_i32..4,
        fan in 0.0..200.0,
        continuous in any::<bool>(),
        gain in 0.0..3000.0,
        flow in 0.0..0.08,
        start in 10.0..30.0,
        switch in 60_i64..1300,
        delay in 0_i64..15,
    ) -> Given {
        let to = ClockTime::new(60 * (switch + 77)).expect("before midnight");
        let from = ClockTime::new(60 * switch).expect("before midnight");
        let when = Span::new(from, to, DaySet::EVERY).expect("not empty");
        let mut given = Given {
            control,
            heat: f64::from(heat),
            cool: f64::from(heat + apart),
            deadband: f64::from(apart),
            fan,
            start_up: StartUp { reach_lowest: Seconds::minutes(delay), ..StartUp::USUAL },
            reversal_time: Seconds::minutes(delay / 2),
            ..Given::default()
        };
        if continuous {
            given.fan_run = FanRun::Continuous;
        }
        given.gains = vec![
            Gain { when, power: gain, latent: 0.0 },
            Gain { when: Span::ALWAYS, power: 0.1 * gain, latent: 0.0 },
        ];
        given.space.ventilation = Some(Ventilation { flow, when });
        given.space.start = Some(start);
        given.thermostat.changeover_delay = Seconds::minutes(delay);
        given
    }
}

/// Anything that people may do in one of three zones.
fn any_action() -> impl Strategy<Value = Action> {
    let request = prop_oneof![
        (15.0..30.0).prop_map(|value| Request::Setpoint(Side::Heat, value)),
        (15.0..30.0).prop_map(|value| Request::Setpoint(Side::Cool, value)),
        prop::sample::select(Mode::ALL.to_vec()).prop_map(Request::Mode),
        prop::sample::select(Key::ALL.to_vec()).prop_map(Request::Press),
        prop::sample::select(vec![Power::On, Power::Off]).prop_map(Request::Power),
    ];
    (0_i64..1440, 0_usize..3, request)
        .prop_map(|(at, zone, request)| asks(minute(at), zone, request))
}

fn any_actions() -> impl Strategy<Value = Vec<Action>> {
    prop::collection::vec(any_action(), 0..12).prop_map(|mut actions| {
        actions.sort_by_key(|action| action.at);
        actions
    })
}

fn any_sharing() -> impl Strategy<Value = Option<Sharing>> {
    let policies = prop::sample::select(ModePolicy::ALL.to_vec());
    prop_oneof![
        Just(None),
        Just(Some(owned())),
        Just(Some(Sharing::Simultaneous)),
        policies.prop_map(|policy| Some(by(policy, Seconds::minutes(10)))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn heat_adds_up_over_any_run(
        givens in prop::collection::vec(any_zone(), 3),
        actions in any_actions(),
        sharing in any_sharing(),
        doors in prop::collection::vec(0.0..150.0, 0..3),
        high in -5.0..40.0,
        step in prop::sample::select(vec![MINUTE, Seconds::minutes(10), Seconds::hours(1)]),
    ) {
        let zones = givens.iter().zip(["one", "two", "three"]).map(|(given, id)| {
            // An ideal plant is no outdoor unit's.
            let mut given = given.clone();
            if sharing.is_some() && given.control == UnitControl::Ideal {
                given.control = Given::MODULATING;
            }
            given.zone(id)
        });
        let mut model = model(0.0, zones.collect());
        if let Some(sharing) = sharing {
            let mut unit = outdoor_unit();
            unit.simultaneous = sharing == Sharing::Simultaneous;
            unit.heating = Some(crate::rig::flat(6000.0, 3.2));
            // A burst at the lowest output of a far larger unit would freeze a room within a step.
            unit.cooling = Some(crate::rig::flat(6000.0, 3.4));
            unit.reversal_time = Seconds::minutes(3);
            unit.min_off = Seconds::minutes(3);
            unit.lowest_output = 0.3;
            unit.standby = 40.0;
            model = grouped(model, unit, sharing);
        }
        let pairs = doors.iter().zip([(0, 1), (1, 2), (0, 2)]);
        model.neighbours = pairs.map(|(w, (one, other))| door(one, other, *w)).collect();
        model.weather = Weather::DesignDay { high, range: 12.0, site: None };
        model.period = period(1, step);
        model.actions = actions;
        for balance in balances(&model) {
            prop_assert!(balance.moved() > 0.0);
            prop_assert!(balance.residual() < HEAT_ADDS_UP, "{balance:?} {}", balance.residual());
        }
    }
}

#[test]
fn the_balance_would_notice_a_fan_that_does_not_warm_the_air() {
    // One watt less of plant heat than the engine put in must break the balance.
    let given = Given { fan: 100.0, ..Given::default() };
    let model = model(5.0, vec![given.zone("room")]);
    let mut balance = balances(&model)[0];
    assert!(balance.residual() < HEAT_ADDS_UP);
    balance.add(&ZoneHeat { plant: -1.0, ..ZoneHeat::default() }, 86_400.0, 0.0, 0.0);
    assert!(balance.residual() > HEAT_ADDS_UP);
}
