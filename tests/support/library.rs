//! The built-in library, read once for all tests, and the planning of a class with it.

use std::sync::OnceLock;

use jiff::civil::Date;
use kindfold::adapt::Task;
use kindfold::class::ClassPlan;
use kindfold::group::solve::Limit;
use kindfold::library::Library;
use kindfold::roster::Roster;
use kindfold::settings::{PropStock, Settings};

/// The built-in library.
pub(crate) fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| Library::built_in().expect("the built-in library reads"))
}

/// Settings of a teacher who set nothing.
pub(crate) fn settings() -> &'static Settings {
    static SETTINGS: OnceLock<Settings> = OnceLock::new();
    SETTINGS.get_or_init(Settings::default)
}

/// A class with its people and props, planned for a day as anybody would without another word.
pub(crate) fn task<'a>(
    class: &'a ClassPlan,
    roster: &'a Roster,
    stock: &'a PropStock,
    date: Date,
) -> Task<'a> {
    Task {
        library: library(),
        class,
        roster,
        stock,
        settings: settings(),
        date,
        max_options: 3,
        limit: Limit::default(),
    }
}
