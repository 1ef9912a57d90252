//! A newer sheet into a roster that the teacher has worked on.
//!
//! Takes the old roster and the people of a sheet; gives back the old text with what is new.
//! Invariant: nothing of the old roster goes: new facts stand beside old ones, what differs is a
//! remark and a question, and only an unknown person who now answered, a newer day on which
//! everything was told again, and a stricter word about touch replace a value.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde_yaml::Value;

use super::answers::folded_words;
use super::edits::Edits;
use super::entry::{Ask, Item};
use super::person::{Answer, People, Person};
use super::same::{same, window_of};
use super::sheet::Sheet;
use super::{write, yaml};
use crate::input::places::{Places, path_of_entry, path_of_key, read_places};
use crate::input::suggest::fold;
use crate::input::text::Source;
use crate::library::Library;
use crate::problem::{Code, Place, Problem};
use crate::roster::{Asked, Guidance, Roster, Student, Told, Touch};

/// A roster as the teacher has it.
#[derive(Debug)]
pub(super) struct Old {
    source: Source,
    places: Places,
    value: Value,
    roster: Roster,
}

/// What merging gave.
#[derive(Debug, Default)]
pub(super) struct Merged {
    pub(super) text: String,
    pub(super) notices: Vec<String>,
    /// Whom to ask about what.
    pub(super) ask: Vec<(String, &'static str)>,
}

impl Old {
    /// Reads it.
    ///
    /// # Errors
    /// Every problem of the roster; one whose people stand in brackets.
    pub(super) fn read(source: Source, library: &Library) -> Result<Self, Vec<Problem>> {
        let roster = crate::input::roster::read(source.clone(), library)?;
        let (places, problems) = read_places(&source);
        let value = serde_yaml::from_str(source.text());
        let (Ok(value), true) = (value, problems.is_empty()) else {
            return Err(problems);
        };
        let old = Self {
            source,
            places,
            value,
            roster,
        };
        if Edits::of(&old.source, &old.places).in_brackets("students") {
            return Err(vec![Problem::new(
                Code::WrongType,
                Place::file(old.source.name()),
                "the people of this roster stand in brackets, where no remark can be put beside them",
                "Write each person on lines of their own after “- ”, or make a new roster.",
            )]);
        }
        Ok(old)
    }

    fn person(&self, at: usize) -> Option<&Value> {
        self.value.get("students")?.get(at)
    }
}

/// The old text with what is new in it.
pub(super) fn merged(old: &Old, sheet: &Sheet, read: &People) -> Merged {
    let mut merger = Merger {
        old,
        read,
        edits: Edits::of(&old.source, &old.places),
        out: Merged::default(),
    };
    let mut changed = 0;
    let mut added = String::new();
    let mut new = 0;
    let indent = merger.edits.indent_of_dashes("students");
    let mut old_at: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, student) in old.roster.students.iter().enumerate() {
        old_at.entry(fold(&student.name)).or_default().push(at);
    }
    let mut new_of: BTreeMap<String, usize> = BTreeMap::new();
    for person in &read.people {
        *new_of.entry(fold(&person.name)).or_default() += 1;
    }
    for person in &read.people {
        let key = fold(&person.name);
        let places = old_at.get(&key).map_or(&[][..], Vec::as_slice);
        match places {
            [at] if new_of.get(&key) == Some(&1) => {
                changed += usize::from(merger.known(*at, person));
            }
            places => {
                let mut person = person.clone();
                if !places.is_empty() {
                    person.ask.push(Ask::new(
                        "a name that is on the roster already",
                        "somebody of this name is on the roster: the same person? Then join the two",
                    ));
                }
                new += 1;
                if person.recorded.is_none() && old.roster.recorded != Some(read.recorded) {
                    person.recorded = Some(read.recorded);
                }
                merger.out.ask.extend(
                    person
                        .ask
                        .iter()
                        .map(|ask| (person.name.clone(), ask.about)),
                );
                added.push_str(&write::student(&person, &indent));
            }
        }
    }
    if !added.is_empty() {
        merger.edits.add_after_list("students", &added);
    }
    let gone = old_at
        .iter()
        .filter(|(name, _)| !new_of.contains_key(*name));
    let missing: usize = gone.map(|(_, places)| places.len()).sum();
    let file = sheet.name.rsplit(['/', '\\']).next().unwrap_or(&sheet.name);
    let sums = format!(
        "{new} new, {changed} with something new or different, {missing} not on that sheet and left as they were"
    );
    if new + changed > 0 {
        merger.edits.add_first(&format!(
            "# Merged with {} of {}: {sums}.",
            yaml::remark(file),
            read.recorded
        ));
    }
    merger.out.notices.push(format!("Merged: {sums}."));
    let Merger { edits, mut out, .. } = merger;
    out.text = edits.applied();
    out
}

struct Merger<'a> {
    old: &'a Old,
    read: &'a People,
    edits: Edits<'a>,
    out: Merged,
}

impl Merger<'_> {
    /// Somebody who is on the roster: gives back whether anything changed.
    fn known(&mut self, at: usize, new: &Person) -> bool {
        let (Some(student), Some(value)) = (self.old.roster.students.get(at), self.old.person(at))
        else {
            return false;
        };
        let mut change = Change {
            path: path_of_entry("students", at),
            student,
            value,
            date: new.recorded.unwrap_or(self.read.recorded),
            edits: &mut self.edits,
            remarks: Vec::new(),
            ask: Vec::new(),
            touched: false,
        };
        change.health(new);
        change.scalars(new);
        let Change {
            path,
            remarks,
            ask,
            touched,
            ..
        } = change;
        for remark in &remarks {
            self.edits.remark_above(&path, remark);
        }
        self.out
            .ask
            .extend(ask.iter().map(|about| (new.name.clone(), *about)));
        touched || !remarks.is_empty()
    }
}

/// The changes to one person.
struct Change<'a, 'e, 's> {
    path: String,
    student: &'a Student,
    value: &'a Value,
    /// The day of the newer answers.
    date: Date,
    edits: &'e mut Edits<'s>,
    remarks: Vec<String>,
    ask: Vec<&'static str>,
    touched: bool,
}

impl Change<'_, '_, '_> {
    fn has(&self, key: &str) -> bool {
        self.value.get(key).is_some()
    }

    fn at(&self, key: &str) -> String {
        path_of_key(&self.path, key)
    }

    fn remark(&mut self, about: &'static str, words: &str) {
        self.remarks.push(format!(
            "ask: the newer sheet ({}) {}",
            self.date,
            yaml::remark(words)
        ));
        self.ask.push(about);
    }

    fn set(&mut self, key: &str, value: &str) {
        if self.has(key) {
            self.edits.replace(&self.at(key), value, OWN_REMARKS);
        } else {
            let path = self.path.clone();
            self.edits.add_key(&path, "name", key, value, &[]);
        }
        self.touched = true;
    }

    fn add(&mut self, key: &str, items: &[String]) {
        if items.is_empty() {
            return;
        }
        match self.value.get(key) {
            Some(list) => {
                let is_empty = list.as_sequence().is_some_and(Vec::is_empty);
                let path = self.at(key);
                self.edits.add_to_list(&path, items, is_empty, OWN_REMARKS);
            }
            None => {
                let path = self.path.clone();
                self.edits.add_key(&path, "name", key, "", items);
            }
        }
        self.touched = true;
    }

    fn health(&mut self, new: &Person) {
        let student = self.student;
        if !new.keep_notes {
            if student.keep_notes {
                self.remark(
                    "leave withdrawn",
                    "gives no leave to keep health notes: take theirs out here and write keep_notes: no",
                );
            }
            return;
        }
        let tells = matches!(new.answer, Answer::Told);
        if !student.keep_notes {
            if tells || !new.said.is_empty() {
                self.remark(
                    "leave to keep notes",
                    "tells something, and here they gave no leave: ask, then enter it by hand",
                );
            }
            return;
        }
        match (student.asked, new.answer) {
            (Asked::Yes, Answer::Declined) => {
                self.remark(
                    "a different answer",
                    "says: rather not say. Ask whether the notes here may stay",
                );
            }
            (Asked::Yes, Answer::Nothing) if !student.limitations.is_empty() => {
                self.remark(
                    "a different answer",
                    "says: nothing to tell. Ask whether this here is over",
                );
            }
            (Asked::No | Asked::Blank | Asked::Declined, Answer::Told | Answer::Nothing) => {
                self.set("asked", "yes");
                if new.answer == Answer::Nothing && !self.has("limitations") {
                    self.set("limitations", "[]");
                }
            }
            (Asked::No | Asked::Blank, Answer::Declined) => self.set("asked", "declined"),
            (Asked::No, Answer::Blank) => self.set("asked", "blank"),
            _ => {}
        }
        self.told(new);
        self.today(new);
        for said in &new.said {
            let words = folded_words(&said.says);
            let known = |guidance: &Guidance| {
                let says = guidance.says.as_ref();
                says.is_some_and(|says| folded_words(says) == words)
            };
            if !student.guidance.iter().any(known) {
                self.add("guidance", &[write::guidance(said)]);
            }
        }
    }

    fn told(&mut self, new: &Person) {
        if !matches!(new.answer, Answer::Told | Answer::Nothing) {
            return;
        }
        let student = self.student;
        let then = student.recorded;
        // Words are compared as they are written: the reader may have made more of them.
        let written = |item: &Item| match (item, self.value.get("limitations")) {
            (Item::Words(words), Some(Value::Sequence(list))) => list
                .iter()
                .filter_map(Value::as_str)
                .any(|text| folded_words(text) == folded_words(words)),
            _ => false,
        };
        let fresh: Vec<&Item> = new
            .told
            .iter()
            .filter(|item| {
                let told = &student.limitations;
                !written(item) && !told.iter().any(|told| same(told, item, then, self.date))
            })
            .collect();
        let again = |told: &Told| {
            new.told
                .iter()
                .any(|item| same(told, item, then, self.date))
        };
        let all_again = student.limitations.iter().all(again);
        for item in &fresh {
            if let Item::Entry(entry) = item
                && student
                    .limitations
                    .iter()
                    .any(|told| matches!(told, Told::Limitation(l) if l.what == entry.what))
            {
                self.remark(
                    "something told differently",
                    "tells one thing differently: both stand below until you take one out",
                );
            }
        }
        // Weeks count from the person's day, so where that stays the old one they become a date.
        let moves = all_again
            && then.is_none_or(|then| self.date > then)
            && !student
                .limitations
                .iter()
                .any(|told| matches!(told, Told::Limitation(l) if l.weeks.is_some()));
        let items: Vec<String> = fresh.iter().map(|item| self.dated(item, moves)).collect();
        self.add("limitations", &items);
        if !fresh.is_empty() {
            let text = |ask: &Ask| format!("ask: {}", yaml::remark(&ask.words));
            self.remarks.extend(new.ask.iter().map(text));
            self.ask.extend(new.ask.iter().map(|ask| ask.about));
        }
        let restated = !new.told.is_empty() || student.limitations.is_empty();
        if moves && restated && then != Some(self.date) {
            let day = self.date.to_string();
            self.set("recorded", &day);
        }
    }

    /// An item as it is written into the old entry.
    fn dated(&self, item: &Item, moves: bool) -> String {
        let Item::Entry(entry) = item else {
            return item.as_yaml();
        };
        let mut entry = entry.clone();
        if let Some(weeks) = entry.weeks.clone()
            && !moves
            && let Some(window) = window_of(&entry, self.date)
        {
            entry.weeks = None;
            if entry.what.as_str() == "pregnancy" {
                entry.due = Some(window.earliest.to_string());
            } else {
                entry.on = Some(window.latest.to_string());
            }
            let told = format!("{weeks} weeks on {}", self.date);
            entry.note = Some(
                entry
                    .note
                    .map_or(told.clone(), |note| format!("{note} ({told})")),
            );
        }
        Item::Entry(entry).as_yaml()
    }

    fn today(&mut self, new: &Person) {
        let known = |item: &&Item| {
            !self
                .student
                .today
                .iter()
                .any(|told| same(told, item, None, self.date))
        };
        let items: Vec<String> = new.today.iter().filter(known).map(Item::as_yaml).collect();
        self.add("today", &items);
    }

    /// Keys with one value: added where they are missing, asked about where they differ.
    fn scalars(&mut self, new: &Person) {
        for (key, value) in write::scalars(new) {
            match key {
                "touch" if !self.has(key) && value == "not-asked" => {}
                _ if !self.has(key) => self.set(key, &value),
                "access" => {
                    let written: Vec<String> = self
                        .value
                        .get("access")
                        .and_then(Value::as_sequence)
                        .map(|list| {
                            list.iter()
                                .filter_map(Value::as_str)
                                .map(str::to_owned)
                                .collect()
                        })
                        .unwrap_or_default();
                    let more = new.access.iter().filter(|word| !written.contains(word));
                    let more: Vec<String> = more.map(|word| yaml::text(word)).collect();
                    self.add("access", &more);
                }
                "touch" => self.touch(new),
                "note" => {
                    let written = self.student.note.as_deref().unwrap_or("");
                    let note = new.note.as_deref().unwrap_or("");
                    if !folded_words(written).contains(&folded_words(note)) {
                        self.remark("a different note", &format!("notes: {note}"));
                    }
                }
                "confidential" if self.value.get(key).and_then(Value::as_bool) == Some(false) => {
                    let says = "says that it was told to the teacher alone: confidential?";
                    self.remark("what stays with the teacher", says);
                }
                "where" if self.value.get(key).and_then(Value::as_str) != Some(&value) => {
                    self.remark("a different place", &format!("says where: {value}"));
                }
                _ => {}
            }
        }
    }

    /// The stricter word about touch stands at once: it can be taken back on any day.
    fn touch(&mut self, new: &Person) {
        let strictness = |touch: &str| match touch {
            "yes" => Some(0),
            "ask" => Some(1),
            "no" => Some(2),
            _ => None,
        };
        let written = match self.student.touch {
            Touch::Yes => "yes",
            Touch::Ask => "ask",
            Touch::No => "no",
            Touch::NotAsked => "not-asked",
        };
        let Some(told) = new.touch.filter(|touch| strictness(touch).is_some()) else {
            return;
        };
        if told == written {
            return;
        }
        if strictness(told) > strictness(written) {
            self.set("touch", told);
            self.remarks.push(format!(
                "touch was {written} before the sheet of {}",
                self.date
            ));
        } else {
            self.remark(
                "a different answer about touch",
                &format!("says touch: {told}"),
            );
        }
    }
}

/// Remarks that this program writes after a value and that go when the value does.
const OWN_REMARKS: &[&str] = &[
    "asked, and nothing to tell",
    "left blank on the sheet: unknown, never “nothing”",
    "the sheet says: not asked",
    "no column of the sheet asks",
    "would rather not say",
];
