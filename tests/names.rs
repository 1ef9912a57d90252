//! Every name of the trade's catalogue finds its row.

use kindfold::library::posture::Posture;
use serde::Deserialize;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::outside::LIBRARY;

/// One row of `outside/names.yaml`.
#[derive(Deserialize)]
struct Row {
    row: String,
    english: Vec<String>,
    sanskrit: Option<String>,
    owner: Option<String>,
}

fn rows() -> Vec<Row> {
    serde_yaml::from_str(include_str!("outside/names.yaml")).expect("the table is YAML")
}

/// The name as it is typed on a keyboard without the marks of IAST.
fn plain(name: &str) -> String {
    name.nfd().filter(|c| !is_combining_mark(*c)).collect()
}

/// The row of the posture that a name finds.
fn row_of(name: &str) -> Option<&'static str> {
    LIBRARY
        .find(name)
        .and_then(|posture: &Posture| posture.row.as_deref())
}

#[test]
fn every_english_name_of_the_catalogue_finds_its_row() {
    let rows = rows();
    assert_eq!(rows.len(), 136);
    for row in &rows {
        for name in &row.english {
            assert_eq!(row_of(name), Some(row.row.as_str()), "{name}");
            assert_eq!(
                row_of(&name.to_uppercase()),
                Some(row.row.as_str()),
                "{name}"
            );
        }
    }
}

#[test]
fn every_sanskrit_name_finds_its_row_with_and_without_diacritics() {
    for row in rows() {
        let owner = row.owner.as_ref().unwrap_or(&row.row);
        for name in row
            .sanskrit
            .iter()
            .flat_map(|name| [name.clone(), plain(name)])
        {
            assert_eq!(row_of(&name), Some(owner.as_str()), "{name}");
        }
    }
}
