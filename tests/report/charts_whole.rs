//! Charts have room for all their words: nothing on them is cut.

use std::fs;
use std::path::Path;

use tempfile::TempDir;

use crate::program::setband;

/// Calls the program on a shipped scenario; gives the folder of its files.
fn files_of(command: &str, scenario: &str, more: &[&str]) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(scenario);
    let call = [command, &file.to_string_lossy(), "--quiet", "--out", "out"];
    setband(folder.path(), &[&call[..], more].concat());
    folder
}

/// The words of a chart of that name, one text a line.
fn words(folder: &TempDir, name: &str) -> String {
    let svg = fs::read_to_string(folder.path().join("out").join(name)).expect("a chart");
    let texts = svg.split("<text").skip(1).filter_map(|rest| rest.split_once('>'));
    let texts = texts.filter_map(|(_, rest)| rest.split("</text>").next());
    texts.map(|text| text.trim().to_owned() + "\n").collect()
}

/// The first chart of a process has the layout of every later one: its words are measured with the
/// font that they are drawn in.
#[test]
fn the_chart_of_owners_names_each_whole_and_counts_one_changeover() {
    let words = words(&files_of("owners", "weavers_yard_wrong_owner.yaml", &[]), "owners.svg");
    assert!(words.contains("Loom room (now)") && !words.contains('\u{2026}'), "{words}");
    assert!(words.contains("; 1 changeover, ") && !words.contains("1 changeovers"), "{words}");
}

#[test]
fn the_chart_of_what_a_figure_hangs_on_says_all_that_it_shows() {
    let grid = ["--grid", "zones.*.band=0..4:2"];
    let vary = ["--vary", "zones.*.controls.sensor.offset=normal(0, 0.3)", "--draws", "8"];
    let folder = files_of("sweep", "reading_room.yaml", &[grid.as_slice(), &vary].concat());
    let words = words(&folder, "tornado.svg");
    // What hollow means is said where some path's difference may be noise, and only there.
    assert!(words.contains("below its name the difference, 95 % interval"), "{words}");
    assert_eq!(words.contains(". Hollow: may be noise\n"), words.contains(", noise)"), "{words}");
    assert!(words.contains("sensor offset") && !words.contains('\u{2026}'), "{words}");
}

/// Names on the left and figures beside bars do not lie over one another.
#[test]
fn differences_with_long_figures_keep_clear_of_their_names() {
    let folder = files_of("compare", "house_rules.yaml", &[]);
    let svg = fs::read_to_string(folder.path().join("out/differences.svg")).expect("a chart");
    let bars = svg.split("<g class=\"bars\"").skip(1);
    let mut compared = 0;
    for group in bars.map(|rest| rest.split("</g>").next().unwrap_or_default()) {
        // Names begin where they stand, figures left of a bar end there; both in tenths of a px.
        let texts: Vec<(f64, bool, f64, usize)> = group
            .split("<text")
            .skip(1)
            .map(|text| {
                let value = |name: &str| {
                    let rest = text.split(&format!(" {name}=\"")).nth(1).expect(name);
                    rest.split('"').next().expect(name).to_owned()
                };
                let words = text.split_once('>').expect("words").1;
                let words = words.split("</text>").next().expect("words").trim();
                let ends = text.contains("text-anchor=\"end\"");
                let number = |name: &str| value(name).parse::<f64>().expect("a number");
                (number("x"), ends, number("y"), words.chars().count())
            })
            .collect();
        for name in texts.iter().filter(|it| !it.1) {
            for figure in texts.iter().filter(|it| it.1 && it.2 == name.2) {
                // Half an em, 12.8 px, a letter is about the width of this font.
                let letter = 128.0 * 0.55;
                let end = name.0 + name.3 as f64 * letter;
                let begin = figure.0 - figure.3 as f64 * letter;
                assert!(end < begin, "{name:?} {figure:?} in {group}");
                compared += 1;
            }
        }
    }
    assert!(compared >= 6, "{compared} pairs were compared");
}
