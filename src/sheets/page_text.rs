//! A sheet as text for a screen or a pipe: indentation only.

use super::layout::{ends, hanging, padded, width, wrapped};
use super::page::{Block, Cell, Document, Table};

/// The sheet at a width in columns.
pub fn text(document: &Document, most: usize) -> String {
    let mut out = Vec::new();
    for (place, page) in document.pages.iter().enumerate() {
        if place > 0 {
            out.extend([String::new(), String::new()]);
        }
        out.extend(wrapped(&page.title, most));
        if !page.when.is_empty() {
            out.extend(wrapped(&page.when, most));
        }
        let mut gap = true;
        for block in &page.blocks {
            let small = matches!(block, Block::Line(_) | Block::Said(..) | Block::Field(..));
            if !small || !gap {
                out.push(String::new());
            }
            gap = small;
            self::block(&mut out, block, most);
        }
    }
    let lines: Vec<&str> = out.iter().map(|line| line.trim_end()).collect();
    lines.join("\n") + "\n"
}

fn block(out: &mut Vec<String>, block: &Block, most: usize) {
    match block {
        Block::Heading(words) | Block::Line(words) | Block::Said(words, _) => {
            out.extend(wrapped(words, most));
        }
        Block::List(lines) => {
            for line in lines {
                out.extend(hanging(" ", line, 2, most));
            }
        }
        Block::Table(table) => self::table(out, table, most),
        Block::Item(item) => {
            out.extend(hanging(" ", &item.heading, 2, most));
            for line in item.first.iter().chain(&item.lines) {
                out.extend(hanging(" ", line, 4, most));
            }
        }
        Block::Field(label, value) => {
            let value = value.as_deref().unwrap_or("____________");
            out.extend(hanging(&format!("{label}:"), value, width(label) + 2, most));
        }
        Block::Ruled(label, lines) => {
            out.extend(wrapped(&format!("{label}:"), most));
            for _ in 0..*lines {
                out.push(format!("  {}", "_".repeat(most.saturating_sub(2).min(60))));
            }
        }
    }
}

/// Columns as wide as their widest cell, the widest made narrower until all fit.
fn table(out: &mut Vec<String>, table: &Table, most: usize) {
    let rows = || table.groups.iter().flat_map(|group| &group.rows);
    let mut widths: Vec<usize> = table
        .heads
        .iter()
        .enumerate()
        .map(|(column, head)| {
            let cells = rows().filter_map(|row| row.get(column));
            let widest = cells.flat_map(parts).map(|part| width(&part)).max();
            widest.unwrap_or(0).max(width(head))
        })
        .collect();
    // A column of nothing but its head takes no room.
    for (column, wide) in widths.iter_mut().enumerate() {
        if rows().all(|row| row.get(column).is_none_or(|cell| parts(cell).is_empty())) {
            *wide = 0;
        }
    }
    let room = most.saturating_sub(2 + 2 * widths.len().saturating_sub(1));
    while widths.iter().sum::<usize>() > room {
        let Some(widest) = widths.iter_mut().max_by_key(|wide| **wide) else {
            break;
        };
        if *widest <= 8 {
            break;
        }
        *widest -= 1;
    }
    let heads: Vec<Vec<String>> = table
        .heads
        .iter()
        .map(|head| vec![(*head).to_owned()])
        .collect();
    lay(out, &heads, &widths);
    for group in &table.groups {
        if !group.name.is_empty() {
            out.push(String::new());
            out.push(
                ends(&group.name, &group.aside, most)
                    .unwrap_or_else(|| format!("{}, {}", group.name, group.aside)),
            );
        }
        for row in &group.rows {
            let cells: Vec<Vec<String>> = row.iter().map(parts).collect();
            lay(out, &cells, &widths);
        }
    }
}

fn parts(cell: &Cell) -> Vec<String> {
    if cell.tick {
        return vec!["[ ]".to_owned()];
    }
    let mut parts = vec![cell.strong.clone()];
    parts.extend(cell.lines.iter().cloned());
    parts.retain(|part| !part.is_empty());
    parts
}

fn lay(out: &mut Vec<String>, cells: &[Vec<String>], widths: &[usize]) {
    let columns: Vec<Vec<String>> = cells
        .iter()
        .zip(widths)
        .map(|(parts, &wide)| {
            let parts = parts.iter().filter(|_| wide > 0);
            parts.flat_map(|part| wrapped(part, wide)).collect()
        })
        .collect();
    let height = columns.iter().map(Vec::len).max().unwrap_or(0);
    for line in 0..height {
        let mut text = " ".to_owned();
        for (column, &wide) in columns.iter().zip(widths).filter(|(_, wide)| **wide > 0) {
            text.push(' ');
            text.push_str(&padded(column.get(line).map_or("", String::as_str), wide));
            text.push(' ');
        }
        out.push(text);
    }
}
