//! Spreadsheets: XLSX and ODS.
//!
//! Takes the bytes of a packed file; gives back the [`Sheet`] of one of its tabs. Invariant: what
//! the file says of its unpacked size is within limits before any of it is unpacked, and XLSX cells
//! are taken one by one, so that a single far cell never makes a large table.

use std::io::Cursor;

use calamine::{Data, DataRef, Ods, OdsError, Reader, SheetVisible, Xlsx, XlsxError};
use jiff::civil::Date;

use super::decode::locked;
use super::packed::Packed;
use super::sheet::{Cell, MOST_COLUMNS, MOST_ROWS, Row, Sheet, problem, too_large};
use crate::problem::{Code, Problem, quoted};

/// The most bytes of XML that a spreadsheet may unpack to (our choice: 10,000 rows of 20 columns
/// take about 15 MB).
const MOST_UNPACKED: u64 = 48 * 1024 * 1024;

/// The part of an OpenDocument spreadsheet that holds its tables.
const ODS_TABLES: &str = "content.xml";
/// Where the tables of an XLSX file lie.
const XLSX_TABLES: &str = "xl/worksheets/";

/// Reads one tab of a spreadsheet.
///
/// # Errors
/// A file that is no spreadsheet, locked, broken, or beyond the limits; a tab that is not there.
pub(super) fn read(name: &str, bytes: &[u8], tab: Option<&str>) -> Result<Sheet, Problem> {
    let mut packed = Packed::new(bytes).ok_or_else(|| broken(name))?;
    let parts = packed.parts().ok_or_else(|| broken(name))?;
    if parts.iter().map(|part| part.unpacked).sum::<u64>() > MOST_UNPACKED {
        return Err(too_large(name, "the spreadsheet unpacks to over 48 MiB"));
    }
    let tables = parts.iter().map(|part| part.name.as_str()).filter(|part| {
        *part == ODS_TABLES || part.starts_with(XLSX_TABLES) && part.ends_with(".xml")
    });
    for part in tables {
        if !packed.is_whole(part, MOST_UNPACKED) {
            return Err(match packed.is_locked(MOST_UNPACKED) {
                true => locked(name),
                false => broken(name),
            });
        }
    }
    let holds = |wanted: &str| parts.iter().any(|part| part.name == wanted);
    if holds("xl/workbook.xml") {
        read_xlsx(name, bytes, tab)
    } else if holds(ODS_TABLES) {
        read_ods(name, bytes, tab)
    } else {
        Err(problem(
            name,
            Code::NotASheet,
            "this is a packed file, but no spreadsheet",
            "Save the sign-up sheet as CSV, XLSX or ODS.",
        ))
    }
}

fn read_xlsx(name: &str, bytes: &[u8], tab: Option<&str>) -> Result<Sheet, Problem> {
    let fault = |error: XlsxError| match error {
        XlsxError::Password => locked(name),
        _ => broken(name),
    };
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(fault)?;
    let tabs = visible(book.sheets_metadata());
    let mut first = None;
    for chosen in candidates(name, &tabs, tab)? {
        let mut rows: Vec<Row> = Vec::new();
        let mut cells = book.worksheet_cells_reader(&chosen).map_err(fault)?;
        while let Some(cell) = cells.next_cell().map_err(fault)? {
            let (row, column) = cell.get_position();
            let value = read_ref(cell.get_value());
            if !value.text.is_empty() {
                put(name, &mut rows, row, column, value)?;
            }
        }
        if !rows.is_empty() {
            first = Some((chosen, rows));
            break;
        }
    }
    Ok(sheet_of(name, &tabs, first))
}

fn read_ods(name: &str, bytes: &[u8], tab: Option<&str>) -> Result<Sheet, Problem> {
    let fault = |error: OdsError| match error {
        OdsError::Password => locked(name),
        OdsError::CellLimitExceeded { .. } => too_large(name, "the sheet has too many cells"),
        _ => broken(name),
    };
    let mut book: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(fault)?;
    let tabs = visible(book.sheets_metadata());
    let mut first = None;
    for chosen in candidates(name, &tabs, tab)? {
        let range = book.worksheet_range(&chosen).map_err(fault)?;
        let (top, left) = range.start().unwrap_or((0, 0));
        let mut rows: Vec<Row> = Vec::new();
        for (row, column, value) in range.used_cells() {
            let at = |offset: u32, index: usize| {
                offset.saturating_add(u32::try_from(index).unwrap_or(u32::MAX))
            };
            let value = read_cell(value);
            if !value.text.is_empty() {
                put(name, &mut rows, at(top, row), at(left, column), value)?;
            }
        }
        if !rows.is_empty() {
            first = Some((chosen, rows));
            break;
        }
    }
    Ok(sheet_of(name, &tabs, first))
}

/// Puts a cell into its row; cells come row by row.
fn put(name: &str, rows: &mut Vec<Row>, row: u32, column: u32, cell: Cell) -> Result<(), Problem> {
    let number = usize::try_from(row).unwrap_or(usize::MAX).saturating_add(1);
    let column = usize::try_from(column).unwrap_or(usize::MAX);
    if column >= MOST_COLUMNS {
        return Err(too_large(
            name,
            &format!("the sheet has over {MOST_COLUMNS} columns"),
        ));
    }
    if rows.last().is_none_or(|last| last.number != number) {
        if rows.len() >= MOST_ROWS {
            return Err(too_large(
                name,
                &format!("the sheet has over {MOST_ROWS} rows"),
            ));
        }
        rows.push(Row {
            number,
            cells: Vec::new(),
        });
    }
    if let Some(last) = rows.last_mut() {
        if last.cells.len() <= column {
            last.cells.resize(column + 1, Cell::default());
        }
        if let Some(place) = last.cells.get_mut(column) {
            *place = cell;
        }
    }
    Ok(())
}

fn visible(sheets: &[calamine::Sheet]) -> Vec<String> {
    let shown = sheets
        .iter()
        .filter(|sheet| sheet.visible == SheetVisible::Visible);
    shown.map(|sheet| sheet.name.clone()).collect()
}

/// The tabs to try: the one asked for, else all in order.
fn candidates(name: &str, tabs: &[String], tab: Option<&str>) -> Result<Vec<String>, Problem> {
    let Some(wanted) = tab else {
        return Ok(tabs.to_vec());
    };
    match tabs.iter().find(|tab| *tab == wanted) {
        Some(found) => Ok(vec![found.clone()]),
        None => Err(problem(
            name,
            Code::UnknownWord,
            &format!("no tab of this spreadsheet is called {}", quoted(wanted)),
            &format!("It has {}.", list(tabs)),
        )),
    }
}

fn list(tabs: &[String]) -> String {
    let names: Vec<String> = tabs.iter().map(|tab| quoted(tab)).collect();
    names.join(", ")
}

fn sheet_of(name: &str, tabs: &[String], first: Option<(String, Vec<Row>)>) -> Sheet {
    let (chosen, rows) = first.unwrap_or_default();
    let others: Vec<String> = tabs.iter().filter(|tab| **tab != chosen).cloned().collect();
    let mut notices = Vec::new();
    if !others.is_empty() {
        notices.push(format!(
            "Only the tab {} was read, not {}. Another one: --tab NAME.",
            quoted(&chosen),
            list(&others)
        ));
    }
    Sheet {
        name: name.to_owned(),
        rows,
        notices,
    }
}

fn broken(name: &str) -> Problem {
    problem(
        name,
        Code::NotASheet,
        "this spreadsheet cannot be read to its end",
        "It may have been cut off on its way. Save it again, or save it as CSV.",
    )
}

fn read_ref(value: &DataRef<'_>) -> Cell {
    match value {
        DataRef::String(text) => Cell::of(text),
        DataRef::SharedString(text) => Cell::of(text),
        DataRef::Int(number) => Cell::of(&number.to_string()),
        DataRef::Float(number) => Cell::of(&plain(*number)),
        DataRef::Bool(yes) => truth(*yes),
        DataRef::DateTime(day) => day_cell(day),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => iso_cell(text),
        DataRef::Error(_) | DataRef::Empty => Cell::default(),
    }
}

fn read_cell(value: &Data) -> Cell {
    match value {
        Data::String(text) => Cell::of(text),
        Data::Int(number) => Cell::of(&number.to_string()),
        Data::Float(number) => Cell::of(&plain(*number)),
        Data::Bool(yes) => truth(*yes),
        Data::DateTime(day) => day_cell(day),
        Data::DateTimeIso(text) | Data::DurationIso(text) => iso_cell(text),
        Data::Error(_) | Data::Empty => Cell::default(),
    }
}

/// A ticked box reads as the answer that it is.
fn truth(yes: bool) -> Cell {
    Cell::of(if yes { "yes" } else { "no" })
}

/// A number as a person would write it.
fn plain(number: f64) -> String {
    format!("{number}")
}

fn day_cell(day: &calamine::ExcelDateTime) -> Cell {
    let (year, month, date, ..) = day.to_ymd_hms_milli();
    let read = (day.is_datetime() && day.as_f64() >= 1.0)
        .then(|| {
            let year = i16::try_from(year).ok()?;
            Date::new(year, i8::try_from(month).ok()?, i8::try_from(date).ok()?).ok()
        })
        .flatten();
    match read {
        Some(date) => Cell {
            text: date.to_string(),
            date: Some(date),
        },
        None => Cell::of(&plain(day.as_f64())),
    }
}

fn iso_cell(text: &str) -> Cell {
    let date = text.get(..10).and_then(|day| day.parse::<Date>().ok());
    match date {
        Some(date) => Cell {
            text: date.to_string(),
            date: Some(date),
        },
        None => Cell::of(text),
    }
}
