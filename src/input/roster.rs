//! Reads a roster.
//!
//! Takes the text of a file and the library's names; gives a [`Roster`], or every problem. Invariant:
//! no message shows a note, a name or a word about somebody's health except the faulty word itself.

use jiff::civil::Date;
use serde_yaml::Value;

use super::class::unknown_posture;
use super::days;
use super::kind::{FileKind, root};
use super::props::counts;
use super::suggest::{did_you_mean, fold, key_meant};
use super::table::{Document, Field, Hint, WordList};
use super::text::Source;
use crate::library::Library;
use crate::problem::{Code, Problem, quoted};
use crate::roster::{
    Access, Asked, Decline, Fixed, Guidance, Preference, Roster, Student, Told, Touch, Where,
};
use crate::words::{PurposeId, StudentId};
use told::{Spoken, notes, refuse_health};

pub(crate) mod told;

/// What is said where a roster has no people.
const STUDENTS: &str = "Add “students:” and the people below it; “kindfold new roster” shows how.";

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

pub(super) const TOUCH: WordList<Touch> = WordList {
    noun: "an answer about touch",
    words: &[
        ("yes", Touch::Yes),
        ("ask", Touch::Ask),
        ("no", Touch::No),
        ("not-asked", Touch::NotAsked),
    ],
};

pub(super) const PLACES: WordList<Where> = WordList {
    noun: "a place",
    words: &[
        ("room", Where::Room),
        ("video", Where::Video),
        ("recording", Where::Recording),
    ],
};

pub(crate) const PREFERENCES: WordList<Preference> = WordList {
    noun: "a way to prefer",
    words: &[
        ("chair", Preference::Chair),
        ("wall", Preference::Wall),
        ("no-floor", Preference::NoFloor),
        ("side-lying", Preference::SideLying),
    ],
};

/// What a key means that does not stand beside a name.
fn hint(key: &str, no_name: bool) -> Option<Hint> {
    let of_a_limitation = [
        "what", "side", "severity", "due", "weeks", "on", "site", "approach", "kind",
    ];
    let folded = fold(key);
    if let Some(own) = of_a_limitation.into_iter().find(|own| *own == folded) {
        let example = match own {
            "what" => "what: knee".to_owned(),
            "due" | "weeks" => format!("what: pregnancy, {own}: …"),
            own => format!("what: knee, {own}: …"),
        };
        return Some(Hint::new(
            format!("It goes with what they told: under “limitations:” write “- {{{example}}}”."),
            &[],
        ));
    }
    if matches!(folded.as_str(), "age" | "born" | "birthday" | "dob") {
        return Some(Hint::new(
            "Take it out; of ages only “under_18: yes” and “over_70: yes” count.",
            &[],
        ));
    }
    no_name.then(|| {
        Hint::new(
            format!(
                "If this is who it is, write “- name: {}”, and what they told under “limitations:” \
                 below it.",
                key.trim()
            ),
            &["name"],
        )
    })
    .filter(|_| key_meant(key, &["name", "limitations", "note", "touch"]).is_none())
}

impl Reader<'_> {
    fn roster(&self, document: &Document) -> Option<Roster> {
        let mut table = root(document, FileKind::Roster)?;
        let recorded = table.get("recorded").and_then(|field| days::day(&field));
        let people = table
            .need_as("students", STUDENTS)
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
        let mut spoken = Spoken::default();
        let mut told = |fields: &[Field<'_>], by: Option<Date>| -> Vec<Told> {
            let told = fields
                .iter()
                .flat_map(|field| self.told(field, recorded, by, &mut spoken));
            let mut told: Vec<Told> = told.collect();
            spoken.wishes_beside(&mut told);
            told
        };
        // What was said at the door is younger than the form: its days may lie after it.
        let limitations = told(&limitations, recorded);
        let today = told(&today, None);
        let mut said: Vec<Guidance> = guidance
            .iter()
            .filter_map(|field| self.guidance(field, &mut spoken))
            .collect();
        said.append(&mut spoken.guidance);
        // What a note says again of whom an entry speaks stands in the entry.
        let noted = std::mem::take(&mut spoken.noted).into_iter();
        let noted: Vec<Guidance> = noted
            .filter(|noted| said.iter().all(|said| said.from != noted.from))
            .collect();
        said.extend(noted);
        let declined = table.list("declines");
        let note = table.get("note");
        if !keep_notes {
            for field in declined.iter().chain(&note) {
                refuse_health(field, self.library);
            }
        }
        let untold = if spoken.no_touch {
            Touch::No
        } else {
            Touch::NotAsked
        };
        let student = Student {
            id: StudentId::from(""),
            file_line: table.file_line(),
            asked: asked.unwrap_or(Asked::No),
            limitations,
            recorded,
            today,
            heard: spoken.heard,
            guidance: said,
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
            declines: declined.iter().filter_map(|f| self.decline(f)).collect(),
            fixed: table
                .list("fixed")
                .iter()
                .filter_map(|field| self.fixed(field))
                .collect(),
            access: table.list("access").iter().filter_map(access).collect(),
            touch: table
                .get("touch")
                .map_or(Some(untold), |f| touch(&f))
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
            note: note.and_then(|field| field.read()),
            under_18: table.flag("under_18", false),
            guardian: table.flag("guardian", false),
            over_70: table.flag("over_70", false),
            name: name.clone().unwrap_or_default(),
        };
        table.done_with(|key| hint(key, name.is_none()));
        name.map(|_| student)
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

/// `yes`, `no`, `blank` or `declined`; yes and no as words or as YAML's own.
fn asked(field: &Field<'_>) -> Option<Asked> {
    match (field.value(), field.value().as_str()) {
        (Value::Bool(true), _) | (_, Some("yes")) => Some(Asked::Yes),
        (Value::Bool(false), _) | (_, Some("no")) => Some(Asked::No),
        (_, Some("blank")) => Some(Asked::Blank),
        (_, Some("declined")) => Some(Asked::Declined),
        _ => {
            field.problem(
                Code::UnknownWord,
                format!(
                    "{} does not say whether they were asked",
                    quoted(field.written())
                ),
                "Write yes, no, blank or declined.",
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
                    "{} is no known need for hearing, seeing or understanding",
                    quoted(field.written())
                ),
                "Write deaf, hard-of-hearing, blind, low-vision, or speaks and a language code: \"speaks: es\".",
            );
            None
        }
    }
}

/// Whether a text has the form of a language code: two or three small letters (ISO 639).
fn is_language(code: &str) -> bool {
    (2..=3).contains(&code.len()) && code.chars().all(|c| c.is_ascii_lowercase())
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
