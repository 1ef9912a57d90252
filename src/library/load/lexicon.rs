//! `rules/lexicon.yaml` and the synonyms of the limitations, as one book.

use std::collections::BTreeMap;

use super::Files;
use super::rules::Demands;
use crate::input::roster::told::{self, APPROACHES};
use crate::input::suggest::did_you_mean;
use crate::input::table::{Field, Table};
use crate::lexicon::{Acts, Book, Meaning, Phrase, SideWord, Trap, Way, When};
use crate::library::rule::{Limitation, LimitationKind};
use crate::problem::Code;
use crate::roster::ToldSide;
use crate::words::{BodySide, DemandId, LimitationId, Severity};

type Limitations = BTreeMap<LimitationId, Limitation>;

/// The book of words. A file of one's own replaces the built-in one as a whole.
pub(super) fn book(
    files: &Files,
    demands: &Demands,
    limitations: &Limitations,
    replaced: &mut Vec<String>,
) -> Book {
    let mut reader = Reader {
        book: Book::default(),
        demands,
        limitations,
    };
    if let Some(table) = super::small::table(files, "rules/lexicon.yaml", replaced) {
        reader.file(table);
    }
    reader.synonyms();
    reader.book
}

struct Reader<'l> {
    book: Book,
    demands: &'l Demands,
    limitations: &'l Limitations,
}

/// Words by language.
fn by_language(field: &Field<'_>) -> Vec<(String, Vec<String>)> {
    let Some(table) = field.table() else {
        return Vec::new();
    };
    let entries = table.into_entries().into_iter();
    entries
        .map(|(language, field)| (language, field.read_all()))
        .collect()
}

/// Words whatever the language.
fn words(field: &Field<'_>) -> Vec<String> {
    by_language(field)
        .into_iter()
        .flat_map(|(_, words)| words)
        .collect()
}

fn side(word: &str) -> Option<ToldSide> {
    match word {
        "left" => Some(ToldSide::One(BodySide::Left)),
        "right" => Some(ToldSide::One(BodySide::Right)),
        "both" => Some(ToldSide::Both),
        _ => None,
    }
}

impl Reader<'_> {
    fn file(&mut self, mut table: Table<'_>) {
        if let Some(field) = table.need("capitals") {
            self.book.capitals = field.read_all().into_iter().collect();
        }
        for (key, meaning) in [
            ("clause_words", Meaning::Clause),
            ("negation", Meaning::Negation),
            ("not_understood", Meaning::NotUnderstood),
            ("history", Meaning::History),
            ("ongoing", Meaning::Ongoing),
            ("fine_now", Meaning::FineNow),
            ("fine", Meaning::Fine),
            ("to_come", Meaning::ToCome),
            ("replaced", Meaning::Replaced),
            ("not_yet", Meaning::NotYet),
            ("private", Meaning::Private),
            ("someone_else", Meaning::SomeoneElse),
            ("not_a_limitation", Meaning::NoLimitation),
            ("always_ask", Meaning::AlwaysAsk),
            ("no_touch", Meaning::NoTouch),
        ] {
            if let Some(field) = table.need(key) {
                self.add_all(&field, &meaning);
            }
        }
        self.sides(&mut table, "sides", false);
        self.sides(&mut table, "sides_beside", true);
        self.severities(&mut table);
        if let Some(field) = table.need("nothing_to_tell") {
            self.book.nothing = words(&field)
                .iter()
                .map(|words| Book::keys(words))
                .collect();
        }
        for (key, kept) in [
            ("beside_weeks", &mut self.book.beside_weeks),
            ("doubts", &mut self.book.doubts),
            ("of_today", &mut self.book.of_today),
            ("neither", &mut self.book.neither),
            ("plurals", &mut self.book.plurals),
            ("after_ordinal", &mut self.book.after_ordinal),
            ("turns", &mut self.book.turns),
            ("over", &mut self.book.over),
            ("again", &mut self.book.again),
            ("own", &mut self.book.own),
            ("no_clinician", &mut self.book.no_clinician),
        ] {
            if let Some(field) = table.need(key) {
                let words = words(&field);
                *kept = words.iter().flat_map(|words| Book::keys(words)).collect();
            }
        }
        self.book.never_fine = list(&mut table, "never_fine").into_iter().collect();
        for (word, field) in table.map("approaches") {
            match APPROACHES.words.iter().find(|(known, _)| *known == word) {
                Some((_, approach)) => self.add_all(&field, &Meaning::Approach(*approach)),
                None => unknown(&field, &word, "an approach", APPROACHES.known()),
            }
        }
        if let Some(dates) = table.need("dates").and_then(|field| field.table()) {
            self.dates(dates);
        }
        for field in table.list("traps") {
            if let Some(table) = field.table() {
                self.trap(table);
            }
        }
        for (need, field) in table.map("needs") {
            if let Some(need) = self.limitation(&field, &need) {
                self.add_all(&field, &Meaning::Need(need));
            }
        }
        for (who, field) in table.map("clinicians") {
            self.add_all(&field, &Meaning::Clinician(who));
        }
        for field in table.list("phrases") {
            if let Some(table) = field.table() {
                self.phrase(table);
            }
        }
        if let Some(field) = table.need("plain") {
            let keys = words(&field);
            self.book.plain = keys.iter().flat_map(|words| Book::keys(words)).collect();
        }
        let own_words = list(&mut table, "not_a_slip");
        self.book.not_a_slip = own_words
            .iter()
            .flat_map(|words| Book::keys(words))
            .collect();
        self.book.compound_ends = list(&mut table, "compound_ends");
        self.book.out_of = list(&mut table, "out_of").into_iter().collect();
        table.done();
    }

    fn add_all(&mut self, field: &Field<'_>, meaning: &Meaning) {
        for (language, words) in by_language(field) {
            for words in words {
                self.book.add(&words, Some(&language), meaning.clone());
            }
        }
    }

    fn limitation(&self, field: &Field<'_>, id: &str) -> Option<LimitationId> {
        if let Some(known) = self.limitations.get(id) {
            return Some(known.id.clone());
        }
        unknown(
            field,
            id,
            "a limitation",
            self.limitations.keys().map(LimitationId::as_str),
        );
        None
    }

    fn demand(&self, field: &Field<'_>, id: &str) -> Option<DemandId> {
        if let Some(known) = self.demands.get(id) {
            return Some(known.id.clone());
        }
        unknown(
            field,
            id,
            "a demand",
            self.demands.keys().map(DemandId::as_str),
        );
        None
    }

    fn sides(&mut self, table: &mut Table<'_>, key: &'static str, beside: bool) {
        for (word, field) in table.map(key) {
            let Some(side) = side(&word) else {
                unknown(&field, &word, "a side", ["left", "right", "both"]);
                continue;
            };
            for (language, words) in by_language(&field) {
                let follows = matches!(language.as_str(), "es" | "fr" | "pt" | "it");
                for words in words {
                    let word = SideWord {
                        side,
                        follows,
                        beside,
                    };
                    self.book.add(&words, Some(&language), Meaning::Side(word));
                }
            }
        }
    }

    fn severities(&mut self, table: &mut Table<'_>) {
        for (word, field) in table.map("severity") {
            match Severity::parse(&word) {
                Some(severity) => self.add_all(&field, &Meaning::Severity(severity)),
                None => unknown_severity(&field, &word),
            }
        }
        for (id, field) in table.map("severity_of") {
            let Some(id) = self.limitation(&field, &id) else {
                continue;
            };
            let entries = field.table().map(Table::into_entries).unwrap_or_default();
            for (word, field) in entries {
                let Some(severity) = Severity::parse(&word) else {
                    unknown_severity(&field, &word);
                    continue;
                };
                for words in field.read_all::<String>() {
                    let meaning = Meaning::SeverityOf(id.clone(), severity);
                    self.book.add(&words, None, meaning);
                }
            }
        }
        for field in table.list("scale") {
            let Some(mut table) = field.table() else {
                continue;
            };
            let mut number = |key| table.need(key).and_then(|field| field.whole(0..=10));
            let (from, to) = (number("from"), number("to"));
            let severity = table.required("severity");
            table.done();
            if let (Some(from), Some(to), Some(severity)) = (from, to, severity) {
                self.book.scale.push((from, to, severity));
            }
        }
    }

    fn dates(&mut self, mut table: Table<'_>) {
        let mut named = Vec::new();
        if let Some(field) = table.need("months") {
            named.extend(by_language(&field).into_iter().map(|(_, months)| months));
        }
        named.push(list(&mut table, "months_short"));
        for months in named {
            for (nth, month) in (1..).zip(months) {
                self.book
                    .months
                    .extend(Book::keys(&month).into_iter().map(|key| (key, nth)));
            }
        }
        self.book.months.insert("sept".to_owned(), 9);
        if let Some(field) = table.need("numbers") {
            for (_, numbers) in by_language(&field) {
                for (nth, number) in (1..).zip(numbers) {
                    let keys = Book::keys(&number).into_iter();
                    self.book.numbers.extend(keys.map(|key| (key, nth)));
                }
            }
        }
        for (key, field) in table.map("tens") {
            let Ok(ten) = key.parse::<u32>() else {
                let message = "a number belongs here";
                field.key_problem(Code::UnknownWord, message, "Write it in digits, as in 20.");
                continue;
            };
            self.book.tens.insert(ten);
            let names = words(&field).into_iter();
            let names = names.flat_map(|name| Book::keys(&name));
            self.book.numbers.extend(names.map(|name| (name, ten)));
        }
        for (key, when) in [
            ("to_go", When::ToGo),
            ("overdue", When::Overdue),
            ("days_overdue", When::DaysOverdue),
            ("last_year", When::LastYear),
            ("last_month", When::LastMonth),
            ("weeks_ago", When::WeeksAgo),
            ("months_ago", When::MonthsAgo),
            ("years_ago", When::YearsAgo),
            ("since_birth", When::SinceBirth),
            ("pregnant", When::Pregnant),
            ("bare_weeks", When::BareWeeks),
            ("due", When::Due),
        ] {
            if let Some(field) = table.need(key) {
                self.add_all(&field, &Meaning::When(when));
            }
        }
        for (key, field) in table.map("before_day") {
            let day = key.split_once('-').and_then(|(month, day)| {
                let (month, day) = (month.parse().ok()?, day.parse().ok()?);
                Some(When::DayOfYear { month, day })
            });
            match day {
                Some(when) => self.add_all(&field, &Meaning::When(when)),
                None => field.key_problem(
                    Code::BadDate,
                    "a month and a day belong here",
                    "Write them with a hyphen, as in 12-24.",
                ),
            }
        }
        table.done();
    }

    fn trap(&mut self, mut table: Table<'_>) {
        let words = list(&mut table, "words");
        let near = list(&mut table, "needs_near");
        let question = table.optional("question");
        let alone_is_nothing = table.flag("alone_is_nothing", false);
        let mut sense = |key| {
            let word: Option<(String, Field<'_>)> = table
                .get(key)
                .and_then(|field| Some((field.read()?, field)));
            match word {
                Some((word, _)) if word == "nothing" => (None, true),
                Some((word, _)) if word == "ask" => (None, false),
                Some((word, field)) => (self.limitation(&field, &word), false),
                None => (None, false),
            }
        };
        let (then, nothing) = sense("then");
        let (otherwise, else_nothing) = sense("else");
        table.done();
        let place = self.book.traps.len();
        self.book.traps.push(Trap {
            needs_near: near.iter().map(|words| Book::keys(words)).collect(),
            then,
            nothing,
            else_nothing,
            otherwise,
            question,
            alone_is_nothing,
        });
        for words in words {
            self.book.add(&words, None, Meaning::Trap(place));
        }
    }

    fn phrase(&mut self, mut table: Table<'_>) {
        let says = table.need("says");
        let mut phrase = Phrase {
            ask: table.optional("ask"),
            otherwise_ask: table.optional("else_ask"),
            ..Phrase::default()
        };
        for (_, field) in table.map("by_area") {
            let Some(mut part) = field.table() else {
                continue;
            };
            let areas = part.list("areas");
            let ids = areas.iter().filter_map(|field| {
                let id: String = field.read()?;
                self.limitation(field, &id)
            });
            let ids = ids.collect();
            let acts = self.acts(&mut part);
            part.done();
            phrase.about.push((ids, acts));
        }
        phrase.always = self.acts(&mut table);
        table.done();
        let english = says.iter().flat_map(by_language);
        phrase.english = english
            .filter(|(language, _)| language == "en")
            .find_map(|(_, words)| words.into_iter().next());
        let place = self.book.phrases.len();
        self.book.phrases.push(phrase);
        if let Some(says) = says {
            self.add_all(&says, &Meaning::Phrase(place));
        }
    }

    fn acts(&self, table: &mut Table<'_>) -> Acts {
        let demand = |field: &Field<'_>, id: &str| self.demand(field, id);
        Acts {
            limits: told::limits(table, demand),
            allows: told::allows(table, demand),
            cleared: table.flag("cleared", false),
            rest: table.flag("rest", false),
        }
    }

    /// The words of the limitations themselves.
    fn synonyms(&mut self) {
        let limitations = self.limitations;
        for limitation in limitations.values() {
            self.book.ways.insert(
                limitation.id.clone(),
                Way {
                    kind: limitation.kind,
                    sided: limitation.sided,
                    clock: limitation.clock,
                },
            );
            for (language, words) in &limitation.synonyms {
                for words in words {
                    let meaning = Meaning::Limitation(limitation.id.clone());
                    self.book.add(words, Some(language), meaning);
                }
            }
            for words in limitation.sites.values().flatten() {
                if limitation.kind == LimitationKind::Area {
                    let meaning = Meaning::Site(limitation.id.clone());
                    self.book.add(words, None, meaning);
                }
            }
            for (kind, words) in &limitation.kinds {
                let alone = limitation
                    .rules
                    .iter()
                    .any(|rule| rule.whole_class && rule.kinds.contains(kind));
                for words in words {
                    self.book.add_kind(words, &limitation.id, kind, alone);
                }
            }
        }
    }
}

fn list(table: &mut Table<'_>, key: &'static str) -> Vec<String> {
    table.list(key).iter().filter_map(Field::read).collect()
}

fn unknown<'k>(
    field: &Field<'_>,
    word: &str,
    noun: &str,
    known: impl IntoIterator<Item = &'k str> + Clone,
) {
    let message = format!("“{word}” is not {noun}");
    field.problem(Code::UnknownWord, message, did_you_mean(word, known));
}

fn unknown_severity(field: &Field<'_>, word: &str) {
    unknown(
        field,
        word,
        "a severity",
        Severity::ALL.iter().map(|known| known.as_str()),
    );
}
