//! What an answer comes to once all its clauses are read.

use super::{Reader, Unread};
use crate::lexicon::Read;
use crate::lexicon::book::Meaning;
use crate::library::rule::LimitationKind;
use crate::roster::Heard;
use crate::words::Severity;

use super::found::Found;

/// Something mended or born so lately that "fine now" does not end it, in days (52 weeks: common
/// practice, no source).
const LATELY_DAYS: i32 = 364;

impl Reader<'_> {
    /// Puts the answer together.
    pub(super) fn settle(mut self) -> Read {
        if self.lost {
            let found = std::mem::take(&mut self.found);
            let again = |place: usize| {
                let clause = self.clauses.get(place);
                clause.is_some_and(|clause| self.says_again(clause))
            };
            let kept = found
                .into_iter()
                .filter(|found| found.id.as_str() != "pregnancy" || again(found.clause));
            self.found = kept.collect();
            let pregnant = self
                .found
                .iter()
                .find(|found| found.id.as_str() == "pregnancy");
            if let Some(place) = pregnant.map(|found| found.clause) {
                self.ask(place, "read as pregnant now; ask quietly");
            }
        }
        // "Nothing / wrist"
        if !self.found.is_empty() {
            for place in std::mem::take(&mut self.bare) {
                self.ask(place, "with a “no” in it: which way is it meant");
            }
        }
        self.settle_weeks_to_go();
        self.join_sites();
        self.settle_kinds();
        self.join_same();
        self.take_back_what_is_to_come();
        self.ask_about_torn_times();
        self.end_what_is_over();
        if self.text.contains('?') || self.text.chars().any(is_picture) {
            let question = self
                .unread
                .iter()
                .find_map(|(_, question)| question.clone());
            self.read.unread = vec![Unread {
                text: self.text.trim().to_owned(),
                question,
            }];
        } else {
            self.read.unread = self.gathered();
        }
        let found = std::mem::take(&mut self.found);
        let text = self.text.trim();
        self.read.limitations = found
            .into_iter()
            .map(|found| found.limitation(text))
            .collect();
        let read = &self.read;
        let silent = read.limitations.is_empty()
            && read.guidance.is_empty()
            && read.unread.is_empty()
            && read.heard.is_empty()
            && !read.no_touch;
        let idle = self.idle > 0 && self.idle == self.tokens.len();
        if silent && (self.negated || idle) {
            self.read.nothing = true;
        } else if silent && self.elsewhere {
            self.read.heard.push(Heard::Ask {
                words: text.to_owned(),
                question: "is there anything of their own for today".to_owned(),
            });
        } else if silent {
            self.read.unread.push(Unread {
                text: text.to_owned(),
                question: None,
            });
        }
        self.read
    }

    /// Clauses that were not understood, neighbours together.
    fn gathered(&self) -> Vec<Unread> {
        let mut asked = self.unread.clone();
        asked.sort_by_key(|(place, _)| *place);
        let mut gathered: Vec<(usize, usize, Option<String>)> = Vec::new();
        for (place, question) in asked {
            match gathered.last_mut() {
                Some((_, last, known)) if place == *last => *known = known.take().or(question),
                Some((_, last, None)) if place == *last + 1 && question.is_none() => *last = place,
                _ => gathered.push((place, place, question)),
            }
        }
        gathered
            .into_iter()
            .map(|(first, last, question)| Unread {
                text: self.words_between(first, last),
                question,
            })
            .collect()
    }

    /// Two times that do not go together are asked about.
    fn ask_about_torn_times(&mut self) {
        let torn = self.found.iter().filter(|found| found.torn);
        let torn: Vec<usize> = torn.map(|found| found.clause).collect();
        for place in torn {
            self.ask(place, "two times that do not go together: which is right");
        }
    }

    /// History with "fine now" is a reminder, and without it mild and asked about.
    fn end_what_is_over(&mut self) {
        let found = std::mem::take(&mut self.found);
        let mut over: Vec<usize> = Vec::new();
        let told: Vec<usize> = found
            .iter()
            .chain(&self.denied)
            .filter(|found| !found.need)
            .map(|found| found.clause)
            .collect();
        for mut found in found {
            if found.fine && self.is_taken_back(found.clause, &told) {
                found.fine = false;
                self.ask(found.clause, "is anything the matter with it");
            }
            let never = self.book.never_fine.contains(found.id.as_str())
                || found
                    .kinds
                    .iter()
                    .any(|kind| self.book.never_fine.contains(kind))
                || found.need
                || found.lately
                || found.replaced
                || self.is_late(&found);
            let area = found
                .way(self.book)
                .is_some_and(|way| way.kind != LimitationKind::Need);
            if found.fine && !never {
                over.push(found.clause);
                continue;
            }
            if found.fine && found.lately {
                self.ask(found.clause, "is anything of it left");
            }
            if found.history && !never && area {
                let question = "long ago: is anything of it left";
                self.unread.push((found.clause, Some(question.to_owned())));
                if !found.severity_settled && !found.scaled && !found.is_dated(self.book) {
                    found.severity = Some(Severity::Mild);
                }
            }
            self.found.push(found);
        }
        self.remind_of(over);
    }

    /// Whether a "but" follows of which at most a wish was read: "fine, but I don't kneel".
    fn is_taken_back(&self, clause: usize, told: &[usize]) -> bool {
        let later = (clause + 1..self.clauses.len()).take_while(|place| !told.contains(place));
        let mut later = later.filter_map(|place| self.clauses.get(place));
        later.any(|clause| {
            let first = clause.spans.first();
            first.is_some_and(|span| {
                span.start == clause.start && span.is(|m| *m == Meaning::Clause)
            })
        })
    }

    /// A reminder of what is over: of the whole answer, or of its own words where something else is planned from
    /// the rest.
    fn remind_of(&mut self, over: Vec<usize>) {
        let whole = self.found.is_empty();
        for place in over {
            let words = if whole {
                self.text.trim().to_owned()
            } else {
                self.words_of(place)
            };
            let reminder = Heard::Reminder(words);
            if !self.read.heard.contains(&reminder) {
                self.read.heard.push(reminder);
            }
        }
    }

    /// An operation or a birth within a year of the day of writing.
    fn is_late(&self, found: &Found) -> bool {
        if found.weeks.is_some() {
            return true;
        }
        let Some((on, recorded)) = found.on.zip(self.recorded) else {
            return false;
        };
        on.latest
            .until(recorded)
            .is_ok_and(|span| span.get_days() <= LATELY_DAYS)
    }
}

/// A picture among the words: it means something, and nobody knows what.
fn is_picture(c: char) -> bool {
    matches!(c, '\u{2190}'..='\u{2211}' | '\u{2300}'..='\u{2bff}' | '\u{1f000}'..='\u{1faff}')
}
