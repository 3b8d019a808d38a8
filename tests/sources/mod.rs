//! The source files of the crate, for tests of what stands in them.

use std::fs;
use std::path::Path;

/// Each file's name within `src`, its parts joined by `/`, and its text. The Python module is left
/// out: it is a package of its own.
pub(crate) fn rust_files() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("the sources can be read") {
            let path = entry.expect("the sources can be read").path();
            if path.is_dir() {
                if !path.ends_with("src/python") {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|it| it == "rs") {
                let name = path.strip_prefix(&root).expect("it lies in src").components();
                let name: Vec<_> = name.map(|part| part.as_os_str().to_string_lossy()).collect();
                let text = fs::read_to_string(&path).expect("the sources can be read");
                found.push((name.join("/"), text));
            }
        }
    }
    found
}
