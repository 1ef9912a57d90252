//! Arguments as meant: every file read and checked, all mistakes of all files at once.

use std::path::Path;

use jiff::civil::Date;

use super::args::{Common, Planning};
use super::{Stopped, output};
use crate::adapt::Task;
use crate::adapted::{Adapted, StudentPlan};
use crate::class::ClassPlan;
use crate::group::solve::Limit;
use crate::input::days::YEARS;
use crate::input::outline::Ask;
use crate::input::reading::Reading;
use crate::input::{self, text::read_file};
use crate::library::Library;
use crate::problem::{Problem, Problems};
use crate::roster::Roster;
use crate::settings::{PropStock, Settings};

/// Everything that a planning command needs.
pub(super) struct Inputs {
    /// The library.
    pub library: Library,
    /// The class.
    pub class: ClassPlan,
    /// What was read into an outline without being written just so.
    pub asks: Vec<Ask>,
    /// Words of an outline that were not understood and are left out.
    pub unread: Vec<Problem>,
    /// Mistakes of an outline that could be shown all the same.
    pub wrong: Vec<Problem>,
    /// Who is coming; without a file, one person of whom nothing is known.
    pub roster: Roster,
    /// The cupboard.
    pub stock: PropStock,
    /// What the teacher set.
    pub settings: Settings,
    /// The class's date.
    pub date: Date,
    /// Whether nobody gave a date, so that today is read for it.
    pub date_is_today: bool,
    /// The most shapes at one step.
    pub max_options: u32,
    /// How long the search may take.
    pub limit: Limit,
}

impl Inputs {
    /// The planning task.
    pub(super) fn task(&self) -> Task<'_> {
        Task {
            library: &self.library,
            class: &self.class,
            roster: &self.roster,
            stock: &self.stock,
            settings: &self.settings,
            date: self.date,
            max_options: self.max_options,
            limit: self.limit,
        }
    }
}

/// The built-in library, with a folder's added to it.
///
/// # Errors
/// The problems of its files.
pub(super) fn library(common: &Common) -> Result<Library, Stopped> {
    Ok(match &common.library {
        Some(folder) => Library::with_folder(folder)?,
        None => Library::built_in()?,
    })
}

/// Reads the files of a planning command, and says what was read into an outline.
///
/// # Errors
/// Every problem of every file; also words of an outline that were not understood, as nothing is
/// planned without them.
pub(super) fn inputs(
    class: &Path,
    planning: &Planning,
    common: &Common,
) -> Result<Inputs, Stopped> {
    let inputs = as_read(class, planning, common)?;
    let mut found = inputs.unread.clone();
    found.extend(inputs.wrong.iter().cloned());
    if !found.is_empty() {
        let mut problems = Problems::default();
        problems.extend(found);
        return Err(problems.into());
    }
    let confirm = crate::sheets::understood::to_confirm(&inputs.asks);
    if !confirm.is_empty() {
        output::message(&format!(
            "To confirm, in {}:\n  {}\nAll of it: kindfold check {}\n",
            class.display(),
            confirm.join("\n  "),
            class.display()
        ))?;
    }
    Ok(inputs)
}

/// Reads the files of a planning command, an outline as far as it can be understood.
///
/// # Errors
/// Every problem of every file, when there is one beside those of an outline.
pub(super) fn as_read(
    class: &Path,
    planning: &Planning,
    common: &Common,
) -> Result<Inputs, Stopped> {
    let library = library(common)?;
    let mut problems = Problems::default();
    let text = |path: &Path| read_file(path).map_err(|problem| vec![problem]);
    let class = text(class).and_then(|source| input::reading::read_to_show(source, &library));
    let roster = planning
        .roster
        .as_deref()
        .map(|path| text(path).and_then(|source| input::roster::read(source, &library)));
    let stock = planning
        .props
        .as_deref()
        .map(|path| text(path).and_then(input::props::read));
    let settings = planning
        .settings
        .as_deref()
        .map(|path| text(path).and_then(|source| input::settings::read(source, &library)));
    let class = kept(class, &mut problems);
    let roster = roster.map(|roster| kept(roster, &mut problems));
    let stock = stock.map(|stock| kept(stock, &mut problems));
    let settings = settings.map(|settings| kept(settings, &mut problems));
    let typed = planning
        .date
        .as_deref()
        .map(|text| typed_date("--date", text));
    let typed = match typed.transpose() {
        Ok(typed) => typed,
        Err(stopped) if problems.is_empty() => return Err(stopped),
        Err(_) => None,
    };
    if let Some(reading) = class.as_ref().filter(|_| !problems.is_empty()) {
        problems.extend(reading.wrong.clone());
    }
    let Reading {
        class,
        asks,
        unread,
        wrong,
    } = problems.or(class)?;
    let today = jiff::ZonedDateTime::now().date();
    let written = typed.or(class.date);
    // A list of nobody yet is a room of which nothing is known, as none is.
    let roster = roster
        .flatten()
        .filter(|roster| !roster.students.is_empty());
    let roster = roster.unwrap_or_else(Roster::unknown);
    if written.is_none() {
        not_before(&roster, today)?;
    }
    Ok(Inputs {
        library,
        roster,
        stock: stock.flatten().unwrap_or_default(),
        settings: settings.flatten().unwrap_or_default(),
        date: written.unwrap_or(today),
        date_is_today: written.is_none(),
        max_options: planning.max_options,
        limit: planning.seconds.map_or(Limit::default(), Limit::Seconds),
        class,
        asks,
        unread,
        wrong,
    })
}

/// A day that only the clock gave is not before what the roster holds was true.
///
/// # Errors
/// [`Stopped::Usage`] when it is: then the clock is wrong, and every week counted by it.
fn not_before(roster: &Roster, today: Date) -> Result<(), Stopped> {
    let recorded = roster.students.iter().filter_map(|one| one.recorded);
    match recorded.chain(roster.recorded).max() {
        Some(recorded) if recorded > today => Err(Stopped::Usage(format!(
            "This machine’s clock says {today}, and the roster was recorded on {recorded}: put the clock \
             right, or give the class’s date with --date."
        ))),
        _ => Ok(()),
    }
}

fn kept<T>(read: Result<T, Vec<crate::problem::Problem>>, problems: &mut Problems) -> Option<T> {
    match read {
        Ok(value) => Some(value),
        Err(found) => {
            problems.extend(found);
            None
        }
    }
}

/// A date on the command line: year first, whole.
pub(super) fn typed_date(option: &str, text: &str) -> Result<Date, Stopped> {
    let shaped = text.len() == 10 && text.as_bytes().get(4) == Some(&b'-');
    let day: Option<Date> = text.parse().ok().filter(|_| shaped);
    match day {
        Some(day) if YEARS.contains(&day.year()) => Ok(day),
        Some(_) => Err(Stopped::Usage(format!(
            "{option} {text}: nobody can mean this year. Check it.   [impossible-date]"
        ))),
        None => Err(Stopped::Usage(format!(
            "{option} {text}: write the date year first, as in 2026-11-02.   [date-form]"
        ))),
    }
}

/// What still needs the teacher: questions, shortages, a plan that is not proved.
pub(super) fn needs_teacher(adapted: &Adapted) -> bool {
    !adapted.ask.is_empty()
        || !adapted.short.is_empty()
        || adapted.plan.sit_outs > 0
        || !adapted.plan.proved_optimal
        || !adapted.plan.over_limit_steps.is_empty()
}

/// The student of a name, or of the short name beside it.
///
/// # Errors
/// [`Stopped::Usage`] when nobody or more than one is called so.
pub(super) fn student_named<'a>(
    adapted: &'a Adapted,
    name: &str,
) -> Result<&'a StudentPlan, Stopped> {
    let wanted = input::suggest::fold(name);
    let students = || adapted.students.iter();
    let named: Vec<&StudentPlan> = students()
        .filter(|student| input::suggest::fold(&student.name) == wanted)
        .collect();
    if let [one] = named.as_slice() {
        return Ok(one);
    }
    let short = students().find(|s| s.short_name.to_lowercase() == name.to_lowercase());
    if let Some(student) = short {
        return Ok(student);
    }
    let help = if named.is_empty() {
        let near = input::suggest::nearest(name, students().map(|s| s.name.as_str()));
        near.map_or(String::new(), |near| format!(" Did you mean “{near}”?"))
    } else {
        let short: Vec<&str> = named.iter().map(|s| s.short_name.as_str()).collect();
        format!(" Several are called so: write {}.", short.join(" or "))
    };
    Err(Stopped::Usage(format!(
        "--student: nobody of that name alone is on the roster.{help}   [unknown-student]"
    )))
}
