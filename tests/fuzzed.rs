//! What fuzzing found, as the least file that shows it.

use kindfold::intake::{Asked, DayOrder, intake};
use rstest::rstest;

use crate::support::library::library;
use crate::support::program::kindfold;
use crate::support::spreadsheets::{locked_ods, ods_of, xlsx_of};

/// A cell that the spreadsheet itself calls a date, in the year 4052: the roster said that it was recorded then,
/// and did not read back.
#[test]
fn a_date_cell_in_a_year_nobody_means_is_no_day_of_the_answers() {
    let text = |words: &str| {
        format!(
            "<table:table-cell office:value-type=\"string\"><text:p>{words}</text:p></table:table-cell>"
        )
    };
    let head = ["Name", "Injuries", "Date"].map(text).concat();
    let names = "urn:oasis:names:tc:opendocument:xmlns";
    let content = format!(
        "<office:document-content xmlns:office=\"{names}:office:1.0\" xmlns:table=\"{names}:table:1.0\" \
         xmlns:text=\"{names}:text:1.0\"><office:body><office:spreadsheet><table:table table:name=\"People\">\
         <table:table-row>{head}</table:table-row><table:table-row>{}{}\
         <table:table-cell office:value-type=\"date\" office:date-value=\"4052-11-02\"><text:p>2 Nov</text:p>\
         </table:table-cell></table:table-row></table:table></office:spreadsheet></office:body>\
         </office:document-content>",
        text("Ines"),
        text("left knee")
    );
    let asked = Asked {
        recorded: None,
        today: jiff::civil::date(2026, 11, 2),
        columns: &[],
        order: DayOrder::Unknown,
        tab: None,
    };
    let made = intake(
        "s.ods",
        &ods_of(content.as_bytes()),
        None,
        library(),
        &asked,
    );
    assert!(made.is_ok(), "{:?}", made.err());
}

fn is_refused(name: &str, bytes: &[u8], code: &str) {
    let folder = tempfile::tempdir().expect("a folder for the test");
    std::fs::write(folder.path().join(name), bytes).expect("the folder takes a file");
    let output = kindfold(&["intake", name], folder.path());
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains(code), "{said}");
}

/// The content of a locked ODS is no text: that it is locked is said, not that it is cut.
#[test]
fn a_locked_spreadsheet_is_called_locked() {
    is_refused("s.ods", &locked_ods(), "[sheet-locked]");
}

/// A table that never ends was looked through for ever.
#[rstest]
#[case::the_table_is_cut("<table:table table:name=\"People\"><table:table-row>")]
#[case::another_end_stands_there(
    "<table:table table:name=\"People\"><table:table-row></table:table-row></tab></office:spreadsheet>\
     </office:body></office:document-content>"
)]
#[case::the_end_is_cut("<table:table table:name=\"People\"></table:table></office:spread")]
fn a_spreadsheet_that_does_not_end_is_refused(#[case] tables: &str) {
    let names = "urn:oasis:names:tc:opendocument:xmlns";
    let content = format!(
        "<office:document-content xmlns:office=\"{names}:office:1.0\" xmlns:table=\"{names}:table:1.0\">\
         <office:body><office:spreadsheet>{tables}"
    );
    is_refused("s.ods", &ods_of(content.as_bytes()), "[not-a-sheet]");
}

/// The name of a cell that no sheet can have was counted past the end of the numbers.
#[rstest]
#[case::a_row_of_letters("<row r=\"eadsheet\"><c r=\"A1\"/></row>")]
#[case::a_row_of_many_digits("<row r=\"99999999999\"/>")]
#[case::a_cell_of_many_digits("<row r=\"1\"><c r=\"A99999999999\"/></row>")]
fn a_cell_that_no_sheet_has_is_refused(#[case] rows: &str) {
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let sheet = format!("<worksheet xmlns=\"{main}\"><sheetData>{rows}</sheetData></worksheet>");
    is_refused("s.xlsx", &xlsx_of(sheet.as_bytes()), "[not-a-sheet]");
}

#[test]
fn a_typed_day_in_a_year_nobody_means_is_refused() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let sheet = "Name,Injuries\nInes,left knee\n";
    std::fs::write(folder.path().join("s.csv"), sheet).expect("the folder takes a file");
    let output = kindfold(
        &["intake", "s.csv", "--recorded", "4052-11-02"],
        folder.path(),
    );
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("4052-11-02: nobody can mean this year"),
        "{said}"
    );
}
