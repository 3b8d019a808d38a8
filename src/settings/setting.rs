//! What a setting is besides a key: its name in words, what it governs, how it is read from a model
//! and written to it, how a form asks for it, and how a test sheet tries another value.

use super::subject::Subject;
use super::value::Value;
use crate::control::Side;
use crate::engine::{Model, OutdoorGroup, Zone};
use crate::units::TemperatureUnit;

/// One setting.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// What people call it.
    pub name: &'static str,
    /// The line of the settings record that tells it: its name, unless one line tells several.
    pub line: &'static str,
    /// What it governs.
    pub governs: Governs,
    /// How it is read from a model and written to it.
    pub access: Access,
    /// How a form asks for it.
    pub form: Form,
    /// Which other values a test sheet is tried against.
    pub trial: Trial,
    /// Why a test sheet may not show another value.
    pub hidden: Hidden,
}

/// What a setting governs, as far as tests on site tell parts of the controls apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Governs {
    /// What keys and requests do: setpoints, limits, deadband, modes, locks.
    Keys,
    /// What a zone does before the first key.
    Start,
    /// When calls begin and end, and their timers.
    Calls,
    /// When the direction changes.
    Changeover,
    /// What is read where.
    Sensing,
    /// What works while nobody is there.
    Absence,
    /// Power that goes off by itself.
    AutomaticOff,
    /// Heating against frost.
    Frost,
    /// How the zones of an outdoor unit share it.
    Sharing,
    /// Machines: capacity, power, efficiency.
    Plant,
}

/// How a setting is read from a model and written to it. Writing gives `None`, and leaves the model
/// in no state to be used, where the value is none that the setting may have.
#[derive(Clone, Copy, Debug)]
pub enum Access {
    /// Of a zone.
    Zone {
        /// Reads it.
        get: fn(&Zone) -> Value,
        /// Writes it.
        set: fn(&mut Zone, &Value) -> Option<()>,
    },
    /// Of a controller of a zone, by its place.
    Controller {
        /// Reads it.
        get: fn(&Zone, usize) -> Value,
        /// Writes it.
        set: fn(&mut Zone, usize, &Value) -> Option<()>,
    },
    /// Of an outdoor unit, by its place.
    Group {
        /// Reads it.
        get: fn(&Model, &OutdoorGroup) -> Value,
        /// Writes it.
        set: fn(&mut Model, usize, &Value) -> Option<()>,
    },
}

/// Settings that stand together in a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section {
    /// Setpoints, their limits and what keeps them apart.
    Setpoints,
    /// Modes and locks.
    Modes,
    /// Calls and the sensor.
    Calls,
    /// Outdoor air and windows.
    Outdoors,
    /// What works while nobody is there.
    Absence,
    /// What zones share.
    Group,
}

impl Section {
    /// The sections of a zone's form, in order.
    pub const OF_ZONE: [Self; 5] =
        [Self::Setpoints, Self::Modes, Self::Calls, Self::Outdoors, Self::Absence];

    /// What it is called.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Setpoints => "Setpoints",
            Self::Modes => "Modes and locks",
            Self::Calls => "Calls and sensor",
            Self::Outdoors => "Outdoor air and windows",
            Self::Absence => "While nobody is there",
            Self::Group => "Outdoor unit",
        }
    }
}

/// How a form asks for a setting.
#[derive(Clone, Copy, Debug)]
pub enum Form {
    /// In a section, by a control.
    Asked(Section, Control),
    /// Not at all, for this reason.
    Left(&'static str),
}

/// The lowest and the highest value that a form offers, in a file in C and in a file in F.
pub type Ends = [[f64; 2]; 2];

/// A control of a form.
#[derive(Clone, Copy, Debug)]
pub enum Control {
    /// A setpoint, within the limits of its side.
    WithinLimits(Side),
    /// A number in whole steps of the setpoint.
    Steps(Ends),
    /// The lowest and the highest of something, in whole steps of the setpoint.
    Span(Ends),
    /// A number in fine steps.
    Fine(Ends),
    /// So many minutes at most.
    Minutes(f64),
    /// One of these words, each with what it means. Where the present one is not among them, the
    /// form leaves the setting to the file.
    Choice(&'static [(&'static str, &'static str)]),
    /// One of the unit's modes.
    OneMode,
    /// Some of the unit's modes.
    SomeModes,
    /// Keys to lock, with whether the lock is in force.
    Locks,
    /// A zone of the outdoor unit, chosen where the zones are shown.
    Member,
    /// Several values, each in a word or a number, as the zone has them; none where it has none.
    Listed(fn(&Zone) -> Vec<String>),
    /// What there may be none of: how it is asked for, and with which value it begins where it is
    /// added; `None` where there can be none.
    Optional(&'static Control, Begins),
}

/// With which value a setting begins that is added.
pub type Begins = fn(&Model, Subject) -> Option<Value>;

/// A temperature in files in C and in files in F.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Begin {
    pub(crate) celsius: f64,
    pub(crate) fahrenheit: f64,
}

impl Begin {
    /// The one of a model.
    #[expect(clippy::unnecessary_wraps, reason = "as forms ask for it")]
    pub(crate) fn in_model(self, model: &Model) -> Option<Value> {
        Some(Value::Number(match model.unit {
            TemperatureUnit::Celsius => self.celsius,
            TemperatureUnit::Fahrenheit => self.fahrenheit,
        }))
    }
}

/// The zone that has a setting.
pub(crate) fn zone_of(model: &Model, subject: Subject) -> Option<&Zone> {
    match subject {
        Subject::Zone(at) | Subject::Controller(at, _) => model.zones.get(at),
        Subject::Group(_) => None,
    }
}

/// Which other values a test sheet is tried against.
#[derive(Clone, Copy, Debug)]
pub enum Trial {
    /// So many setpoint steps more each.
    Steps(&'static [i32]),
    /// Twice the time, and at least ten minutes more.
    Longer,
    /// Every other word that the key takes; of true and false the other.
    Others,
    /// Of a span either end, a setpoint step either way.
    Ends,
    /// A degree either way, and nothing; where there is something.
    NearOrNone,
    /// A degree more; where there is something.
    DegreeMore,
    /// Every other zone of the outdoor unit.
    Members,
    /// These, for the zone as it is.
    By(fn(&Zone) -> Vec<Value>),
    /// The zone changed in these ways, each with its words; of a controller by its place.
    Made(fn(&Zone, usize) -> Vec<(String, Zone)>),
    /// None, for this reason.
    None(&'static str),
}

/// Why no line of a sheet may show another value of a setting.
#[derive(Clone, Copy, Debug)]
pub enum Hidden {
    /// Always for this reason.
    Always(&'static str),
    /// Where the part of the test that it governs had to wait, because of that; else for this
    /// reason.
    Unless(&'static str),
}

impl Setting {
    const fn new(name: &'static str, governs: Governs, access: Access) -> Self {
        Self {
            name,
            line: name,
            governs,
            access,
            form: Form::Left("it is set once, when the zone is fitted out, and stands in the file"),
            trial: Trial::None("no display shows it"),
            hidden: Hidden::Unless("no keys in force and no wait on this sheet bring it out"),
        }
    }

    /// A setting of a zone.
    pub(crate) const fn of_zone(
        name: &'static str,
        governs: Governs,
        get: fn(&Zone) -> Value,
        set: fn(&mut Zone, &Value) -> Option<()>,
    ) -> Self {
        Self::new(name, governs, Access::Zone { get, set })
    }

    /// A setting of each controller of a zone.
    pub(crate) const fn of_controller(
        name: &'static str,
        governs: Governs,
        get: fn(&Zone, usize) -> Value,
        set: fn(&mut Zone, usize, &Value) -> Option<()>,
    ) -> Self {
        Self::new(name, governs, Access::Controller { get, set })
    }

    /// A setting of an outdoor unit.
    pub(crate) const fn of_group(
        name: &'static str,
        governs: Governs,
        get: fn(&Model, &OutdoorGroup) -> Value,
        set: fn(&mut Model, usize, &Value) -> Option<()>,
    ) -> Self {
        Self::new(name, governs, Access::Group { get, set })
    }

    /// Told by this line of the record, together with others.
    pub(crate) const fn line(mut self, line: &'static str) -> Self {
        self.line = line;
        self
    }

    /// Asked for in a form.
    pub(crate) const fn asked(mut self, section: Section, control: Control) -> Self {
        self.form = Form::Asked(section, control);
        self
    }

    /// In no form, for this reason.
    pub(crate) const fn left(mut self, why: &'static str) -> Self {
        self.form = Form::Left(why);
        self
    }

    /// Tried so.
    pub(crate) const fn tried(mut self, trial: Trial) -> Self {
        self.trial = trial;
        self
    }

    /// Not shown for this reason, where it is not shown.
    pub(crate) const fn hidden(mut self, hidden: Hidden) -> Self {
        self.hidden = hidden;
        self
    }
}
