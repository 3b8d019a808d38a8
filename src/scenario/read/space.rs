//! A room, its windows and its air.

use crate::building::{
    AIR_AND_FURNITURE, Facing, MassClass, Space, SpaceFault, SpaceInput, Ventilation, Window,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::keys::{FACINGS, MASS};
use crate::scenario::scalar::Scalar;
use crate::scenario::shown::tidy;

/// Conductance of the opaque envelope for each m2 of floor where the file gives none, W/(m2 K):
/// common practice, no source.
const OPAQUE_PER_FLOOR: f64 = 0.5;

/// A room and its windows.
pub(super) struct Room {
    pub(super) space: Space,
    pub(super) windows: Vec<Window>,
}

/// Reads a room.
pub(super) fn read(fields: &Fields, sun_has_a_place: bool) -> Option<Room> {
    let windows = read_windows(fields, sun_has_a_place);
    let ventilation = read_ventilation(fields);
    let windows = windows?;
    let floor = fields.number("floor")?;
    let mass = read_mass(fields)?;
    let unit = fields.checker.unit;
    let input = SpaceInput {
        floor,
        height: fields.number("height")?,
        mass_area: given_or(fields, "mass_area", mass.area_per_floor() * floor)?,
        mass_capacity: given_or(fields, "mass_capacity", mass.capacity_per_floor() * floor)?,
        air_capacity: given_or(fields, "air_capacity", AIR_AND_FURNITURE * floor)?,
        opaque: given_or(fields, "opaque", OPAQUE_PER_FLOOR * floor)?,
        windows: windows.iter().map(|window| window.area * window.transmittance).sum(),
        infiltration: fields.number("infiltration")?,
        ventilation: ventilation?,
        start: fields.optional("start", Fields::number)?.map(|start| unit.to_celsius(start)),
    };
    match Space::new(input) {
        Ok(space) => Some(Room { space, windows }),
        Err(fault) => {
            complain(fields, &input, fault);
            None
        }
    }
}

/// What the file gives, or what follows where it gives nothing.
fn given_or(fields: &Fields, key: &str, otherwise: f64) -> Option<f64> {
    if fields.has(key) { fields.number(key) } else { Some(otherwise) }
}

fn read_mass(fields: &Fields) -> Option<MassClass> {
    let classes = [
        MassClass::VeryLight,
        MassClass::Light,
        MassClass::Medium,
        MassClass::Heavy,
        MassClass::VeryHeavy,
    ];
    let word = fields.text("mass")?;
    MASS.iter().position(|name| *name == word).and_then(|place| classes.get(place).copied())
}

fn complain(fields: &Fields, input: &SpaceInput, fault: SpaceFault) {
    match fault {
        SpaceFault::Size { name, value } => {
            let message = format!("the {name} comes to {value}, which no room has");
            let complaint = Complaint::new("size", message).help("check the sizes of the room");
            fields.fault_here(complaint);
        }
        SpaceFault::OpaqueTooLarge { surface_to_mass } => {
            let message = format!(
                "opaque {} W/K is no less than the {} W/K from surface to mass that a floor of {} \
                 m2 with this mass has",
                tidy(input.opaque),
                tidy(surface_to_mass),
                tidy(input.floor)
            );
            let remedy = "lower opaque, or check floor and mass; the envelope conducts through \
                          the mass";
            fields.fault("opaque", Complaint::new("opaque-too-large", message).help(remedy));
        }
        SpaceFault::WindowsTooLarge => {
            let message = format!(
                "windows of {} W/K and a mass area of {} m2 leave no surface for the gains of a \
                 floor of {} m2",
                tidy(input.windows),
                tidy(input.mass_area),
                tidy(input.floor)
            );
            let remedy = "check area and u of the windows, mass_area and floor";
            fields.fault("windows", Complaint::new("windows-too-large", message).help(remedy));
        }
    }
}

fn read_ventilation(fields: &Fields) -> Checked<Option<Ventilation>> {
    fields.optional("ventilation", |fields, key| {
        let ventilation = fields.block(key)?;
        let when = ventilation.span()?;
        Some(Ventilation { flow: ventilation.number("rate")?, when })
    })
}

fn read_windows(fields: &Fields, sun_has_a_place: bool) -> Option<Vec<Window>> {
    let mut windows = Vec::new();
    fields.each("windows", |window| windows.push(read_window(&window, sun_has_a_place)));
    windows.into_iter().collect()
}

fn read_window(fields: &Fields, sun_has_a_place: bool) -> Option<Window> {
    let solar_factor = fields.number("g")?;
    let sunny = solar_factor > 0.0;
    if sunny && !sun_has_a_place {
        let nowhere = Complaint::new("site-needed", "sun through a window needs a place on earth")
            .help("add `site: {latitude: ..., longitude: ..., utc_offset: ...}` under weather, or take g away");
        fields.fault("g", nowhere);
    }
    if sunny && !fields.has("facing") {
        let facing = Complaint::new("missing-key", "a window with a solar factor needs `facing`");
        fields.fault_here(facing.help("add it, for example `facing: south`"));
        return None;
    }
    let facing = match fields.read("facing") {
        Some(Scalar::Text(word)) => facing_of(word)?,
        Some(Scalar::Number(azimuth)) => Facing { azimuth, tilt: UPRIGHT },
        Some(_) => return None,
        None if fields.has("facing") => return None,
        None => Facing { azimuth: 0.0, tilt: UPRIGHT },
    };
    Some(Window {
        area: fields.number("area")?,
        transmittance: fields.number("u")?,
        solar_factor,
        facing,
    })
}

const UPRIGHT: f64 = 90.0;

/// The words go round from north by eighths; `up` lies flat.
fn facing_of(word: &str) -> Option<Facing> {
    let place = FACINGS.iter().position(|name| *name == word)?;
    Some(match word {
        "up" => Facing { azimuth: 0.0, tilt: 0.0 },
        _ => Facing { azimuth: 45.0 * place as f64, tilt: UPRIGHT },
    })
}
