//! Whether standard output was open when the program was started.
//!
//! Before `main` begins, the standard library opens `/dev/null` in place of a standard descriptor
//! that was closed, and what is written there is lost without a word. It opens it for reading and
//! writing, which shells do not do that are asked for `>/dev/null`.

/// Whether nobody gave the program a standard output. Never said where input and errors are as
/// output is: a daemon has all three so, and nobody to tell.
#[cfg(target_os = "linux")]
pub(super) fn is_closed() -> bool {
    use std::io::{stderr, stdin, stdout};
    is_stand_in(stdout()) && !(is_stand_in(stdin()) && is_stand_in(stderr()))
}

/// Elsewhere it is not known.
#[cfg(not(target_os = "linux"))]
pub(super) const fn is_closed() -> bool {
    false
}

/// Whether a descriptor is `/dev/null`, opened for reading and writing.
#[cfg(target_os = "linux")]
fn is_stand_in(descriptor: impl std::os::fd::AsFd) -> bool {
    use rustix::fs::{FileType, OFlags, fcntl_getfl, fstat, makedev};
    // Linux, Documentation/admin-guide/devices.txt: character device 1, 3 is /dev/null.
    let null = makedev(1, 3);
    let is_null = fstat(&descriptor)
        .is_ok_and(|it| FileType::from_raw_mode(it.st_mode).is_char_device() && it.st_rdev == null);
    is_null && fcntl_getfl(&descriptor).is_ok_and(|it| it & OFlags::RWMODE == OFlags::RDWR)
}
