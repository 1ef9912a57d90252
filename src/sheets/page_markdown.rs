//! A sheet as Markdown, with pipe tables.

use super::page::{Block, Document, Table};

/// The sheet as Markdown.
pub fn markdown(document: &Document) -> String {
    let mut out = Vec::new();
    for page in &document.pages {
        out.push(format!("# {}", plain(&page.title)));
        if !page.when.is_empty() {
            out.push(plain(&page.when));
        }
        out.extend(page.blocks.iter().map(block));
    }
    out.join("\n\n") + "\n"
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(words) => format!("## {}", plain(words)),
        Block::Line(words) | Block::Said(words, _) => plain(words),
        Block::List(lines) => listed(lines),
        Block::Table(table) => self::table(table),
        Block::Item(item) => {
            let first = item.first.as_deref();
            let first = first.map_or_else(String::new, |first| format!("**{}**\n\n", plain(first)));
            format!(
                "### {}\n\n{first}{}",
                plain(&item.heading),
                listed(&item.lines)
            )
        }
        Block::Field(label, value) => {
            let value = value
                .as_deref()
                .map_or_else(|| "\\_\\_\\_\\_\\_\\_\\_\\_".to_owned(), plain);
            format!("{}: {value}", plain(label))
        }
        Block::Ruled(label, _) => format!("{}: \\_\\_\\_\\_\\_\\_\\_\\_", plain(label)),
    }
}

fn listed(lines: &[String]) -> String {
    let lines: Vec<String> = lines
        .iter()
        .map(|line| format!("- {}", plain(line)))
        .collect();
    lines.join("\n")
}

fn table(table: &Table) -> String {
    let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
    let heads = row(table.heads.iter().map(|head| (*head).to_owned()).collect());
    let rule = row(table.heads.iter().map(|_| "---".to_owned()).collect());
    let mut parts = Vec::new();
    for group in &table.groups {
        if !group.name.is_empty() {
            parts.push(match group.aside.as_str() {
                "" => format!("## {}", plain(&group.name)),
                aside => format!("## {}, {}", plain(&group.name), plain(aside)),
            });
        }
        let mut lines = vec![heads.clone(), rule.clone()];
        for cells in &group.rows {
            let cells = cells.iter().map(|cell| {
                let words = if cell.tick {
                    "\\[ \\]".to_owned()
                } else {
                    plain(&cell.words())
                };
                if cell.strong.is_empty() {
                    return words;
                }
                let strong = plain(&cell.strong);
                words.replacen(&strong, &format!("**{strong}**"), 1)
            });
            lines.push(row(cells.collect()));
        }
        parts.push(lines.join("\n"));
    }
    parts.join("\n\n")
}

/// Text in which nothing is read as a mark.
fn plain(text: &str) -> String {
    let mut plain = String::new();
    for letter in text.chars() {
        match letter {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '#' | '~' => {
                plain.push('\\');
                plain.push(letter);
            }
            '\n' | '\r' => plain.push(' '),
            letter => plain.push(letter),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn what_people_wrote_is_no_mark() {
        assert_eq!(plain("a | b *c* <d>"), "a \\| b \\*c\\* \\<d\\>");
    }
}
