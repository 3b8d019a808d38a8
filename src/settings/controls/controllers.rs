//! The controllers of a zone, and the keys that are locked on them.

use crate::control::LockableKey;
use crate::settings::access::locks;
use crate::settings::key::{block, optional, or, required};
use crate::settings::setting::{Control, Governs, Hidden, Section, Setting, Trial};
use crate::settings::{Kind, ranges};

/// The keys that a lock can name.
const LOCKABLE: &[&str] = &[
    LockableKey::Setpoint.name(),
    LockableKey::Mode.name(),
    LockableKey::Fan.name(),
    LockableKey::Power.name(),
];

block! {
    /// A controller on the wall.
    pub(super) CONTROLLER = "controller", "A controller on the wall.";

    CONTROLLER_ID = required("controls.controllers[].id", Kind::Name, "Its name.").sets(
        Setting::of_controller("Name of a controller", Governs::Keys, locks::id, |_, _, _| None)
            .line("Controllers")
            .left("it is a name")
            .tried(Trial::None("a name does nothing")),
    );
    CONTROLLER_PRIMARY = or(
        "controls.controllers[].primary",
        Kind::YesNo,
        "false",
        "Whether it speaks for actions that name none.",
    )
    .sets(
        Setting::of_controller("Primary controller", Governs::Keys, locks::primary, locks::set_primary)
            .line("Controllers")
            .left("the controllers are listed in the file")
            .tried(Trial::Made(locks::other_primary))
            .hidden(Hidden::Always("both controllers show and do the same, whichever is primary")),
    );
    CONTROLLER_OFFSET = or(
        "controls.controllers[].offset",
        Kind::Difference(ranges::OFFSET),
        "0",
        "What its own sensor reads too much.",
    )
    .sets(
        Setting::of_controller("Offset of a controller's sensor", Governs::Sensing, locks::offset, |_, _, _| None)
            .line("Governing sensor")
            .left("the controllers are listed in the file")
            .tried(Trial::None(
                "it works where the zone's sensor is a controller's, and is tried as the offset of that",
            )),
    );
    CONTROLLER_LOCKS = optional(
        "controls.controllers[].key_locks",
        Kind::Block(KEY_LOCKS),
        "The keys that are locked on it.",
    );
}

block! {
    /// Keys that are locked on a controller.
    pub(crate) KEY_LOCKS = "key_locks", "Keys that are locked on a controller.";

    KEYS_LOCKED = required("controls.controllers[].key_locks.keys", Kind::Words(LOCKABLE, 0), "Which keys.")
        .sets(
            Setting::of_controller("Keys locked for occupants", Governs::Keys, locks::keys, locks::set_keys)
                .line("Key locks")
                .asked(Section::Modes, Control::Locks)
                .tried(Trial::Made(locks::other_keys))
                .hidden(Hidden::Always(
                    "no key that is pressed here needs it, or another lock stands before it",
                )),
        );
    LOCK_IN_FORCE = required(
        "controls.controllers[].key_locks.in_force",
        Kind::YesNo,
        "Whether the lock is in force, or only saved; saved it does nothing.",
    )
    .sets(
        Setting::of_controller("Lock in force", Governs::Keys, locks::in_force, locks::set_in_force)
            .line("Key locks")
            .left("it is asked for together with the keys")
            .tried(Trial::Made(locks::other_force))
            .hidden(Hidden::Always("the lock names no key that is pressed here")),
    );
}
