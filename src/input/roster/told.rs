//! What a person told: limitations, words, and what their clinician said.

use jiff::civil::Date;

use super::Reader;
use crate::input::days;
use crate::input::suggest::{did_you_mean, nearest};
use crate::input::table::{Field, Hint, Table, WordList};
use crate::library::Library;
use crate::library::rule::LimitationKind;
use crate::problem::{Code, quoted};
use crate::roster::{Approach, Guidance, Heard, Limitation, Told, ToldSide, VagueDate};
use crate::words::{BodySide, DemandId, LimitationId};

/// The longest and the shortest way from a roster's day to a due date, in days (contract, issue:
/// 42 weeks after, 3 weeks before).
pub(crate) const DUE_DAYS: std::ops::RangeInclusive<i64> = -21..=42 * 7;

pub(crate) const APPROACHES: WordList<Approach> = WordList {
    noun: "an approach",
    words: &[
        ("posterior", Approach::Posterior),
        ("anterior", Approach::Anterior),
        ("lateral", Approach::Lateral),
        ("not-known", Approach::NotKnown),
    ],
};

pub(in crate::input) const SIDES: WordList<ToldSide> = WordList {
    noun: "a side",
    words: &[
        ("left", ToldSide::One(BodySide::Left)),
        ("right", ToldSide::One(BodySide::Right)),
        ("both", ToldSide::Both),
    ],
};

/// What a person's own words said beside limitations.
#[derive(Default)]
pub(super) struct Spoken {
    /// What a clinician is said to have said.
    pub guidance: Vec<Guidance>,
    /// Questions, reminders, private notes.
    pub heard: Vec<Heard>,
    /// They would rather not be touched.
    pub no_touch: bool,
    /// Wishes that stand in the note beside something told.
    pub wishes: Vec<Limitation>,
    /// Clinicians' words that stand there.
    pub noted: Vec<Guidance>,
}

impl Spoken {
    /// The wishes of notes after what was told, each once, and none that stands in a line of its own.
    pub(super) fn wishes_beside(&mut self, told: &mut Vec<Told>) {
        for wish in self.wishes.drain(..) {
            let is = |told: &Told| matches!(told, Told::Limitation(one) if one.what == wish.what);
            if !told.iter().any(is) {
                told.push(Told::Limitation(wish));
            }
        }
    }
}

impl Reader<'_> {
    /// Words, or an entry with `what`. A due date is measured from `recorded`; what has happened
    /// happened `by` that day.
    pub(super) fn told(
        &self,
        field: &Field<'_>,
        recorded: Option<Date>,
        by: Option<Date>,
        spoken: &mut Spoken,
    ) -> Vec<Told> {
        let file_line = field.file_line();
        if field.is_table() {
            let entry = self.entry(field, recorded, by);
            if let Some(Told::Limitation(Limitation {
                note: Some(note), ..
            })) = &entry
            {
                self.take_note(note, file_line, spoken);
            }
            return entry.into_iter().collect();
        }
        let Some(text) = field.read::<String>() else {
            return Vec::new();
        };
        // A bare id is as good as an entry.
        if let Some(known) = self.library.limitations.get(text.as_str()) {
            return vec![Told::Limitation(Limitation::bare(
                known.id.clone(),
                file_line,
            ))];
        }
        let read = self.library.lexicon.read(&text, recorded);
        spoken.guidance.extend(read.guidance);
        spoken.heard.extend(read.heard);
        spoken.no_touch |= read.no_touch;
        let limitations = read.limitations.into_iter().map(|limitation| {
            Told::Limitation(Limitation {
                file_line,
                ..limitation
            })
        });
        let unread = read.unread.into_iter().map(|unread| Told::Words {
            text: unread.text,
            question: unread.question,
            file_line,
        });
        limitations.chain(unread).collect()
    }

    /// What a note beside something told keeps away: a wish, “no head down”, or a clinician's words, “surgeon:
    /// no bending”. It counts as in a line of its own; what a note allows opens nothing.
    fn take_note(&self, note: &str, file_line: usize, spoken: &mut Spoken) {
        let read = self.library.lexicon.read(note, None);
        let is_need = |told: &Limitation| {
            let known = self.library.limitations.get(&told.what);
            known.is_some_and(|known| known.kind == LimitationKind::Need)
        };
        let wishes = read.limitations.into_iter().filter(is_need);
        spoken
            .wishes
            .extend(wishes.map(|told| Limitation { file_line, ..told }));
        let said = read.guidance.into_iter();
        spoken
            .noted
            .extend(said.filter(|said| !said.limits.is_empty()));
    }

    /// An entry with `what`.
    fn entry(&self, field: &Field<'_>, recorded: Option<Date>, by: Option<Date>) -> Option<Told> {
        let mut table = field.table()?;
        let what = table.need("what").and_then(|field| self.limitation(&field));
        let pregnant = what
            .as_ref()
            .is_some_and(|what| what.as_str() == "pregnancy");
        let site: Option<String> = table.optional("site");
        let side_of_site = site.as_deref().and_then(|site| self.library.side_of(site));
        let limitation = Limitation {
            side: table.word("side", &SIDES).or(side_of_site),
            severity: table.optional("severity"),
            note: table.optional("note"),
            due: table.get("due").and_then(|field| due(&field, recorded)),
            weeks: table
                .get("weeks")
                .and_then(|field| days::weeks(&field, pregnant)),
            on: table.get("on").and_then(|field| happened(&field, by)),
            site,
            approach: table.word("approach", &APPROACHES),
            kind: table
                .get("kind")
                .map(|field| self.kinds(&field, what.as_ref()))
                .unwrap_or_default(),
            file_line: table.file_line(),
            read: false,
            what: what.clone().unwrap_or_else(|| "".into()),
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
        table.done_with(|key| {
            let spelled = self.spelled(key)?;
            let rest = match key.contains(' ') {
                true => "; or put the whole line in straight quotation marks",
                false => ", with the rest beside it",
            };
            Some(Hint::new(format!("Write “{spelled}”{rest}."), &["what"]))
        });
        what.map(|_| Told::Limitation(limitation))
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
            match self
                .spelled(&id)
                .or_else(|| nearest(&id, names).map(str::to_owned))
            {
                Some(spelled) if spelled.contains(", ") => {
                    format!("Write “{spelled}”, or the words alone, without “what”.")
                }
                Some(spelled) => {
                    format!("Did you mean “{}”?", spelled.trim_start_matches("what: "))
                }
                None => "Write the words alone, without “what”: they are kept for you to ask \
                         about."
                    .to_owned(),
            },
        );
        None
    }

    /// The keys that say what somebody’s words say, if they say one thing.
    fn spelled(&self, words: &str) -> Option<String> {
        let read = self.library.lexicon.read(words, None);
        let [told] = read.limitations.as_slice() else {
            return None;
        };
        let mut parts = vec![format!("what: {}", told.what)];
        parts.extend(told.site.as_ref().map(|site| format!("site: {site}")));
        let side = SIDES
            .words
            .iter()
            .find(|(_, side)| told.side == Some(*side));
        parts.extend(side.map(|(word, _)| format!("side: {word}")));
        parts.extend(
            told.severity
                .map(|severity| format!("severity: {severity}")),
        );
        let weeks = told.weeks.filter(|weeks| weeks.days.is_none());
        parts.extend(weeks.map(|weeks| format!("weeks: {}", weeks.weeks)));
        Some(parts.join(", "))
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

    pub(super) fn guidance(&self, field: &Field<'_>, spoken: &mut Spoken) -> Option<Guidance> {
        let mut table = field.table()?;
        let from = table.required("from").map(|from| self.speaker(from));
        let demand = |field: &Field<'_>, id: &str| self.demand(field, id);
        let limits = limits(&mut table, demand);
        let allows = allows(&mut table, demand);
        let mut guidance = Guidance {
            on: table.get("on").and_then(|field| days::vague_day(&field)),
            about: table.get("about").and_then(|field| self.limitation(&field)),
            side: table.word("side", &SIDES),
            says: table.optional("says"),
            english: Vec::new(),
            limits,
            allows,
            cleared: table.flag("cleared", false),
            rest: false,
            opens: true,
            from: from.clone().unwrap_or_default(),
        };
        table.done();
        guidance.opens = !self.library.lexicon.is_second_hand(&guidance.from);
        self.take_words(&mut guidance, spoken);
        from.map(|_| guidance)
    }

    /// Who said it: before another word for a clinician the one that acts, "doctor (GP)", "physio (kiné)".
    fn speaker(&self, from: String) -> String {
        let acts = |who: &String| {
            let from = from.to_lowercase();
            from.split_whitespace().any(|word| word == who)
        };
        match self.library.lexicon.clinician(&from) {
            Some(who) if !acts(&who) => format!("{who} ({from})"),
            _ => from,
        }
    }

    /// What acts is written, or else read from the words; of the two the stricter acts.
    fn take_words(&self, guidance: &mut Guidance, spoken: &mut Spoken) {
        let Some(words) = &guidance.says else { return };
        let said = self.library.lexicon.said(words, guidance.about.as_ref());
        guidance.english = said.english;
        let written =
            !guidance.limits.is_empty() || !guidance.allows.is_empty() || guidance.cleared;
        if written {
            let limited = |id: &DemandId| said.limits.iter().any(|(limited, _)| limited == id);
            guidance.allows.retain(|id| !limited(id));
            return;
        }
        let words = format!("{}: {words}", guidance.from);
        let asks = said.asks.into_iter().map(|question| Heard::Ask {
            words: words.clone(),
            question,
        });
        spoken.heard.extend(asks);
        guidance.limits = said.limits;
        guidance.allows = said.allows;
        guidance.cleared = said.cleared;
        guidance.rest = said.rest;
        guidance.opens &= !said.not_yet;
    }
}

/// The entries of a list of health notes. Of somebody who gave no leave to keep any, each is a
/// problem, nothing of it is shown, and none is read on.
pub(super) fn notes<'d>(
    table: &mut Table<'d>,
    key: &'static str,
    keep_notes: bool,
) -> Vec<Field<'d>> {
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
    refused.iter().for_each(refuse);
    Vec::new()
}

/// Of somebody who gave no leave: words of any other kind may not speak of their health either.
pub(super) fn refuse_health(field: &Field<'_>, library: &Library) {
    let words: Option<String> = field.read();
    let told = words.map(|words| library.lexicon.read(&words, None));
    if told.is_some_and(|told| !told.limitations.is_empty() || !told.guidance.is_empty()) {
        refuse(field);
    }
}

fn refuse(field: &Field<'_>) {
    field.hidden_problem(
        Code::NoteWithoutLeave,
        "a health note is kept here on somebody who gave no leave for it",
        "Take the note out, or ask for leave and write “keep_notes: yes”.",
    );
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

/// The demands of `limits`: ids, or ids with a number of their own. `demand` knows an id, or says
/// what is wrong with it.
pub(crate) fn limits(
    table: &mut Table<'_>,
    demand: impl Fn(&Field<'_>, &str) -> Option<DemandId>,
) -> Vec<(DemandId, Option<f64>)> {
    let mut limits = Vec::new();
    for field in table.list("limits") {
        if !field.is_table() {
            let id: Option<String> = field.read();
            limits.extend(id.and_then(|id| demand(&field, &id)).map(|id| (id, None)));
            continue;
        }
        for (id, number) in field.table().map(Table::into_entries).unwrap_or_default() {
            let id = demand(&number, &id);
            let number = number.number(-180.0..=1000.0);
            limits.extend(id.map(|id| (id, number)));
        }
    }
    limits
}

/// The demands of `allows`.
pub(crate) fn allows(
    table: &mut Table<'_>,
    demand: impl Fn(&Field<'_>, &str) -> Option<DemandId>,
) -> Vec<DemandId> {
    let mut allows = Vec::new();
    for field in table.list("allows") {
        let id: Option<String> = field.read();
        allows.extend(id.and_then(|id| demand(&field, &id)));
    }
    allows
}
