//! A room, its windows and its air.

use crate::building::{
    AIR_AND_FURNITURE, Facing, MassClass, Shade, Space, SpaceFault, SpaceInput, SunnyWall,
    Ventilation, Window,
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
    pub(super) walls: Vec<SunnyWall>,
}

/// Reads a room.
pub(super) fn read(fields: &Fields, sun_has_a_place: bool) -> Option<Room> {
    let windows = read_windows(fields, sun_has_a_place);
    let ventilation = read_ventilation(fields);
    let windows = windows?;
    let floor = fields.number("floor")?;
    let mass = read_mass(fields)?;
    let unit = fields.checker.unit;
    let opaque = given_or(fields, "opaque", OPAQUE_PER_FLOOR * floor)?;
    let walls = read_walls(fields, opaque, sun_has_a_place)?;
    let input = SpaceInput {
        floor,
        height: fields.number("height")?,
        mass_area: given_or(fields, "mass_area", mass.area_per_floor() * floor)?,
        mass_capacity: given_or(fields, "mass_capacity", mass.capacity_per_floor() * floor)?,
        air_capacity: given_or(fields, "air_capacity", AIR_AND_FURNITURE * floor)?,
        opaque,
        windows: windows.iter().map(|window| window.area * window.transmittance).sum(),
        infiltration: fields.number("infiltration")?,
        open_window: fields.number("open_window")?,
        ventilation: ventilation?,
        start: fields.optional("start", Fields::number)?.map(|start| unit.to_celsius(start)),
    };
    match Space::new(input) {
        Ok(space) => Some(Room { space, windows, walls }),
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
    let shade = fields.optional("shade", |fields, key| read_shade(&fields.block(key)?))?;
    if !sunny && shade.is_some() {
        let idle = Complaint::new("idle-shade", "there is no sun to shade: the window has no `g`");
        fields.fault("shade", idle.help("add its solar factor, such as `g: 0.5`, or take it out"));
        return None;
    }
    Some(Window {
        area: fields.number("area")?,
        transmittance: fields.number("u")?,
        solar_factor,
        frame: fields.number("frame")?,
        slant: fields.flag("incidence_angle_modifier")?,
        shade,
        facing: read_facing(fields)?,
    })
}

fn read_facing(fields: &Fields) -> Option<Facing> {
    match fields.read("facing") {
        Some(Scalar::Text(word)) => facing_of(word),
        Some(Scalar::Number(azimuth)) => Some(Facing { azimuth, tilt: UPRIGHT }),
        None if !fields.has("facing") => Some(Facing { azimuth: 0.0, tilt: UPRIGHT }),
        Some(_) | None => None,
    }
}

fn read_shade(fields: &Fields) -> Option<Shade> {
    let above = fields.optional("above", Fields::number)?;
    let when_occupied = fields.optional("when", Fields::text)?.is_some();
    if above.is_none() && !when_occupied {
        let always = Complaint::new("missing-key", "this shade does not say when it is drawn");
        fields.fault_here(always.help("add `above: 250 W/m2`, `when: occupied`, or both"));
        return None;
    }
    Some(Shade { factor: fields.number("factor")?, above, when_occupied })
}

/// Walls that conduct what the file says, or share out what it says of the whole envelope.
fn read_walls(fields: &Fields, opaque: f64, sun_has_a_place: bool) -> Option<Vec<SunnyWall>> {
    let mut read = Vec::new();
    fields.each("sun_on", |wall| {
        let area = wall.number("area").filter(|_| wall.has("area"));
        let facing = read_facing(&wall).filter(|_| wall.has("facing"));
        let absorptance = wall.number("absorptance");
        let given = wall.optional("u", Fields::number);
        read.push((|| Some((area?, facing?, absorptance?, given?)))());
    });
    let read: Vec<_> = read.into_iter().collect::<Option<_>>()?;
    if !read.is_empty() && !sun_has_a_place {
        let nowhere = Complaint::new("site-needed", "sun on a wall needs a place on earth").help(
            "add `site: {latitude: ..., longitude: ..., utc_offset: ...}` under weather, or take \
             sun_on away",
        );
        fields.fault("sun_on", nowhere);
    }
    let all: f64 = read.iter().map(|(area, ..)| area).sum();
    let wall = |(area, facing, absorptance, given): (f64, Facing, f64, Option<f64>)| SunnyWall {
        area,
        transmittance: given.unwrap_or(opaque / all),
        absorptance,
        facing,
    };
    let walls: Vec<SunnyWall> = read.into_iter().map(wall).collect();
    let conducted: f64 = walls.iter().map(|wall| wall.area * wall.transmittance).sum();
    if conducted > opaque * 1.001 {
        let message = format!(
            "the walls under sun_on conduct {} W/K, and opaque has {} W/K for all of them",
            tidy(conducted),
            tidy(opaque)
        );
        let help = "raise opaque, which they are a part of, or check area and u";
        fields.fault("sun_on", Complaint::new("walls-too-large", message).help(help));
        return None;
    }
    Some(walls)
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
