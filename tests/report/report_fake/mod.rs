//! A small made-up simulation that gives the exporters rows to show. It borrows the project's
//! setpoint rules and thermostat and a room of one capacity; its figures prove nothing about
//! rooms, only about how results are shown.

use std::sync::Arc;

use jiff::civil::date;
use setband::control::{
    Cause, ControllerIndex, Direction, GroupSettings, Mode, Outcome, Power, Request, Role,
    Selection, Side, Standing, Stored, ThermostatState, WorkingSetpoints, judge,
};
use setband::engine::{
    Asker, Doing, Entry, Event, LedgerRow, Model, OutdoorGroup, Rate, StepRow, Tariff, Why, Zone,
    ZoneIndex,
};
use setband::measures::{
    EnergyUse, GroupFigures, PeriodFigures, Seasonal, Summary, TemperatureFigures, ZoneFigures,
};
use setband::plant::{CapacityPoint, CapacityTable, OutdoorUnit};
use setband::report::Run;
use setband::time::{DAY, Instant, Period, Seconds};
use setband::units::TemperatureUnit;
use setband::weather::{Site, Weather};

mod cases;

pub(crate) use cases::{library, office, restless, zone};

/// A finished made-up run.
pub(crate) struct Day {
    pub(crate) model: Model,
    pub(crate) rows: Vec<StepRow>,
    pub(crate) ledger: Vec<LedgerRow>,
    pub(crate) summary: Summary,
}

impl Day {
    pub(crate) fn run(&self) -> Run<'_> {
        Run { model: &self.model, rows: &self.rows, ledger: &self.ledger, summary: &self.summary }
    }
}

/// What is asked of which zone: time in minutes from the start, zone, by whom, what.
pub(crate) type Ask = (i64, usize, &'static str, Request);

/// What to make up.
pub(crate) struct Wish {
    pub(crate) unit: TemperatureUnit,
    pub(crate) days: i64,
    pub(crate) step: Seconds,
    pub(crate) zones: Vec<Zone>,
    pub(crate) asks: Vec<Ask>,
    /// All zones follow the first one's direction.
    pub(crate) one_direction: bool,
    /// Mean outdoor temperature, degrees C.
    pub(crate) outdoor: f64,
    /// Half the daily range, K.
    pub(crate) swing: f64,
    /// What the sensor reads too much, in the file's unit.
    pub(crate) sensor_offset: f64,
    /// Where night is to be shown.
    pub(crate) site: Option<Site>,
    /// Largest gains, W.
    pub(crate) gains: f64,
}

impl Wish {
    pub(crate) fn new(zones: Vec<Zone>) -> Self {
        Self {
            unit: TemperatureUnit::Celsius,
            days: 1,
            step: Seconds::minutes(1),
            zones,
            asks: Vec::new(),
            one_direction: false,
            outdoor: 12.0,
            swing: 6.0,
            sensor_offset: 0.0,
            site: None,
            gains: 2600.0,
        }
    }
}

pub(crate) fn at(hour: i64, minute: i64) -> i64 {
    hour * 60 + minute
}

struct State {
    stored: Stored,
    thermostat: ThermostatState,
    air: f64,
    figures: ZoneFigures,
    called: bool,
    sum: f64,
}

/// An outdoor unit that all zones share, the first of them its owner.
fn shared_unit(zones: usize) -> OutdoorGroup {
    let point = CapacityPoint { outdoor: 7.0, capacity: 2e4, cop: 3.5 };
    let table = CapacityTable::new(vec![point]);
    OutdoorGroup {
        id: "yard".into(),
        label: "Yard".into(),
        zones: (0..zones).map(ZoneIndex::new).collect(),
        unit: OutdoorUnit {
            simultaneous: false,
            heating: table.clone(),
            cooling: table,
            part_load: None,
            lowest_output: 0.0,
            standby: 0.0,
            reversal_time: Seconds::ZERO,
            min_off: Seconds::ZERO,
            heating_lockout: None,
            cooling_lockout: None,
            defrost: None,
            defrost_cycle: None,
            backup: None,
        },
        settings: GroupSettings::LONE,
        direction: Direction::Heating,
        outdoor_limits: setband::control::OutdoorLimits::NONE,
    }
}

/// Makes the run up.
pub(crate) fn make(mut wish: Wish) -> Day {
    let period = Period::new(date(2025, 4, 16), wish.days, wish.step).expect("valid");
    let zones = wish.zones.len();
    let model = Model {
        title: "Small library, mild spring day".into(),
        variant: None,
        unit: wish.unit,
        period,
        seed: 1,
        weather: Weather::DesignDay {
            high: wish.outdoor + wish.swing,
            range: 2.0 * wish.swing,
            site: wish.site,
        },
        zones: std::mem::take(&mut wish.zones),
        site: wish.site,
        sky: setband::weather::Sky::default(),
        humidity: setband::engine::Humidity::Constant(50.0),
        neighbours: Vec::new(),
        outdoor_units: if wish.one_direction { vec![shared_unit(zones)] } else { Vec::new() },
        actions: Vec::new(),
        people: Vec::new(),
        almanac: std::sync::Arc::default(),
        log: None,
        tariff: Some(Tariff {
            price: Rate::Flat(0.18),
            currency: "USD".into(),
            carbon: None,
            demand: None,
        }),
    };
    let mut states: Vec<State> = model.zones.iter().map(state).collect();
    let (mut rows, mut ledger, mut energy) = (Vec::new(), Vec::new(), EnergyUse::default());
    let mut asks = wish.asks.iter().peekable();
    let mut changeovers = 0;
    for step in 0..period.days() * period.steps_per_day() {
        let now = Instant::new(step * period.step().get());
        while let Some((minute, place, by, request)) =
            asks.next_if(|ask| Instant::new(ask.0 * 60) <= now)
        {
            let when = Instant::new(minute * 60);
            ledger.push(asked(
                &model.zones[*place],
                &mut states[*place],
                *place,
                when,
                by,
                *request,
            ));
        }
        let hour = now.second_of_day() as f64 / 3600.0;
        let outdoor = wish.outdoor
            + wish.swing * libm::sin((hour - 9.0) / 12.0 * std::f64::consts::PI)
            + 9.0 * libm::sin(now.day() as f64 / 58.0) * f64::from(u8::from(wish.days > 20));
        let mut group = None;
        for (place, zone) in model.zones.iter().enumerate() {
            let leader = if wish.one_direction { group } else { None };
            let gains = wish.gains * daylight(hour, place, model.zones.len());
            let row =
                advance(zone, &mut states[place], place, now, &wish, leader, (outdoor, gains));
            group = group.or(Some(row.1.direction));
            if row.0 {
                changeovers += 1;
                states[place].figures.changeovers += 1;
                ledger.push(changeover(&states[place], place, now));
            }
            meter(&mut energy, &mut states[place], &row.1, wish.step, wish.unit);
            rows.push(row.1);
        }
    }
    let summary = summarize(&model, states, energy, changeovers, rows.len());
    Day { model, rows, ledger, summary }
}

fn state(zone: &Zone) -> State {
    State {
        stored: zone.controls.start,
        thermostat: ThermostatState::new(zone.controls.direction),
        air: 19.6,
        figures: ZoneFigures {
            temperature: TemperatureFigures { min: f64::INFINITY, mean: 0.0, max: -1e9 },
            ..ZoneFigures::default()
        },
        called: false,
        sum: 0.0,
    }
}

fn daylight(hour: f64, place: usize, zones: usize) -> f64 {
    let peak = 14.0 + 2.5 * (place as f64 / zones as f64 - 0.3);
    let part = 1.0 - libm::pow((hour - peak) / 5.0, 2.0);
    part.max(0.0) * (1.0 - 0.5 * place as f64 / zones as f64)
}

fn asked(
    zone: &Zone,
    state: &mut State,
    place: usize,
    when: Instant,
    by: &str,
    request: Request,
) -> LedgerRow {
    let settings = &zone.controls.settings;
    let standing = Standing::Own(state.thermostat.direction());
    let before = state.stored;
    let primary = ControllerIndex::new(0);
    let verdict = judge(settings, &before, standing, request, Role::Occupant, primary);
    state.stored = verdict.after;
    let counts = &mut state.figures.requests;
    *match verdict.outcome {
        Outcome::Accepted => &mut counts.accepted,
        Outcome::Pushed => &mut counts.pushed,
        Outcome::Limited => &mut counts.limited,
        Outcome::Refused => &mut counts.refused,
        Outcome::NoEffect => &mut counts.no_effect,
    } += 1;
    let side = match request {
        Request::Power(_) | Request::Mode(_) => None,
        Request::Setpoint(side, _) => Some(side),
        Request::Press(_) => pressed_side(&verdict.cause),
    };
    LedgerRow {
        at: when,
        zone: ZoneIndex::new(place),
        entry: Entry::Request {
            asker: Asker { controller: primary, by: Arc::from(by), role: Role::Occupant },
            what: Doing::Request(request),
            outcome: verdict.outcome,
            side,
            why: Box::new(Why::Judged {
                verdict,
                settings: Arc::new(settings.clone()),
                owner: None,
            }),
        },
        before,
        after: verdict.after,
    }
}

fn pressed_side(cause: &Cause) -> Option<Side> {
    match cause {
        Cause::Setpoint { side, .. } => Some(*side),
        _ => None,
    }
}

fn changeover(state: &State, place: usize, now: Instant) -> LedgerRow {
    let to = state.thermostat.direction();
    LedgerRow {
        at: now,
        zone: ZoneIndex::new(place),
        entry: Entry::Event(Event::Changeover { to }),
        before: state.stored,
        after: state.stored,
    }
}

/// One step of a zone: whether it is a changeover, and its row.
fn advance(
    zone: &Zone,
    state: &mut State,
    place: usize,
    now: Instant,
    wish: &Wish,
    leader: Option<Direction>,
    (outdoor, gains): (f64, f64),
) -> (bool, StepRow) {
    let (unit, step) = (wish.unit, wish.step);
    let grid = zone.controls.settings.grid;
    let minute = now.second_of_day() / 60;
    let occupied = (450..1140).contains(&minute);
    let away = if occupied || zone.controls.setback.is_none() { 0.0 } else { 3.0 };
    let away = unit.difference_from_kelvin(away);
    let pair = state.stored.setpoints;
    let working =
        WorkingSetpoints::new(grid.value(pair.heat()) - away, grid.value(pair.cool()) + away);
    let air = unit.from_celsius(state.air);
    let sensed = ((air + wish.sensor_offset) * 10.0).round() / 10.0;
    let selection = match state.stored.power {
        Power::On => Selection::On(state.stored.mode),
        Power::Off => Selection::Off,
    };
    let settings = &zone.controls.thermostat;
    let any = if selection == Selection::Off { selection } else { Selection::On(Mode::Auto) };
    let selected = if let Some(direction) = leader {
        state.thermostat.settle_in(direction, settings, any, sensed, working, now);
        any
    } else {
        state.thermostat.settle_own(settings, selection, sensed, working, now);
        selection
    };
    state.thermostat.start_what_is_wanted(settings, selected, sensed, working, now);
    let call = state.thermostat.call().direction();
    // Every fourth zone waits through the first minutes of each hour, so that waiting shows.
    let waits = place % 4 == 2 && minute % 60 < 10;
    let served = call.filter(|_| !waits);
    let against = state.thermostat.direction().opposite();
    let starved = leader.is_some()
        && call.is_none()
        && selection != Selection::Off
        && settings.starts(against, sensed, working);
    let turned = served.is_some_and(|to| state.thermostat.note_served(to, now, now + step));
    let heat_w = served.map_or(0.0, |to| {
        let off = settings.distance_to_end(to, working).of(-to.sign() * sensed);
        to.sign() * 5000.0 * unit.difference_to_kelvin(off).clamp(0.2, 1.0)
    });
    let electric_w = heat_w.abs() / 3.3 + if served.is_some() { 60.0 } else { 0.0 };
    let row = StepRow {
        at: now,
        zone: ZoneIndex::new(place),
        outdoor: unit.from_celsius(outdoor),
        temperature: air,
        mass_temperature: air,
        operative: air,
        sensed,
        heat: working.heat,
        cool: working.cool,
        mode: state.stored.mode,
        power: state.stored.power,
        occupied,
        direction: state.thermostat.direction(),
        call,
        served,
        starved,
        heat_w,
        electric_w,
        humidity: None,
    };
    let flow = 110.0 * (outdoor - state.air) + gains + heat_w;
    state.air += flow * step.get() as f64 / 3.2e6;
    (turned, row)
}

fn meter(
    energy: &mut EnergyUse,
    state: &mut State,
    row: &StepRow,
    step: Seconds,
    unit: TemperatureUnit,
) {
    let (hours, figures) = (step.in_hours(), &mut state.figures);
    let kwh = row.electric_w * hours / 1000.0;
    energy.total_kwh += kwh;
    match row.served {
        Some(Direction::Heating) => {
            energy.heating_kwh += kwh;
            energy.heat_delivered_kwh += row.heat_w * hours / 1000.0;
        }
        Some(Direction::Cooling) => {
            energy.cooling_kwh += kwh;
            energy.heat_removed_kwh -= row.heat_w * hours / 1000.0;
        }
        None => {}
    }
    figures.served_hours += if row.served.is_some() { hours } else { 0.0 };
    figures.starved_hours += if row.starved { hours } else { 0.0 };
    let celsius = unit.to_celsius(row.operative);
    let outside = row.occupied && !(20.0..=25.0).contains(&celsius);
    figures.hours_outside_band += if outside { hours } else { 0.0 };
    let degrees = unit.difference_from_kelvin((20.0 - celsius).max(celsius - 25.0).max(0.0));
    figures.degree_hours_outside_band += if outside { hours * degrees } else { 0.0 };
    figures.unit_starts += u64::from(row.call.is_some() && !state.called);
    state.called = row.call.is_some();
    figures.temperature.min = figures.temperature.min.min(row.temperature);
    figures.temperature.max = figures.temperature.max.max(row.temperature);
    state.sum += row.temperature;
}

fn summarize(
    model: &Model,
    states: Vec<State>,
    mut energy: EnergyUse,
    changeovers: u64,
    rows: usize,
) -> Summary {
    energy.cost = Some(energy.total_kwh * 0.18);
    let steps = rows as f64 / model.zones.len() as f64;
    let zones = model.zones.iter().zip(states).map(|(zone, state)| {
        let mut figures = state.figures;
        figures.temperature.mean = state.sum / steps;
        (zone.id.clone(), figures)
    });
    Summary {
        people: Vec::new(),
        title: model.title.clone(),
        variant: None,
        seed: 1,
        temperature_unit: model.unit.letter().into(),
        period: PeriodFigures {
            from: model.period.timestamp(Instant::START),
            hours: (model.period.days() * DAY) as f64 / 3600.0,
            step_s: model.period.step().get(),
            warmup_days: 0,
        },
        energy,
        bill: None,
        group: GroupFigures { changeovers, ..GroupFigures::default() },
        zones: zones.collect(),
        seasonal: Seasonal::default(),
    }
}
