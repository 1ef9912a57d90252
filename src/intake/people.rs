//! What each row of a sheet says of one person.
//!
//! Takes a sheet and what its columns are; gives back people as a roster will hold them. Invariant:
//! blank, never asked, declined and "nothing" stay four answers, and of somebody who gave no leave
//! nothing is kept but a name and what is no health note.

use jiff::civil::Date;

use super::Asked;
use super::access::access;
use super::answers;
use super::asides::{self, Confidence};
use super::columns::Plan;
use super::dates::{self, DayOrder, When};
use super::entries::{self, Cells};
use super::entry::{Ask, Item};
use super::guidance::{self, Said};
use super::headings::Means;
use super::person::{Answer, People, Person};
use super::sheet::{Cell, Row, Sheet};
use super::stamps::Stamps;
use crate::library::Library;
use crate::words::LimitationId;

/// Columns in which anything may be said in words.
const ASIDES: &[Means] = &[
    Means::Words,
    Means::Today,
    Means::Access,
    Means::Note,
    Means::Has,
];

/// Whether an answer about leave to keep notes is a no.
fn refuses(text: &str) -> bool {
    answers::no(text) || asides::gives_no_leave(text)
}

/// Reads everybody.
pub(super) fn read(sheet: &Sheet, plan: &Plan, library: &Library, asked: &Asked<'_>) -> People {
    let rows: Vec<&Row> = sheet.rows.iter().skip(plan.first_row).collect();
    let stamps = Stamps::of(&rows, plan, asked.order);
    let known = asked.recorded.or_else(|| stamps.latest(&rows));
    let recorded = known.unwrap_or(asked.today);
    let reader = Reader {
        plan,
        library,
        order: asked.order,
        stamps: &stamps,
        recorded,
        recorded_is_today: known.is_none(),
    };
    let mut read = People {
        recorded,
        recorded_is_today: known.is_none(),
        notices: stamps.notice.map(str::to_owned).into_iter().collect(),
        people: Vec::with_capacity(rows.len()),
    };
    let mut left_out = 0;
    for row in rows {
        if plan.is_heading_again(row) || is_a_total(row, plan) {
            left_out += 1;
        } else {
            read.people.push(reader.person(row));
        }
    }
    if left_out > 0 {
        let rows = if left_out == 1 {
            "row that is"
        } else {
            "rows that are"
        };
        read.notices.push(format!(
            "{left_out} {rows} a heading or a total again: left out."
        ));
    }
    let silent = read
        .people
        .iter()
        .filter(|person| !person.keep_notes)
        .count();
    if silent > 0 {
        let people = if silent == 1 { "person" } else { "people" };
        read.notices.push(format!(
            "{silent} {people} gave no leave to keep health notes: their words, and notes, were not taken over."
        ));
    }
    ask_about_namesakes(&mut read.people);
    read
}

/// A last row that counts: "Total", "Total: 14".
fn is_a_total(row: &Row, plan: &Plan) -> bool {
    let name = answers::folded_words(&plan.text(row, Means::Name));
    name.split(' ').next() == Some("total")
        && name
            .split(' ')
            .skip(1)
            .all(|word| word.parse::<u32>().is_ok())
}

fn ask_about_namesakes(people: &mut [Person]) {
    let key = |person: &Person| crate::input::suggest::fold(&person.name);
    let mut seen: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for person in people.iter() {
        *seen.entry(key(person)).or_default() += 1;
    }
    for person in people {
        if seen.get(&key(person)).is_some_and(|count| *count > 1) {
            person.ask.push(Ask::new(
                "two rows with one name",
                "is this one person twice, or two of one name? Tell them apart by a letter",
            ));
        }
    }
}

struct Reader<'a> {
    plan: &'a Plan,
    library: &'a Library,
    order: DayOrder,
    stamps: &'a Stamps,
    recorded: Date,
    recorded_is_today: bool,
}

impl Reader<'_> {
    fn person(&self, row: &Row) -> Person {
        let plan = self.plan;
        let recorded = self.stamps.day(row);
        let date = recorded.unwrap_or(self.recorded);
        let mut ask = Vec::new();
        let name = self.name(row, &mut ask);
        let leave = plan
            .cells(row, Means::Leave)
            .find(|cell| !answers::is_blank(&cell.text));
        let says_no = |cell: &Cell| asides::gives_no_leave(&cell.text);
        let withheld = ASIDES
            .iter()
            .any(|means| plan.cells(row, *means).any(says_no));
        let keep_notes = !(withheld || leave.is_some_and(|cell| refuses(&cell.text)));
        let mut person = Person {
            name,
            answer: self.answer(row),
            told: Vec::new(),
            today: Vec::new(),
            recorded: recorded.filter(|day| *day != self.recorded),
            said: Vec::new(),
            touch: None,
            access: Vec::new(),
            place: None,
            keep_notes,
            has: Vec::new(),
            confidential: false,
            late: plan.number(row, Means::Late).filter(|late| *late <= 240),
            height_cm: self.height(row),
            under_18: false,
            over_70: false,
            note: None,
            ask,
        };
        let mut notes: Vec<String> = Vec::new();
        self.touch(row, &mut person, &mut notes);
        self.place(row, &mut person, &mut notes);
        self.age(row, date, &mut person);
        self.asides(row, &mut person);
        if keep_notes {
            self.told(row, date, &mut person);
            self.words_of_notes(row, &mut person, &mut notes);
        } else {
            person.answer = Answer::Declined;
        }
        if leave.is_some_and(|cell| !refuses(&cell.text) && !answers::yes(&cell.text)) {
            person.ask.push(Ask::new(
                "leave to keep notes",
                "may their health notes be kept? The answer is not a plain yes or no",
            ));
        }
        person.note = Some(notes.join("; ")).filter(|note| !note.is_empty());
        let asked = std::mem::take(&mut person.ask);
        for ask in asked {
            if !person.ask.contains(&ask) {
                person.ask.push(ask);
            }
        }
        person
    }

    fn name(&self, row: &Row, ask: &mut Vec<Ask>) -> String {
        let mut parts = vec![
            self.plan.text(row, Means::Name),
            self.plan.text(row, Means::LastName),
        ];
        parts.retain(|part| !answers::is_blank(part));
        let name = parts
            .join(" ")
            .trim_matches(['"', '“', '”'])
            .trim()
            .to_owned();
        if name.is_empty() {
            ask.push(Ask::new(
                "a name",
                "who is this? No name stands in this row",
            ));
            return format!("Row {}", row.number);
        }
        if name.contains(['+', '&'])
            || answers::folded_words(&name)
                .split(' ')
                .any(|word| matches!(word, "guest" | "friend" | "and"))
        {
            ask.push(Ask::new(
                "a second person",
                "booked for more than one? Write the other person on a line of their own",
            ));
        }
        name
    }

    fn answer(&self, row: &Row) -> Answer {
        if self.plan.first(Means::Words).is_none() {
            return Answer::NoColumn;
        }
        let texts = self.plan.words(row, Means::Words, self.library);
        let told = texts.iter().filter(|text| !answers::is_blank(text));
        let mut answer = Answer::Blank;
        for text in told {
            answer = match answer {
                _ if answers::not_asked(text) && answer == Answer::Blank => Answer::NotAsked,
                Answer::Told => Answer::Told,
                _ if answers::declined(text) => Answer::Declined,
                Answer::Declined => Answer::Declined,
                _ if answers::nothing(text) => Answer::Nothing,
                _ => Answer::Told,
            };
        }
        answer
    }

    fn told(&self, row: &Row, date: Date, person: &mut Person) {
        let plan = self.plan;
        let says = |text: &String| {
            !answers::is_blank(text)
                && !answers::nothing(text)
                && !answers::not_asked(text)
                && !answers::declined(text)
        };
        let join = |means| -> String {
            let texts = plan.words(row, means, self.library).into_iter();
            texts.filter(says).collect::<Vec<String>>().join("; ")
        };
        let cell = |means| plan.cells(row, means).next().cloned().unwrap_or_default();
        let side = plan.first(Means::Side).map_or("", |at| row.text(at));
        if answers::side(side).is_some() && entries::is_about_health(side, self.library) {
            person.ask.push(Ask::new(
                "a column of sides that says more",
                format!("“{side}” stands in the column of sides: is it something of its own?"),
            ));
        }
        let cells = Cells {
            words: join(Means::Words),
            side,
            severity: plan.first(Means::Severity).map_or("", |at| row.text(at)),
            when: cell(Means::When),
            due: cell(Means::Due),
            weeks: plan.first(Means::Weeks).map_or("", |at| row.text(at)),
        };
        let told = entries::told(&cells, self.library, self.order, date);
        let words = |item: &Item| matches!(item, Item::Words(_));
        let only_asides = cells.words.is_empty() && told.items.iter().all(words);
        if !(told.items.is_empty() || only_asides && asides_say_nothing(&cells)) {
            person.answer = Answer::Told;
            person.told = told.items;
            person.ask.extend(told.ask);
        }
        let at_the_door = Cells {
            words: join(Means::Today),
            ..Cells::default()
        };
        let today = entries::told(&at_the_door, self.library, self.order, date);
        person.today = today.items;
        person.ask.extend(today.ask);
        person.said = told.said;
        person.said.extend(today.said);
        if told.no_touch || today.no_touch {
            rather_not(person);
        }
        let counted = person
            .told
            .iter()
            .any(|item| matches!(item, Item::Entry(entry) if entry.weeks.is_some()));
        // A day that everybody shares was said for the whole sheet; one of today's is only supposed.
        if counted && person.recorded.is_none() && self.recorded_is_today {
            person.ask.push(Ask::new(
                "the day of an answer in weeks",
                "the weeks count from `recorded`: on which day was this written?",
            ));
        }
        self.guidance(row, person);
    }

    fn guidance(&self, row: &Row, person: &mut Person) {
        let text = self.plan.text(row, Means::Guidance);
        let mut whats: Vec<&LimitationId> = person
            .told
            .iter()
            .filter_map(|item| match item {
                Item::Entry(entry) => Some(&entry.what),
                Item::Words(_) => None,
            })
            .collect();
        whats.dedup();
        let about = match whats.as_slice() {
            [one] => Some((*one).clone()),
            _ => None,
        };
        let lexicon = &self.library.lexicon;
        let said = guidance::said(&text, self.order, lexicon);
        person.said.extend(said.map(|said| Said { about, ..said }));
        for said in &person.said {
            if said.from == guidance::NOT_SAID {
                person.ask.push(Ask::new("who gave a guidance", "who said this: doctor, surgeon, midwife, nurse, physio, clinic or hospital? (from)"));
            }
            if said.on.is_none() {
                person.ask.push(Ask::new(
                    "the day of a guidance",
                    "when did they say it? (on)",
                ));
            }
            let open = lexicon.said(&said.says, said.about.as_ref()).asks;
            person.ask.extend(open.iter().map(|question| {
                let words = format!("“{}”: {question}?", said.says);
                Ask::new("what a guidance means", words)
            }));
        }
    }

    fn touch(&self, row: &Row, person: &mut Person, notes: &mut Vec<String>) {
        let Some(at) = self.plan.first(Means::Touch) else {
            return;
        };
        let text = row.text(at);
        let first = text.split([',', ';', '(', '.']).next().unwrap_or("").trim();
        person.touch = answers::touch(text).or_else(|| answers::touch(first));
        if person.touch.is_none() {
            person.touch = Some("not-asked");
            person.ask.push(Ask::new(
                "touch",
                "may they be touched? The answer is not a plain yes, no or ask",
            ));
        }
        if answers::touch(text).is_none() {
            notes.push(format!("touch: {text}"));
        }
    }

    fn place(&self, row: &Row, person: &mut Person, notes: &mut Vec<String>) {
        let Some(at) = self.plan.first(Means::Place) else {
            return;
        };
        let text = row.text(at);
        person.place = answers::place(text);
        let more = answers::folded_words(text).contains(' ');
        if !answers::is_blank(text) && (more || person.place.is_none()) {
            notes.push(text.to_owned());
        }
        if person.place == Some("video") && self.plan.first(Means::Has).is_none() {
            person.ask.push(Ask::new(
                "props at home",
                "which props do they have at home? (has)",
            ));
        }
    }

    fn age(&self, row: &Row, date: Date, person: &mut Person) {
        let born = self.plan.cells(row, Means::Born).next();
        let born = born.and_then(|cell| match cell.date {
            Some(day) => Some(day),
            None => match dates::only(&cell.text, self.order) {
                Some(When::Day(day)) => Some(day),
                _ => None,
            },
        });
        let years = born.and_then(|born| born.until((jiff::Unit::Year, date)).ok());
        let years = years.map(|span| i64::from(span.get_years())).or_else(|| {
            let text = self.plan.text(row, Means::Age);
            let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
            digits.parse().ok()
        });
        person.under_18 = years.is_some_and(|years| (1..18).contains(&years));
        person.over_70 = years.is_some_and(|years| (70..120).contains(&years));
        if person.under_18 {
            person.ask.push(Ask::new(
                "a guardian’s form",
                "is a guardian’s form in? Then write: guardian: yes",
            ));
        }
    }

    fn height(&self, row: &Row) -> Option<u32> {
        let text = self.plan.text(row, Means::Height);
        let number: String = text.chars().filter(char::is_ascii_digit).collect();
        number.parse().ok().filter(|cm| (100..=230).contains(cm))
    }

    /// What stands among words and notes and has a key of its own. The words stay where they are.
    fn asides(&self, row: &Row, person: &mut Person) {
        for means in ASIDES {
            for cell in self.plan.cells(row, *means) {
                let text = cell.text.as_str();
                match asides::confidence(text) {
                    Some(Confidence::Teacher) => person.confidential = true,
                    Some(Confidence::Doubtful) => person.ask.push(Ask::new(
                        "what stays with the teacher",
                        "is what they told for the teacher alone? Then write: confidential: true",
                    )),
                    None => {}
                }
                person.late = person.late.or_else(|| asides::minutes_late(text));
                person.height_cm = person.height_cm.or_else(|| asides::height_cm(text));
                for (prop, many) in asides::own_props(text) {
                    if !person.has.iter().any(|(known, _)| *known == prop) {
                        person.has.push((prop, many));
                    }
                }
            }
        }
    }

    /// Notes, and what they need to follow. Words of a body in a note are kept there and asked about.
    fn words_of_notes(&self, row: &Row, person: &mut Person, notes: &mut Vec<String>) {
        for means in [Means::Access, Means::Note, Means::Has] {
            for cell in self.plan.cells(row, means) {
                let text = cell.text.as_str();
                if answers::is_blank(text) || answers::nothing(text) {
                    continue;
                }
                for word in access(text) {
                    if !person.access.contains(&word) {
                        person.access.push(word);
                    }
                }
                let kept = if means == Means::Has {
                    format!("props: {text}")
                } else {
                    text.to_owned()
                };
                notes.push(kept);
                if means == Means::Has && person.place == Some("video") {
                    person.ask.push(Ask::new(
                        "props at home",
                        "write their props as has: {block: 1, …}",
                    ));
                }
                if means == Means::Note && entries::is_about_health(text, self.library) {
                    person.ask.push(Ask::new(
                        "a note that may be about health",
                        "the note may be about health: move those words to limitations, or nothing is planned from them",
                    ));
                }
            }
        }
    }
}

/// Their own words outrank the box about touch where they are stricter.
fn rather_not(person: &mut Person) {
    if matches!(person.touch, Some("yes" | "ask")) {
        person.ask.push(Ask::new(
            "touch told in two ways",
            "their words say not to be touched, and the column about touch something else",
        ));
    }
    person.touch = Some("no");
}

/// Whether cells beside blank words say nothing of a body by themselves.
fn asides_say_nothing(cells: &Cells<'_>) -> bool {
    let texts = [
        cells.side,
        cells.severity,
        &cells.when.text,
        &cells.due.text,
        cells.weeks,
    ];
    texts.iter().all(|text| answers::says_nothing(text))
}
