//! `setband handover`: words for people follow the settings, and children of ten can read them.

use std::process::Command;

use setband::engine::{Model, ZoneIndex};
use setband::report::for_people;

use crate::shipped;

/// Syllables by groups of vowels; a silent e at the end does not count. Figures count as one.
fn syllables(word: &str) -> usize {
    let letters: Vec<char> = word.to_lowercase().chars().filter(|it| it.is_alphabetic()).collect();
    let vowel = |letter: &char| "aeiouy".contains(*letter);
    let groups = letters.chunk_by(|one, other| vowel(one) == vowel(other));
    let mut count = groups.filter(|group| vowel(&group[0])).count();
    if letters.len() > 2 && letters.ends_with(&['e']) && !letters.ends_with(&['l', 'e']) {
        count = count.saturating_sub(1);
    }
    count.max(1)
}

/// Grade by the formula of Kincaid, Fishburne, Rogers and Chissom, Derivation of new readability
/// formulas for Navy enlisted personnel, 1975: 0.39 words a sentence and 11.8 syllables a word, less
/// 15.59 (coefficients from memory). Children of ten are in grade 5.
fn grade(text: &str) -> f64 {
    let sentences = text.split(['.', '?', '!']).filter(|it| it.split_whitespace().count() > 1);
    let words: Vec<&str> = text.split_whitespace().collect();
    let all: usize = words.iter().map(|word| syllables(word)).sum();
    let count = words.len() as f64;
    0.39 * count / sentences.count().max(1) as f64 + 11.8 * all as f64 / count - 15.59
}

/// What the people in a zone are told; decimal points end no sentence.
fn text(model: &Model, zone: usize) -> String {
    let told = for_people(model, ZoneIndex::new(zone));
    let all = told.into_iter().flat_map(|it| [vec![it.question.to_owned()], it.answer].concat());
    let words: Vec<String> = all.collect();
    let plain = |word: &str| {
        let number = word.trim_end_matches(['.', ',']).parse::<f64>().is_ok();
        if number {
            word.replacen('.', "", word.matches('.').count().saturating_sub(1))
        } else {
            word.to_owned()
        }
    };
    words.join(" ").split_whitespace().map(plain).collect::<Vec<_>>().join(" ")
}

#[test]
fn the_formula_tells_easy_texts_from_hard_ones() {
    assert!(grade("The cat sat on the mat. It was warm. The sun was up.") < 1.0);
    let hard = "Commissioning necessitates simultaneous consideration of thermodynamic and \
                administrative responsibilities throughout the installation.";
    assert!(grade(hard) > 12.0);
}

#[test]
fn people_of_every_shipped_scenario_are_told_in_words_for_ten_year_olds() {
    for stem in shipped::stems() {
        let model = shipped::study(&stem).base;
        for zone in 0..model.zones.len() {
            let text = text(&model, zone);
            assert!(grade(&text) <= 5.0, "{stem}, grade {:.1}: {text}", grade(&text));
        }
    }
}

#[test]
fn the_words_follow_the_settings() {
    let surgery = shipped::study("specified_surgery").base;
    let treatment = text(&surgery, 1);
    for words in ["power key is locked", "from 21 to 24", "Waiting room picks", "2 degrees apart"] {
        assert!(treatment.contains(words), "{words}: {treatment}");
    }
    let waiting = text(&surgery, 0);
    assert!(
        waiting.contains("This room picks for all") && waiting.contains("two boxes"),
        "{waiting}"
    );
}

#[test]
fn the_command_writes_one_page_for_each_with_what_is_owed() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = format!("{}/scenarios/specified_surgery.yaml", env!("CARGO_MANIFEST_DIR"));
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    let output =
        command.args(["handover", &file, "--out"]).arg(folder.path()).output().expect("runs");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let page = std::fs::read_to_string(folder.path().join("handover.html")).expect("a page");
    assert_eq!(page.matches("class=\"people\"").count(), 2);
    for words in
        ["For the owner", "For the next technician", "Of 5 requirements 2 fail", "licensed persons"]
    {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("://"), "one file, no network");
}

/// With a register the owner reads what was shown on site, by whom, and what was not yet.
#[test]
fn the_owner_reads_what_was_shown_on_site() {
    let folder = tempfile::tempdir().expect("a folder");
    let papers = folder.path().join("papers");
    std::fs::create_dir(&papers).expect("made");
    let sheet = "zone,line,action,expect_heat,read_heat,shows,tester,date\nwaiting_room,1,look,20,20,\
                 zones.waiting_room.controls.heat = 20,Mara,2026-04-02\nwaiting_room,2,warmer,20.5,,\
                 zones.waiting_room.controls.setpoint_step = 0.5,,\n";
    std::fs::write(papers.join("april.csv"), sheet).expect("written");
    let file = format!("{}/scenarios/specified_surgery.yaml", env!("CARGO_MANIFEST_DIR"));
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.args(["handover", &file, "--register"]).arg(&papers).arg("--out").arg(folder.path());
    let output = command.output().expect("runs");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let page = std::fs::read_to_string(folder.path().join("handover.html")).expect("a page");
    for words in [
        "What was shown on site",
        "Of 2 settings 1 was shown to hold and 1 is owed.",
        "2 April 2026, Mara",
        "waiting_room: Setpoint step (no line of it was read)",
    ] {
        assert!(page.contains(words), "{words}");
    }
    // A paper that cannot be read leaves no pages.
    std::fs::write(papers.join("april.csv"), "action\nfly\n").expect("written");
    let output = command.output().expect("runs");
    assert_eq!(output.status.code(), Some(2), "{output:?}");
}
