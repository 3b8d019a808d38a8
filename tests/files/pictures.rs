//! The pictures of the README are what the program draws. They lie in `out/pictures`, where no
//! command writes by itself, so that trying an example changes no file that is kept.
//!
//! ```text
//! SETBAND_RENEW=1 cargo test --test files pictures
//! ```
//!
//! draws them anew.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Each picture: its name, the command that draws it, the scenario, the file that it is.
const PICTURES: [(&str, &str, &str, &str); 5] = [
    ("reading_room_day.svg", "run", "reading_room", "day.svg"),
    ("weavers_yard_group.svg", "run", "weavers_yard_wrong_owner", "group.svg"),
    ("weavers_yard_owners.svg", "owners", "weavers_yard_wrong_owner", "owners.svg"),
    ("house_rules_multiples.svg", "compare", "house_rules", "multiples.svg"),
    ("net_loft_log.svg", "log", "net_loft", "log.svg"),
];

/// Pictures of the page of `serve`, taken of a browser's window of 1280 px: a browser's letters differ
/// from machine to machine, so they are looked at and not compared.
const OF_THE_PAGE: [&str; 5] =
    ["page_rooms.png", "page_room.png", "page_compare.png", "page_calendar.png", "page_lesson.png"];

/// The names of all pictures.
fn names() -> impl Iterator<Item = &'static str> {
    PICTURES.iter().map(|(name, ..)| *name).chain(OF_THE_PAGE)
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn kept(name: &str) -> PathBuf {
    root().join("out/pictures").join(name)
}

fn drawn(command: &str, stem: &str, file: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let done = Command::new(env!("CARGO_BIN_EXE_setband"))
        .args([command, &format!("scenarios/{stem}.yaml"), "--quiet", "--out"])
        .arg(folder.path())
        .current_dir(root())
        .output()
        .expect("the program runs");
    assert!(done.status.success(), "{command} {stem}: {}", String::from_utf8_lossy(&done.stderr));
    fs::read_to_string(folder.path().join(file)).expect("the picture")
}

#[test]
fn the_pictures_of_the_readme_are_what_the_program_draws() {
    let renew = std::env::var_os("SETBAND_RENEW").is_some_and(|value| value == "1");
    for (name, command, stem, file) in PICTURES {
        let svg = drawn(command, stem, file);
        if renew {
            fs::create_dir_all(kept("")).expect("a folder");
            fs::write(kept(name), &svg).expect("written");
        }
        let committed = fs::read_to_string(kept(name)).unwrap_or_default();
        // Told without the whole of two drawings.
        assert!(committed == svg, "{name} is not what `setband {command}` draws; see the head");
    }
}

#[test]
fn the_readme_shows_these_and_no_command_writes_over_them() {
    let readme = fs::read_to_string(root().join("README.md")).expect("a README");
    let shown: BTreeSet<&str> = readme
        .split("](out/")
        .skip(1)
        .filter_map(|rest| rest.split_once(')'))
        .map(|(path, _)| path)
        .collect();
    let known: BTreeSet<String> = names().map(|name| format!("pictures/{name}")).collect();
    assert_eq!(shown, known.iter().map(String::as_str).collect::<BTreeSet<_>>());
    let files = fs::read_dir(kept("")).expect("the pictures");
    let files: BTreeSet<String> = files
        .map(|file| file.expect("a file").file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(files, names().map(str::to_owned).collect());
    for name in OF_THE_PAGE {
        assert!(fs::read(kept(name)).expect("a picture").starts_with(b"\x89PNG"), "{name}");
    }
    // Commands write to a folder named after their file.
    assert!(!root().join("scenarios/pictures.yaml").exists());
}
