//! What `reach` prints, for people and for programs.

use serde_json::{Map, Value, json};

use super::content::{Cell, Column, Quantity, Table};
use super::figures;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style, strong};
use super::run::label;
use crate::control::{Direction, Grid, Key, Mode, OwnerOff, Power, Sharing, Stored, Ticks};
use crate::engine::{Action, Doing, Model, Zone};
use crate::settings::controls::{AUTO_OFF, RETURN_AT};
use crate::study::reach::{Claim, Drift, Move, Proof, Reach, replay_actions};

/// Everything that `reach` found.
#[derive(Clone, Copy, Debug)]
pub struct Reached<'a> {
    /// The model that was explored.
    pub model: &'a Model,
    /// Each zone looked at.
    pub zones: &'a [Reach],
    /// The claims that were to be proved, in their order.
    pub claims: &'a [Claim],
}

impl Reached<'_> {
    fn zone(&self, reach: &Reach) -> &Zone {
        &self.model.zones[reach.zone.get()]
    }

    fn grid(&self, reach: &Reach) -> Grid {
        self.zone(reach).controls.settings.grid
    }

    /// Where a claim is broken soonest; else where it is undecided; `None` where it holds.
    fn against(&self, claim: usize) -> Option<(&Reach, &Proof)> {
        let failing = |reach: &&Reach| reach.proofs[claim] != Proof::Holds;
        let length = |reach: &&Reach| match &reach.proofs[claim] {
            Proof::Broken(moves) => moves.len(),
            Proof::Holds | Proof::Undecided => usize::MAX,
        };
        let worst = self.zones.iter().filter(failing).min_by_key(length)?;
        Some((worst, &worst.proofs[claim]))
    }

    /// Whether every claim holds in every zone.
    pub fn all_hold(&self) -> bool {
        (0..self.claims.len()).all(|claim| self.against(claim).is_none())
    }
}

/// The whole text. `files` are the paths that were written.
pub fn reach_text(reached: &Reached<'_>, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for (place, claim) in reached.claims.iter().enumerate() {
        proof_text(reached, place, claim, style, &mut out);
    }
    for reach in reached.zones {
        zone_text(reached, reach, style, &mut out);
    }
    out.push_str(&hang(
        "",
        "Weather is free here: in auto, and in a zone that follows an owner, heating and cooling \
         count as possible at any time. Technicians and schedules do nothing.",
        style.width,
    ));
    text::files(&mut out, style, files);
    out
}

fn proof_text(reached: &Reached<'_>, place: usize, claim: &Claim, style: Style, out: &mut String) {
    let text = claim.text();
    match reached.against(place) {
        None => strong(out, style, &format!("Proved: {text}, whatever occupants press.")),
        Some((reach, Proof::Broken(moves))) => {
            let zone = label(reached.zone(reach));
            let count = figures::count(moves.len() as u64, "move");
            let sentence = if moves.is_empty() {
                format!("Does not hold: {text}. {zone} breaks it at the start.")
            } else {
                format!("Does not hold: {text}. In {zone} {count} break it, and no fewer do:")
            };
            strong(out, style, &sentence);
            for (number, step) in (1..).zip(moves) {
                let words = move_words(reached.zone(reach), *step);
                out.push_str(&hang(&format!("  {number}. "), &clean(&words), style.width));
            }
            if !moves.is_empty() {
                out.push_str("\nTo replay it:\nactions:\n");
                for action in replay_actions(reached.model, reach.zone, moves) {
                    out.push_str("  - ");
                    out.push_str(&action_line(reached.model, &action));
                    out.push('\n');
                }
            }
        }
        Some((reach, _)) => {
            let zone = label(reached.zone(reach));
            let sentence = format!(
                "Not decided: {text}. {zone} has more states than were looked at, and none of \
                 those breaks it."
            );
            strong(out, style, &sentence);
        }
    }
    out.push('\n');
}

/// A move in words.
pub(super) fn move_words(zone: &Zone, step: Move) -> String {
    match step {
        Move::AutoOff => "wait until auto_off switches it off".into(),
        Move::GoesBack => "wait until the setpoints go back by the clock".into(),
        Move::Press { key, controller, direction } => {
            let id = zone.controls.settings.controllers.id(controller);
            let while_it = match direction {
                None => String::new(),
                Some(Direction::Heating) => ", while the direction is heating".into(),
                Some(Direction::Cooling) => ", while the direction is cooling".into(),
            };
            format!("press {} at {id}{while_it}", key.name())
        }
    }
}

/// An action as a scenario file has it.
fn action_line(model: &Model, action: &Action) -> String {
    let zone = &model.zones[action.zone.get()];
    let id = zone.controls.settings.controllers.id(action.controller);
    let key = match action.what {
        Doing::Request(crate::control::Request::Press(key)) => key.name(),
        _ => "",
    };
    format!(
        "{{at: \"{}\", zone: {}, controller: {id}, press: {key}}}",
        moment(model, action),
        zone.id
    )
}

/// `08:10` on the first day, `d2 08:10` later, as clocks show it: files go by them.
fn moment(model: &Model, action: &Action) -> String {
    let at = model.period.on_clocks(action.at);
    let (day, second) = (at.day() + 1, at.second_of_day());
    let clock = format!("{:02}:{:02}", second / 3600, second / 60 % 60);
    if day == 1 { clock } else { format!("d{day} {clock}") }
}

fn zone_text(reached: &Reached<'_>, reach: &Reach, style: Style, out: &mut String) {
    let (zone, grid) = (reached.zone(reach), reached.grid(reach));
    let all = if reach.is_complete { "" } else { " so far: there are more than were looked at" };
    let states = figures::count(reach.states as u64, "state");
    strong(out, style, &format!("{}: {} in {states}{all}.", label(zone), pairs_words(reach)));
    let mut table = Table::new(vec![
        Column::new("mode", Quantity::Name),
        Column::new("lowest", Quantity::Number).under("heat"),
        Column::new("highest", Quantity::Number).under("heat"),
        Column::new("lowest", Quantity::Number).under("cool"),
        Column::new("highest", Quantity::Number).under("cool"),
    ]);
    for mode in &reach.modes {
        let show = |ticks| Cell::from(grid.show(ticks).to_string());
        let (heat, cool) = (mode.heat, mode.cool);
        let cells =
            [mode.mode.name().into(), show(heat.0), show(heat.1), show(cool.0), show(cool.1)];
        table.row(cells);
    }
    out.push_str(&text::table(&table, style));
    out.push('\n');
    for line in lines(zone, grid, reach).into_iter().chain(owner_line(reached.model, reach)) {
        out.push_str(&hang("", &clean(&line), style.width));
    }
    out.push_str(&text::table(&drift_table(reach), style));
    out.push('\n');
}

fn pairs_words(reach: &Reach) -> String {
    format!(
        "{} of heat and cool can be reached of {} that are legal",
        figures::count(reach.pairs.len() as u64, "pair"),
        reach.legal_pairs
    )
}

fn lines(zone: &Zone, grid: Grid, reach: &Reach) -> Vec<String> {
    let mut lines = Vec::new();
    let idle: Vec<String> = reach
        .keys
        .iter()
        .filter(|key| key.presses > 0)
        .map(|key| format!("{} {:.0} %", key.key.name(), percent(key.idle, key.presses)))
        .collect();
    lines.push(format!("Presses without effect, over all states: {}.", idle.join(", ")));
    lines.push(if reach.no_way_back == 0 {
        "From every state presses lead back to the start.".into()
    } else {
        format!("{} of {} states have no way back to the start.", reach.no_way_back, reach.states)
    });
    if let Some(worst) = reach.worst {
        let undone = match worst.undone_by {
            None => "no presses undo it".to_owned(),
            Some(moves) => format!("{} undo it at least", figures::count(moves.into(), "move")),
        };
        lines.push(format!(
            "Worst single press at the start: {}, which leaves {}; {undone}.",
            move_words(zone, worst.step),
            stored_words(grid, &worst.after)
        ));
    }
    lines
}

/// What an owner's power key does to everybody else.
fn owner_line(model: &Model, reach: &Reach) -> Option<String> {
    let group = model.outdoor_units.iter().find(|group| {
        let owner = group.settings.owner().and_then(|owner| group.zones.get(owner));
        owner == Some(&reach.zone)
    })?;
    let free = reach.keys.iter().any(|key| key.key == Key::Power && key.idle < key.presses);
    let others = (group.zones.len() as u64).checked_sub(1).filter(|others| free && *others > 0)?;
    let others = figures::count(others, "other zone");
    Some(match group.settings.sharing {
        Sharing::SingleMode { owner_off: OwnerOff::Stop, .. } => format!(
            "It owns the group's mode: one press of its power key stops {others} (owner_off: stop)."
        ),
        _ => format!(
            "It owns the group's mode: with its power off {others} stay in the last direction."
        ),
    })
}

fn percent(part: u64, whole: u64) -> f64 {
    100.0 * part as f64 / whole as f64
}

fn stored_words(grid: Grid, stored: &Stored) -> String {
    let pair = &stored.setpoints;
    format!(
        "heat {}, cool {}, mode {}, power {}",
        grid.show(pair.heat()),
        grid.show(pair.cool()),
        stored.mode.name(),
        stored.power.name()
    )
}

fn drift_table(reach: &Reach) -> Table {
    let mut table = Table::new(vec![
        Column::new("after random presses", Quantity::Name),
        Column::new("heat mean", Quantity::Number),
        Column::new("cool mean", Quantity::Number),
        Column::new("gap mean", Quantity::Number),
        Column::new("19 below", Quantity::Number).under("gap, of 20"),
    ]);
    let mut row = |after: String, drift: &Drift| {
        let two = |value: f64| Cell::from(format!("{value:.2}"));
        let (heat, cool) = (drift.heat.mean, drift.cool.mean);
        let cells = [after.into(), two(heat), two(cool), two(drift.gap.mean), two(high(drift))];
        table.row(cells);
    };
    for (presses, drift) in &reach.ratchet.after {
        row(presses.to_string(), drift);
    }
    match &reach.ratchet.stationary {
        Some(drift) => row("in the long run".into(), drift),
        None => table.row(["in the long run: not found".into()]),
    }
    table
}

/// The gap that is not exceeded in 19 of 20 cases.
fn high(drift: &Drift) -> f64 {
    let mut sum = 0.0;
    let mut gaps = drift.gap.distribution.iter();
    let found = gaps.find(|(_, part)| {
        sum += part;
        sum >= 0.95
    });
    found.or(drift.gap.distribution.last()).map_or(0.0, |(gap, _)| *gap)
}

/// The same for programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn reach_json(reached: &Reached<'_>) -> Result<String, serde_json::Error> {
    let zones: Map<String, Value> = reached
        .zones
        .iter()
        .map(|reach| (reached.zone(reach).id.clone(), zone_json(reached, reach)))
        .collect();
    let mut value = json!({ "zones": zones });
    if !reached.claims.is_empty() {
        let proofs = reached.claims.iter().enumerate();
        value["proofs"] = proofs.map(|(at, claim)| proof_json(reached, at, claim)).collect();
    }
    serde_json::to_string_pretty(&value)
}

fn zone_json(reached: &Reached<'_>, reach: &Reach) -> Value {
    let grid = reached.grid(reach);
    let pairs: Vec<[f64; 2]> =
        reach.pairs.iter().map(|(heat, cool)| [grid.value(*heat), grid.value(*cool)]).collect();
    let range =
        |(low, high): (Ticks, Ticks)| json!({ "low": grid.value(low), "high": grid.value(high) });
    let extremes = |side: fn(&(Ticks, Ticks)) -> Ticks| {
        let values = || reach.pairs.iter().map(side);
        range((values().min().unwrap_or_default(), values().max().unwrap_or_default()))
    };
    let modes: Map<String, Value> = reach
        .modes
        .iter()
        .map(|mode| {
            let value = json!({ "heat": range(mode.heat), "cool": range(mode.cool) });
            (mode.mode.name().to_owned(), value)
        })
        .collect();
    let keys: Map<String, Value> = reach
        .keys
        .iter()
        .map(|key| {
            let value = json!({
                "presses": key.presses,
                "without_effect": key.idle,
                "refused": key.refused,
                "limited": key.limited,
            });
            (key.key.name().to_owned(), value)
        })
        .collect();
    json!({
        "states": reach.states,
        "complete": reach.is_complete,
        "pairs": pairs,
        "legal_pairs": reach.legal_pairs,
        "heat": extremes(|pair| pair.0),
        "cool": extremes(|pair| pair.1),
        "modes": modes,
        "keys": keys,
        "no_way_back": reach.no_way_back,
        "worst_press": reach.worst.map(|worst| json!({
            "press": move_json(reached.zone(reach), worst.step),
            "leaves": stored_json(grid, &worst.after),
            "undone_by": worst.undone_by,
        })),
        "ratchet": ratchet_json(reach),
    })
}

fn ratchet_json(reach: &Reach) -> Value {
    let spread = |spread: &crate::study::reach::Spread| json!({ "mean": spread.mean, "distribution": spread.distribution });
    let drift = |drift: &Drift| {
        json!({
            "heat": spread(&drift.heat),
            "cool": spread(&drift.cool),
            "gap": spread(&drift.gap),
        })
    };
    let after: Map<String, Value> = reach
        .ratchet
        .after
        .iter()
        .map(|(presses, there)| (presses.to_string(), drift(there)))
        .collect();
    json!({ "after": after, "stationary": reach.ratchet.stationary.as_ref().map(drift) })
}

fn stored_json(grid: Grid, stored: &Stored) -> Value {
    let is_on = stored.power == Power::On;
    let mode: Mode = stored.mode;
    json!({
        "heat": grid.value(stored.setpoints.heat()),
        "cool": grid.value(stored.setpoints.cool()),
        "mode": mode.name(),
        "power": if is_on { "on" } else { "off" },
    })
}

fn move_json(zone: &Zone, step: Move) -> Value {
    match step {
        Move::AutoOff => json!({ "wait": AUTO_OFF.name }),
        Move::GoesBack => json!({ "wait": RETURN_AT.name }),
        Move::Press { key, controller, direction } => json!({
            "press": key.name(),
            "zone": zone.id,
            "controller": zone.controls.settings.controllers.id(controller),
            "direction": direction.map(Direction::name),
        }),
    }
}

fn proof_json(reached: &Reached<'_>, at: usize, claim: &Claim) -> Value {
    let against = reached.against(at);
    let (zone, moves) = match against {
        Some((reach, Proof::Broken(moves))) => (Some(reach), moves.as_slice()),
        Some((reach, _)) => (Some(reach), &[][..]),
        None => (None, &[][..]),
    };
    let actions = zone.map(|reach| replay_actions(reached.model, reach.zone, moves));
    let mut times = actions.into_iter().flatten().map(|action| moment(reached.model, &action));
    let presses: Vec<Value> = moves
        .iter()
        .filter_map(|step| {
            let mut value = move_json(reached.zone(zone?), *step);
            if matches!(step, Move::Press { .. }) {
                value["at"] = times.next().into();
            }
            Some(value)
        })
        .collect();
    json!({
        "claim": claim.text(),
        "holds": against.is_none(),
        "decided": !matches!(against, Some((_, Proof::Undecided))),
        "zone": zone.map(|reach| reached.zone(reach).id.clone()),
        "presses": presses,
    })
}
