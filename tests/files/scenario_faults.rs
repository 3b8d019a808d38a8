//! Scenario files that are wrong: every kind of fault has a file of its own under `tests/bad`,
//! whose first line names the codes that it must give, in order. What people read is held in
//! snapshots.

use std::path::{Path, PathBuf};

use setband::scenario::{Faults, Study, load, read};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad")
}

fn bad_files() -> Vec<(String, PathBuf)> {
    let files = std::fs::read_dir(folder()).expect("the folder of bad files");
    let mut found: Vec<(String, PathBuf)> = files
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "yaml"))
        .map(|path| (path.file_stem().expect("a name").to_string_lossy().into_owned(), path))
        .collect();
    found.sort();
    found
}

fn read_bad(text: &str, name: &str) -> Result<Study, Faults> {
    let open = |companion: &str| {
        std::fs::read_to_string(folder().join(companion)).map_err(|_| "it is not there".to_owned())
    };
    read(text, name, &open)
}

/// The faults of a file, also where only its variants have them.
fn faults_of(text: &str, name: &str) -> Faults {
    match read_bad(text, name) {
        Err(faults) => faults,
        Ok(study) => study.structural_faults().expect("no fault was found").clone(),
    }
}

#[test]
fn every_bad_file_says_what_is_wrong() {
    let files = bad_files();
    assert!(files.len() > 50, "only {} bad files", files.len());
    let mut wrong = Vec::new();
    for (stem, path) in files {
        let text = std::fs::read_to_string(&path).expect("text");
        let faults = faults_of(&text, &format!("{stem}.yaml"));
        let expected = text.lines().next().and_then(|line| line.strip_prefix("# expect: "));
        let codes: Vec<&str> = faults.as_slice().iter().map(|fault| fault.code).collect();
        if Some(codes.join(" ").as_str()) != expected {
            wrong.push(format!("{stem}: {}", codes.join(" ")));
        }
        insta::with_settings!({ prepend_module_to_snapshot => false, snapshot_path => "snapshots" }, {
            insta::assert_snapshot!(format!("scenario_{stem}"), faults.to_string());
        });
    }
    assert_eq!(wrong, Vec::<String>::new(), "other codes than the first line says");
}

#[test]
fn every_fault_has_a_place_in_the_file_and_a_remedy() {
    for (stem, path) in bad_files() {
        let text = std::fs::read_to_string(&path).expect("text");
        let lines = text.lines().count();
        for fault in faults_of(&text, &stem).as_slice() {
            let line = usize::try_from(fault.line).expect("small");
            assert!((1..=lines).contains(&line) && fault.column >= 1, "{stem}: {fault:?}");
            assert!(!fault.message.is_empty(), "{stem}: {fault:?}");
            assert!(!fault.remedy.is_empty(), "{stem}: {fault:?}");
        }
    }
}

#[test]
fn faults_are_data_for_machines() {
    let faults = faults_of("period: {form: 2025-04-16}\n", "short.yaml");
    let json = serde_json::to_value(&faults).expect("JSON");
    assert_eq!(json["file"], "short.yaml");
    assert_eq!(json["count"], json["faults"].as_array().expect("a list").len());
    let unknown =
        json["faults"].as_array().expect("a list").iter().find(|f| f["code"] == "unknown-key");
    let unknown = unknown.expect("the misspelt key");
    assert_eq!((&unknown["line"], &unknown["column"]), (&1.into(), &10.into()));
    assert_eq!(unknown["path"], "period.form");
    assert!(unknown["remedy"].as_str().expect("text").contains("`from`"));
}

#[test]
fn files_that_cannot_be_read_are_faults_too() {
    let folder = tempfile::tempdir().expect("a folder");
    let code = |path: &Path| {
        let faults = load(path).expect_err("unreadable");
        assert_eq!(faults.count(), 1);
        assert!(faults.to_string().contains(&path.display().to_string()), "{faults}");
        (faults.as_slice()[0].code, faults.as_slice()[0].message.clone())
    };
    let (missing, _) = code(&folder.path().join("missing.yaml"));
    assert_eq!(missing, "unreadable-file");
    assert!(code(folder.path()).1.contains("it is a folder"));
    let latin = folder.path().join("latin.yaml");
    std::fs::write(&latin, b"title: caf\xe9\n").expect("written");
    assert!(code(&latin).1.contains("byte 10"));
    let large = folder.path().join("large.yaml");
    std::fs::write(&large, vec![b'#'; (16 << 20) + 1]).expect("written");
    assert!(code(&large).1.contains("16 MiB"));
}

#[test]
fn files_are_loaded_with_what_they_name_beside_them() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("shed.yaml");
    let text = "period: {from: 2025-04-16}\nweather: {csv: w.csv, fill: straight}\nzones:\n  shed:\n    space: {floor: \
                40 m2}\n    unit: {heating: 3 kW}\n    controls: {heat: 20, cool: 24}\n";
    std::fs::write(&path, text).expect("written");
    let faults = load(&path).expect_err("no weather yet");
    assert_eq!(faults.as_slice()[0].code, "unreadable-file");
    let rows = "time,temperature\n2025-04-16 00:00,3\n2025-04-17 00:00,4\n";
    std::fs::write(folder.path().join("w.csv"), rows).expect("written");
    let study = load(&path).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(study.base.title, "shed");
}
