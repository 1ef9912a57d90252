//! Every reader of files, given any bytes: each must end, without a panic, in a value or in problems.
//!
//! `tests/fuzz/run SECONDS [TARGET…]`

#[path = "../../support/spreadsheets.rs"]
#[expect(dead_code, reason = "the tests make whole tables, and here only parts are made")]
mod spreadsheets;

use std::fs;
use std::sync::LazyLock;

use jiff::civil::date;
use kindfold::adapted::Adapted;
use kindfold::audit::{Basis, audit};
use kindfold::class::ClassPlan;
use kindfold::input::text::Source;
use kindfold::input::{class, props, reading, roster, settings};
use kindfold::intake::{Asked, DayOrder, intake};
use kindfold::library::Library;
use kindfold::problem::Problem;
use kindfold::roster::Roster;
use kindfold::settings::{PropStock, Settings};

static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().expect("the built-in library is whole"));

static CLASS: LazyLock<ClassPlan> = LazyLock::new(|| {
    let text = include_bytes!("../../../data/demo/class.yaml");
    let source = Source::from_bytes("class.yaml", text).expect("the demo is a text");
    class::read(source, &LIBRARY).expect("the demo is good")
});

/// Loads the library before the first run, so that its time counts for none.
pub fn warm() {
    LazyLock::force(&LIBRARY);
    LazyLock::force(&CLASS);
}

/// Reads bytes under a name; problems are put into words, as the program would.
fn read<T>(name: &str, bytes: &[u8], reader: impl Fn(Source) -> Result<T, Vec<Problem>>) {
    let problems = match Source::from_bytes(name, bytes) {
        Ok(source) => reader(source).err().unwrap_or_default(),
        Err(problem) => vec![problem],
    };
    for problem in problems {
        let _ = problem.to_string();
    }
}

/// A class plan.
pub fn class_file(bytes: &[u8]) {
    read("class.yaml", bytes, |source| class::read(source, &LIBRARY));
}

/// A roster.
pub fn roster_file(bytes: &[u8]) {
    read("roster.yaml", bytes, |source| roster::read(source, &LIBRARY));
}

/// A cupboard.
pub fn props_file(bytes: &[u8]) {
    read("props.yaml", bytes, props::read);
}

/// Settings.
pub fn settings_file(bytes: &[u8]) {
    read("settings.yaml", bytes, |source| settings::read(source, &LIBRARY));
}

/// An outline.
pub fn outline_file(bytes: &[u8]) {
    read("class.md", bytes, |source| reading::read_to_show(source, &LIBRARY));
}

/// A sign-up sheet: CSV, XLSX or ODS by its bytes. What is made of it must read back.
pub fn sheet_file(bytes: &[u8]) {
    let asked = Asked {
        recorded: None,
        today: date(2026, 11, 2),
        columns: &[],
        order: DayOrder::Unknown,
        tab: None,
    };
    if let Err(unmade) = intake("s.csv", bytes, None, &LIBRARY, &asked) {
        assert!(matches!(unmade, kindfold::intake::Unmade::Problems(_)), "{unmade:?}");
    }
}

/// The part of a spreadsheet that holds its cells, of XLSX where it begins as one and else of ODS, in a
/// sound file round it: bytes changed at random seldom keep the sums of a ZIP file.
pub fn workbook_file(bytes: &[u8]) {
    let file = match bytes.starts_with(b"<worksheet") {
        true => spreadsheets::xlsx_of(bytes),
        false => spreadsheets::ods_of(bytes),
    };
    sheet_file(&file);
}

/// A result that is audited.
pub fn adapted_file(bytes: &[u8]) {
    let Ok(adapted) = serde_json::from_slice::<Adapted>(bytes) else {
        return;
    };
    let _ = audit(
        &adapted,
        &Basis {
            library: &LIBRARY,
            class: &CLASS,
            roster: &Roster::unknown(),
            stock: &PropStock { counts: None },
            settings: &Settings::default(),
            date: date(2026, 11, 4),
            max_options: 3,
        },
    );
}

/// A file of a library of one's own, at one of its places.
fn library_file(place: &str, bytes: &[u8]) {
    let root = tempfile::tempdir().expect("a folder for the run");
    let path = root.path().join(place);
    fs::create_dir_all(path.parent().expect("it has one")).expect("a folder for the run");
    fs::write(&path, bytes).expect("a file for the run");
    if let Err(problems) = Library::with_folder(root.path()) {
        let _ = problems.to_string();
    }
}

/// A file of postures.
pub fn posture_file(bytes: &[u8]) {
    library_file("data/postures/mine.yaml", bytes);
}

/// A file of rules.
pub fn rule_file(bytes: &[u8]) {
    library_file("rules/limitations/knee.yaml", bytes);
}
