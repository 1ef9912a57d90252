//! The tables of a sheet as comma-separated values (RFC 4180).
//!
//! Invariant: no cell begins as a formula would, so that a spreadsheet reads words as words.

use super::page::{Block, Document};

/// The sheet's tables one after another, each under its heads; the group's name stands first.
pub fn csv(document: &Document) -> String {
    let mut out = String::new();
    let blocks = document.pages.iter().flat_map(|page| &page.blocks);
    for block in blocks {
        let Block::Table(table) = block else { continue };
        let grouped = table.groups.iter().any(|group| !group.name.is_empty());
        let mut heads: Vec<String> = table.heads.iter().map(|head| (*head).to_owned()).collect();
        if grouped {
            heads.insert(0, "Section".to_owned());
        }
        row(&mut out, &heads);
        for group in &table.groups {
            for cells in &group.rows {
                let mut values: Vec<String> = cells
                    .iter()
                    .map(|cell| {
                        if cell.tick {
                            String::new()
                        } else {
                            cell.words()
                        }
                    })
                    .collect();
                if grouped {
                    values.insert(0, group.name.clone());
                }
                row(&mut out, &values);
            }
        }
    }
    out
}

fn row(out: &mut String, values: &[String]) {
    let values: Vec<String> = values.iter().map(|value| field(value)).collect();
    out.push_str(&values.join(","));
    out.push_str("\r\n");
}

fn field(value: &str) -> String {
    let guarded = if value.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{value}")
    } else {
        value.to_owned()
    };
    if guarded.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", guarded.replace('"', "\"\""))
    } else {
        guarded
    }
}

#[cfg(test)]
mod tests {
    use super::field;
    use rstest::rstest;

    #[rstest]
    #[case("plain", "plain")]
    #[case("a, b", "\"a, b\"")]
    #[case("say \"no\"", "\"say \"\"no\"\"\"")]
    #[case("=1+1", "'=1+1")]
    fn a_field_is_words(#[case] value: &str, #[case] written: &str) {
        assert_eq!(field(value), written);
    }
}
