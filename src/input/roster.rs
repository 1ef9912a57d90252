//! Reads a roster.
//!
//! Takes the text of a file and the library's names; gives a [`Roster`], or every problem. Invariant:
//! no message shows a note, a name or a word about somebody's health except the faulty word itself.

use jiff::civil::Date;
use serde_yaml::Value;

use super::class::unknown_posture;
use super::days;
use super::props::counts;
use super::suggest::{did_you_mean, fold};
use super::table::{Document, Field, Table, WordList};
use super::text::Source;
use crate::library::Library;
use crate::problem::{Code, Problem};
use crate::roster::{
    Access, Approach, Asked, Decline, Fixed, Guidance, Limitation, Preference, Roster, Student,
    Told, ToldSide, Touch, VagueDate, Where,
};
use crate::words::{BodySide, DemandId, LimitationId, PurposeId, StudentId};

/// The longest and the shortest way from a roster's day to a due date, in days (contract, issue:
/// 42 weeks after, 3 weeks before).
const DUE_DAYS: std::ops::RangeInclusive<i64> = -21..=42 * 7;

/// Reads a roster.
///
/// # Errors
/// Every problem of the file.
pub fn read(source: Source, library: &Library) -> Result<Roster, Vec<Problem>> {
    let document = Document::read(source)?;
    let roster = Reader { library }.roster(&document);
    let problems = document.into_problems();
    match roster {
        Some(roster) if problems.is_empty() => Ok(roster),
        _ => Err(problems),
    }
}

struct Reader<'l> {
    library: &'l Library,
}

const TOUCH: WordList<Touch> = WordList {
    noun: "an answer about touch",
    words: &[
        ("yes", Touch::Yes),
        ("ask", Touch::Ask),
        ("no", Touch::No),
        ("not-asked", Touch::NotAsked),
    ],
};

const PLACES: WordList<Where> = WordList {
    noun: "a place",
    words: &[
        ("room", Where::Room),
        ("video", Where::Video),
        ("recording", Where::Recording),
    ],
};

const PREFERENCES: WordList<Preference> = WordList {
    noun: "a way to prefer",
    words: &[
        ("chair", Preference::Chair),
        ("wall", Preference::Wall),
        ("no-floor", Preference::NoFloor),
        ("side-lying", Preference::SideLying),
    ],
};

const APPROACHES: WordList<Approach> = WordList {
    noun: "an approach",
    words: &[
        ("posterior", Approach::Posterior),
        ("anterior", Approach::Anterior),
        ("lateral", Approach::Lateral),
        ("not-known", Approach::NotKnown),
    ],
};

const SIDES: WordList<ToldSide> = WordList {
    noun: "a side",
    words: &[
        ("left", ToldSide::One(BodySide::Left)),
        ("right", ToldSide::One(BodySide::Right)),
        ("both", ToldSide::Both),
    ],
};

impl Reader<'_> {
    fn roster(&self, document: &Document) -> Option<Roster> {
        let mut table = document.root().table()?;
        if table.has("sections") && !table.has("students") {
            table.problem(
                Code::WrongFile,
                "this is a class plan, and a roster is wanted here",
                "Give the class plan first, and the roster after --roster.",
            );
            return None;
        }
        let recorded = table.get("recorded").and_then(|field| days::day(&field));
        let people = table
            .need("students")
            .map(|field| field.entries())
            .unwrap_or_default();
        let mut students: Vec<Student> = people
            .iter()
            .filter_map(|field| self.student(field, recorded))
            .collect();
        table.done();
        number_ids(&mut students);
        Some(Roster { recorded, students })
    }

    fn student(&self, field: &Field<'_>, rosters: Option<Date>) -> Option<Student> {
        let mut table = field.table()?;
        let name: Option<String> = table.required("name");
        let recorded = table
            .get("recorded")
            .and_then(|field| days::day(&field))
            .or(rosters);
        let asked = table
            .get("asked")
            .map_or(Some(Asked::Yes), |field| asked(&field));
        let keep_notes = table.flag("keep_notes", true);
        let told = |table: &mut Table<'_>, key| -> Vec<Told> {
            let fields = table.list(key);
            if !keep_notes {
                for field in &fields {
                    refuse(field);
                }
            }
            fields
                .iter()
                .filter_map(|field| self.told(field, recorded))
                .collect()
        };
        let limitations = told(&mut table, "limitations");
        let today = told(&mut table, "today");
        let guidance = table.list("guidance");
        if !keep_notes {
            guidance.iter().for_each(refuse);
        }
        let student = Student {
            id: StudentId::from(""),
            file_line: table.file_line(),
            asked: asked.unwrap_or(Asked::No),
            limitations,
            recorded,
            today,
            guidance: guidance
                .iter()
                .filter_map(|field| self.guidance(field))
                .collect(),
            aims: table
                .list("aims")
                .iter()
                .filter_map(|field| self.purpose(field))
                .collect(),
            prefers: table
                .list("prefers")
                .iter()
                .filter_map(|f| f.word(&PREFERENCES))
                .collect(),
            declines: table
                .list("declines")
                .iter()
                .filter_map(|f| self.decline(f))
                .collect(),
            fixed: table
                .list("fixed")
                .iter()
                .filter_map(|field| self.fixed(field))
                .collect(),
            access: table.list("access").iter().filter_map(access).collect(),
            touch: table
                .get("touch")
                .map_or(Some(Touch::NotAsked), |f| touch(&f))
                .unwrap_or(Touch::No),
            place: table.word("where", &PLACES).unwrap_or(Where::Room),
            has: counts(table.map("has")),
            confidential: table.flag("confidential", false),
            keep_notes,
            late_min: table
                .get("late")
                .and_then(|field| field.whole(0..=240))
                .unwrap_or(0),
            height_cm: table
                .get("height_cm")
                .and_then(|field| field.whole(100..=230)),
            note: table.optional("note"),
            under_18: table.flag("under_18", false),
            guardian: table.flag("guardian", false),
            over_70: table.flag("over_70", false),
            name: name?,
        };
        table.done();
        Some(student)
    }

    /// Words, or an entry with `what`.
    fn told(&self, field: &Field<'_>, recorded: Option<Date>) -> Option<Told> {
        if !field.is_table() {
            let file_line = field.file_line();
            let text: String = field.read()?;
            // A bare id is as good as an entry.
            return Some(match self.library.limitations.get(text.as_str()) {
                Some(known) => Told::Limitation(bare(known.id.clone(), file_line)),
                None => Told::Words { text, file_line },
            });
        }
        let mut table = field.table()?;
        let what = table.need("what").and_then(|field| self.limitation(&field));
        let pregnant = what
            .as_ref()
            .is_some_and(|what| what.as_str() == "pregnancy");
        let most_weeks = if pregnant {
            days::MOST_WEEKS_PREGNANT
        } else {
            5200
        };
        let limitation = Limitation {
            side: table.word("side", &SIDES),
            severity: table.optional("severity"),
            note: table.optional("note"),
            due: table.get("due").and_then(|field| due(&field, recorded)),
            weeks: table
                .get("weeks")
                .and_then(|field| days::weeks(&field, most_weeks)),
            on: table.get("on").and_then(|field| days::vague_day(&field)),
            site: table.optional("site"),
            approach: table.word("approach", &APPROACHES),
            kind: table
                .get("kind")
                .map(|field| kinds(&field))
                .unwrap_or_default(),
            file_line: table.file_line(),
            what: what?,
        };
        table.done();
        Some(Told::Limitation(limitation))
    }

    fn limitation(&self, field: &Field<'_>) -> Option<LimitationId> {
        let id: String = field.read()?;
        if let Some(known) = self.library.limitations.get(id.as_str()) {
            return Some(known.id.clone());
        }
        let names = self.library.limitations.keys().map(LimitationId::as_str);
        field.problem(
            Code::UnknownLimitation,
            format!(
                "{} is no area, condition or need",
                crate::problem::quoted(&id)
            ),
            did_you_mean(&id, names),
        );
        None
    }

    fn demand(&self, field: &Field<'_>, id: &str) -> Option<DemandId> {
        if let Some(known) = self.library.demands.get(id) {
            return Some(known.id.clone());
        }
        let names = self.library.demands.keys().map(DemandId::as_str);
        field.problem(
            Code::UnknownId,
            format!("no demand is called {}", crate::problem::quoted(id)),
            did_you_mean(id, names),
        );
        None
    }

    fn guidance(&self, field: &Field<'_>) -> Option<Guidance> {
        let mut table = field.table()?;
        let from: Option<String> = table.required("from");
        let mut limits = Vec::new();
        for field in table.list("limits") {
            if !field.is_table() {
                let id: Option<String> = field.read();
                limits.extend(
                    id.and_then(|id| self.demand(&field, &id))
                        .map(|id| (id, None)),
                );
                continue;
            }
            for (id, number) in field.table().map(Table::into_entries).unwrap_or_default() {
                let id = self.demand(&number, &id);
                let number = number.number(-180.0..=1000.0);
                limits.extend(id.map(|id| (id, number)));
            }
        }
        let mut allows = Vec::new();
        for field in table.list("allows") {
            let id: Option<String> = field.read();
            allows.extend(id.and_then(|id| self.demand(&field, &id)));
        }
        let guidance = Guidance {
            on: table.get("on").and_then(|field| days::vague_day(&field)),
            about: table.get("about").and_then(|field| self.limitation(&field)),
            side: table.word("side", &SIDES),
            says: table.optional("says"),
            limits,
            allows,
            cleared: table.flag("cleared", false),
            from: from?,
        };
        table.done();
        Some(guidance)
    }

    fn purpose(&self, field: &Field<'_>) -> Option<PurposeId> {
        let id: PurposeId = field.read()?;
        if self.library.purposes.contains_key(&id) {
            return Some(id);
        }
        let names = self.library.purposes.keys().map(PurposeId::as_str);
        field.problem(
            Code::UnknownId,
            format!(
                "no purpose is called {}",
                crate::problem::quoted(id.as_str())
            ),
            did_you_mean(id.as_str(), names),
        );
        None
    }

    fn decline(&self, field: &Field<'_>) -> Option<Decline> {
        let words: String = field.read()?;
        let posture = self.library.find(&words).map(|posture| posture.id.clone());
        Some(Decline { words, posture })
    }

    fn fixed(&self, field: &Field<'_>) -> Option<Fixed> {
        let mut table = field.table()?;
        let line = table.need("line").and_then(|field| field.whole(1..=1000));
        let posture = table.need("posture").and_then(|field| {
            let name: String = field.read()?;
            let found = self.library.find(&name);
            if found.is_none() {
                unknown_posture(&field, &name, self.library);
            }
            found.map(|posture| posture.id.clone())
        });
        let file_line = table.file_line();
        table.done();
        Some(Fixed {
            line: usize::try_from(line?).unwrap_or(0),
            posture: posture?,
            file_line,
        })
    }
}

/// A health note on somebody who gave no leave to keep one: nothing of it is shown.
fn refuse(field: &Field<'_>) {
    field.hidden_problem(
        Code::NoteWithoutLeave,
        "a health note is kept here on somebody who gave no leave for it",
        "Take the note out, or ask for leave and write “keep_notes: yes”.",
    );
}

fn bare(what: LimitationId, file_line: usize) -> Limitation {
    Limitation {
        what,
        side: None,
        severity: None,
        note: None,
        due: None,
        weeks: None,
        on: None,
        site: None,
        approach: None,
        kind: Vec::new(),
        file_line,
    }
}

/// `yes`, `no` or `declined`; yes and no as words or as YAML's own.
fn asked(field: &Field<'_>) -> Option<Asked> {
    match (field.value(), field.value().as_str()) {
        (Value::Bool(true), _) | (_, Some("yes")) => Some(Asked::Yes),
        (Value::Bool(false), _) | (_, Some("no")) => Some(Asked::No),
        (_, Some("declined")) => Some(Asked::Declined),
        _ => {
            field.problem(
                Code::UnknownWord,
                format!("{} does not say whether they were asked", field.written()),
                "Write yes, no or declined.",
            );
            None
        }
    }
}

fn touch(field: &Field<'_>) -> Option<Touch> {
    match field.value() {
        Value::Bool(true) => Some(Touch::Yes),
        Value::Bool(false) => Some(Touch::No),
        _ => field.word(&TOUCH),
    }
}

fn kinds(field: &Field<'_>) -> Vec<String> {
    if field.is_list() {
        field.read_all()
    } else {
        field.read().into_iter().collect()
    }
}

fn access(field: &Field<'_>) -> Option<Access> {
    let word: String = field.read()?;
    let code = word
        .strip_prefix("speaks")
        .map(|rest| rest.trim_start_matches(':').trim());
    match (word.as_str(), code) {
        ("deaf", _) => Some(Access::Deaf),
        ("hard-of-hearing", _) => Some(Access::HardOfHearing),
        ("blind", _) => Some(Access::Blind),
        ("low-vision", _) => Some(Access::LowVision),
        (_, Some(code)) if (2..=3).contains(&code.len()) => Some(Access::Speaks(code.to_owned())),
        _ => {
            field.problem(
                Code::UnknownWord,
                format!("{} says not what they need to follow", field.written()),
                "Write deaf, hard-of-hearing, blind, low-vision, or “speaks: es”.",
            );
            None
        }
    }
}

/// A due date that can be meant on the day it was told.
fn due(field: &Field<'_>, recorded: Option<Date>) -> Option<VagueDate> {
    let due = days::vague_day(field)?;
    if let Some(recorded) = recorded {
        let days = recorded
            .until(due.earliest)
            .map_or(0, |span| i64::from(span.get_days()));
        let latest = recorded
            .until(due.latest)
            .map_or(0, |span| i64::from(span.get_days()));
        if !DUE_DAYS.contains(&days) && !DUE_DAYS.contains(&latest) {
            field.problem(
                Code::ImpossibleDate,
                format!(
                    "{} is too far from the day this was recorded, {recorded}",
                    field.written()
                ),
                "A due date lies within 42 weeks after it, or 3 before. Check the year.",
            );
            return None;
        }
    }
    Some(due)
}

/// Ids from the names, with a number where a name comes again.
fn number_ids(students: &mut [Student]) {
    let mut seen: Vec<String> = Vec::new();
    for student in students {
        let base = match fold(&student.name) {
            base if base.is_empty() => "person".to_owned(),
            base => base,
        };
        let mut id = base.clone();
        let mut number = 2;
        while seen.contains(&id) {
            id = format!("{base}-{number}");
            number += 1;
        }
        seen.push(id.clone());
        student.id = id.into();
    }
}
