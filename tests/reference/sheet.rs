//! Reads the tables in `data/`.

use serde::de::DeserializeOwned;

/// The rows of a table with a header line.
pub(crate) fn rows<T: DeserializeOwned>(csv: &str) -> Vec<T> {
    let rows: Vec<T> = csv::Reader::from_reader(csv.as_bytes())
        .deserialize()
        .collect::<Result<_, _>>()
        .expect("the table in data/ has the columns that the test names");
    assert!(!rows.is_empty(), "an empty table checks nothing");
    rows
}

/// A document, or the part of it at a JSON pointer.
pub(crate) fn part<T: DeserializeOwned>(json: &str, pointer: &str) -> T {
    let whole: serde_json::Value = serde_json::from_str(json).expect("data/ holds valid JSON");
    let part = whole.pointer(pointer).expect("the document in data/ has that part").clone();
    serde_json::from_value(part).expect("the part in data/ has the shape that the test names")
}
