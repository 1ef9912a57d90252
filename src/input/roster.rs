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
use crate::problem::{Code, Problem, quoted};
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
        let limitations = notes(&mut table, "limitations", keep_notes);
        let today = notes(&mut table, "today", keep_notes);
        let guidance = notes(&mut table, "guidance", keep_notes);
        let told = |fields: &[Field<'_>], by: Option<Date>| -> Vec<Told> {
            let told = fields
                .iter()
                .filter_map(|field| self.told(field, recorded, by));
            told.collect()
        };
        let student = Student {
            id: StudentId::from(""),
            file_line: table.file_line(),
            asked: asked.unwrap_or(Asked::No),
            // What was said at the door is younger than the form: its days may lie after it.
            limitations: told(&limitations, recorded),
            recorded,
            today: told(&today, None),
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

    /// Words, or an entry with `what`. A due date is measured from `recorded`; what has happened
    /// happened `by` that day.
    fn told(&self, field: &Field<'_>, recorded: Option<Date>, by: Option<Date>) -> Option<Told> {
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
            on: table.get("on").and_then(|field| happened(&field, by)),
            site: table.optional("site"),
            approach: table.word("approach", &APPROACHES),
            kind: table
                .get("kind")
                .map(|field| self.kinds(&field, what.as_ref()))
                .unwrap_or_default(),
            file_line: table.file_line(),
            what: what?,
        };
        if let Some(both) = [("due", "weeks"), ("on", "weeks")]
            .iter()
            .find(|(one, other)| table.has(one) && table.has(other))
        {
            table.problem_at_key(
                both.1,
                Code::ClashingKeys,
                format!("“{}” and “{}” say the same thing twice", both.0, both.1),
                format!("Keep “{}”, which stays true as time goes on.", both.0),
            );
        }
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
            format!("{} is no area, condition or need", quoted(&id)),
            did_you_mean(&id, names),
        );
        None
    }

    /// Words that refine a limitation: those that the library lists for it.
    fn kinds(&self, field: &Field<'_>, what: Option<&LimitationId>) -> Vec<String> {
        let fields = if field.is_list() {
            field.entries()
        } else {
            vec![field.clone()]
        };
        let known = what.and_then(|what| self.library.limitations.get(what));
        let mut kinds = Vec::new();
        for field in fields {
            let Some(word) = field.read::<String>() else {
                continue;
            };
            if let Some(limitation) = known
                && !limitation.kinds.contains_key(&word)
            {
                let (help, words) = match limitation.kinds.len() {
                    0 => (
                        "Take “kind” out and write it as a note.".to_owned(),
                        "no kinds",
                    ),
                    _ => {
                        let words = limitation.kinds.keys().map(String::as_str);
                        (did_you_mean(&word, words), "other kinds")
                    }
                };
                field.problem(
                    Code::UnknownWord,
                    format!(
                        "{} is no kind here; {} has {words}",
                        quoted(&word),
                        limitation.id
                    ),
                    help,
                );
                continue;
            }
            kinds.push(word);
        }
        kinds
    }

    fn demand(&self, field: &Field<'_>, id: &str) -> Option<DemandId> {
        if let Some(known) = self.library.demands.get(id) {
            return Some(known.id.clone());
        }
        let names = self.library.demands.keys().map(DemandId::as_str);
        field.problem(
            Code::UnknownId,
            format!("no demand is called {}", quoted(id)),
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
            format!("no purpose is called {}", quoted(id.as_str())),
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

/// The entries of a list of health notes. Of somebody who gave no leave to keep any, each is a
/// problem, nothing of it is shown, and none is read on.
fn notes<'d>(table: &mut Table<'d>, key: &'static str, keep_notes: bool) -> Vec<Field<'d>> {
    if keep_notes {
        return table.list(key);
    }
    let Some(field) = table.get(key) else {
        return Vec::new();
    };
    let refused = if field.is_list() {
        field.entries()
    } else {
        vec![field]
    };
    for field in &refused {
        field.hidden_problem(
            Code::NoteWithoutLeave,
            "a health note is kept here on somebody who gave no leave for it",
            "Take the note out, or ask for leave and write “keep_notes: yes”.",
        );
    }
    Vec::new()
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
                format!(
                    "{} does not say whether they were asked",
                    quoted(field.written())
                ),
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

/// Deaf, hard-of-hearing, blind, low-vision, or `speaks: es`, with or without quotation marks.
fn access(field: &Field<'_>) -> Option<Access> {
    let word: String = if field.is_table() {
        let mut table = field.table()?;
        let code: Option<String> = table.required("speaks");
        table.done();
        format!("speaks: {}", code?)
    } else {
        field.read()?
    };
    let code = word
        .strip_prefix("speaks")
        .map(|rest| rest.trim_start_matches(':').trim());
    match (word.as_str(), code) {
        ("deaf", _) => Some(Access::Deaf),
        ("hard-of-hearing", _) => Some(Access::HardOfHearing),
        ("blind", _) => Some(Access::Blind),
        ("low-vision", _) => Some(Access::LowVision),
        (_, Some(code)) if is_language(code) => Some(Access::Speaks(code.to_owned())),
        _ => {
            field.problem(
                Code::UnknownWord,
                format!(
                    "{} says not what they need to follow",
                    quoted(field.written())
                ),
                "Write deaf, hard-of-hearing, blind, low-vision, or “speaks: es”.",
            );
            None
        }
    }
}

/// Whether a text has the form of a language code: two or three small letters (ISO 639).
fn is_language(code: &str) -> bool {
    (2..=3).contains(&code.len()) && code.chars().all(|c| c.is_ascii_lowercase())
}

/// The day of an operation, a birth or a scan: not after the day it was told.
fn happened(field: &Field<'_>, by: Option<Date>) -> Option<VagueDate> {
    let day = days::vague_day(field)?;
    match by {
        Some(by) if day.earliest > by => {
            field.problem(
                Code::ImpossibleDate,
                format!(
                    "{} lies after {by}, the day this was recorded",
                    quoted(field.written())
                ),
                "Check the year. If it was told later, write it under “today”.",
            );
            None
        }
        _ => Some(day),
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
                    quoted(field.written())
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
