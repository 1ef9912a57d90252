//! What an answer comes to once all its clauses are read.

use jiff::civil::Date;

use super::super::book::Meaning;
use super::super::dates::{self, Moment};
use super::{Found, Reader, Unread, targets};
use crate::lexicon::Read;
use crate::library::rule::LimitationKind;
use crate::roster::{Heard, ToldWeeks, VagueDate};
use crate::words::{LimitationId, Severity};

/// Something mended or born so lately that "fine now" does not end it, in days (52 weeks: common
/// practice, no source).
const LATELY_DAYS: i32 = 364;

/// Operations that have rules of their own: "operated" beside them says nothing more.
const OPERATIONS: [&str; 8] = [
    "hip-replacement",
    "knee-replacement",
    "eye-surgery",
    "caesarean",
    "abdominal-surgery",
    "hernia",
    "stoma",
    "device",
];

impl Reader<'_> {
    /// Takes up when something was.
    pub(super) fn take_moment(
        &mut self,
        moment: Moment,
        place: usize,
        begun: usize,
        due: bool,
        ongoing: bool,
    ) {
        let any_year = |month, day| dates::of_any_year(month, day, self.recorded, due);
        match moment {
            Moment::Pregnant(weeks) => self.pregnant(place, Some(weeks), None),
            Moment::SinceBirth(weeks) => self.born(place, weeks),
            Moment::BareWeeks(weeks) => self.bare_weeks(place, begun, weeks),
            Moment::WeeksAgo(weeks) => match self.dated(begun) {
                Some(found) => found.weeks = Some(weeks),
                None => self.lately(begun),
            },
            Moment::LongPast => self.long_past(begun),
            Moment::Year(_) if due => self.ask_which_day(place),
            Moment::Year(year) => {
                let this_year = self.recorded.is_some_and(|day| day.year() == year);
                match self.dated(begun) {
                    Some(_) => self.happened(place, begun, dates::whole_year(year)),
                    None if this_year => self.lately(begun),
                    None if !ongoing => self.long_past(begun),
                    None => {}
                }
            }
            Moment::Day(day) => self.on_day(day, place, begun, due),
            Moment::OfAnyYear { month, day } => match any_year(month, day) {
                Some(day) => self.on_day(day, place, begun, due),
                None => self.ask_which_day(place),
            },
        }
    }

    fn on_day(&mut self, day: VagueDate, place: usize, begun: usize, due: bool) {
        if due {
            self.pregnant(place, None, Some(day));
        } else if self.dated(begun).is_some() {
            self.happened(place, begun, Some(day));
        } else if self
            .recorded
            .is_some_and(|recorded| is_within_a_year(day, recorded))
        {
            self.lately(begun);
        }
    }

    /// A day of an operation or a birth; where two are told it is asked which.
    fn happened(&mut self, place: usize, begun: usize, day: Option<VagueDate>) {
        if self.dated(begun).is_some_and(|found| found.happened(day)) {
            self.ask_which_day(place);
        }
    }

    /// What happened within the last year is not over by being "fine now".
    fn lately(&mut self, begun: usize) {
        for found in targets(&mut self.found, begun) {
            found.lately = true;
        }
    }

    fn ask_which_day(&mut self, place: usize) {
        self.unread.push((place, Some("which day".to_owned())));
    }

    /// What a day belongs to: an operation or a birth of the clause, else the last one said.
    fn dated(&mut self, begun: usize) -> Option<&mut Found> {
        let book = self.book;
        let mine = self
            .found
            .iter()
            .skip(begun)
            .any(|found| found.is_dated(book));
        let alone = begun >= self.found.len();
        let from = if mine { begun } else { 0 };
        (mine || alone)
            .then(|| {
                self.found
                    .iter_mut()
                    .skip(from)
                    .rev()
                    .find(|found| found.is_dated(book))
            })
            .flatten()
    }

    fn long_past(&mut self, begun: usize) {
        for found in self.found.iter_mut().skip(begun) {
            found.history |= found.is_area(self.book);
        }
    }

    /// Weeks of a pregnancy, or its due date.
    pub(super) fn pregnant(
        &mut self,
        place: usize,
        weeks: Option<ToldWeeks>,
        due: Option<VagueDate>,
    ) {
        let id = LimitationId::from("pregnancy");
        let stands = self.found.iter().any(|found| found.id == id);
        if !stands {
            let baby = ["baby", "bump", "midwife"].map(str::to_owned);
            let said = self.clauses.get(place).is_some_and(|clause| {
                clause.spans.iter().any(|span| {
                    span.end - span.start > 2 && span.is(|m| matches!(m, Meaning::When(_)))
                })
            });
            let certain = said
                || baby
                    .iter()
                    .any(|word| self.stands(std::slice::from_ref(word)));
            if due.is_some() && !certain {
                // An invoice falls due as well.
                self.unread.push((place, None));
                return;
            }
            if !certain {
                let question = "read as weeks of a pregnancy; is that meant".to_owned();
                self.unread.push((place, Some(question)));
            }
            let begin = self.clauses.get(place).map_or(0, |clause| clause.start);
            let span = super::Span::empty(begin, begin);
            self.found.push(Found::new(id.clone(), place, &span));
        }
        if let Some(found) = self.found.iter_mut().find(|found| found.id == id) {
            found.weeks = found.weeks.or(weeks);
            found.due = found.due.or(due);
        }
    }

    fn born(&mut self, place: usize, weeks: ToldWeeks) {
        let birth = |found: &Found| matches!(found.id.as_str(), "after-birth" | "caesarean");
        if !self.found.iter().any(birth) {
            let begin = self.clauses.get(place).map_or(0, |clause| clause.start);
            let span = super::Span::empty(begin, begin);
            self.found
                .push(Found::new("after-birth".into(), place, &span));
        }
        for found in self.found.iter_mut().filter(|found| birth(found)) {
            found.weeks = found.weeks.or(Some(weeks));
        }
    }

    /// Weeks with nothing beside them: of a pregnancy that was told, since an operation that was
    /// told, else of nothing; alone in an answer they are most likely a pregnancy, and asked about.
    fn bare_weeks(&mut self, place: usize, begun: usize, weeks: ToldWeeks) {
        let pregnant = |found: &&mut Found| found.id.as_str() == "pregnancy";
        if let Some(found) = self.found.iter_mut().find(pregnant) {
            found.weeks = found.weeks.or(Some(weeks));
        } else if let Some(found) = self.dated(begun) {
            found.weeks = found.weeks.or(Some(weeks));
        } else if self.found.is_empty() && self.clauses.len() == 1 {
            let clause = self.clauses.first().map_or(0, |clause| clause.spans.len());
            if clause == 1 {
                self.pregnant(place, Some(weeks), None);
                return;
            }
        }
        if self.found.is_empty() {
            self.unread.push((place, None));
        }
    }

    /// Puts the answer together.
    pub(super) fn settle(mut self) -> Read {
        if self.lost {
            self.found.retain(|found| found.id.as_str() != "pregnancy");
        }
        self.join_sites();
        self.join_same();
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
        if silent && self.negated {
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

    /// "Operated" and "arthritis" take the area of their clause as their site.
    fn join_sites(&mut self) {
        let book = self.book;
        let mut gone: Vec<usize> = Vec::new();
        let mut added: Vec<Found> = Vec::new();
        for place in 0..self.found.len() {
            let Some(whole) = self.found.get(place).cloned() else {
                continue;
            };
            let operation = whole.id.as_str() == "surgery";
            if !operation && whole.id.as_str() != "arthritis" {
                continue;
            }
            let beside = |found: &Found| found.clause == whole.clause;
            if operation
                && self
                    .found
                    .iter()
                    .any(|found| beside(found) && OPERATIONS.contains(&found.id.as_str()))
            {
                gone.push(place);
                continue;
            }
            let areas: Vec<usize> = (0..self.found.len())
                .filter(|&one| {
                    self.found
                        .get(one)
                        .is_some_and(|found| beside(found) && found.is_area(book))
                })
                .collect();
            for (nth, &one) in areas.iter().enumerate() {
                let Some(area) = self.found.get(one) else {
                    continue;
                };
                let mut joined = whole.clone();
                joined.site = Some(area.id.clone());
                joined.side = area.side.or(whole.side);
                joined.severity = area.severity.max(whole.severity);
                joined.history |= area.history;
                joined.fine |= area.fine;
                gone.push(one);
                if nth == 0 {
                    if let Some(first) = self.found.get_mut(place) {
                        *first = joined;
                    }
                } else {
                    added.push(joined);
                }
            }
        }
        let mut place = 0;
        self.found.retain(|_| {
            place += 1;
            !gone.contains(&(place - 1))
        });
        self.found.extend(added);
    }

    /// One thing said twice is one thing.
    fn join_same(&mut self) {
        let mut kept: Vec<Found> = Vec::new();
        for found in std::mem::take(&mut self.found) {
            let same = |other: &&mut Found| {
                let sides =
                    other.side == found.side || other.side.is_none() || found.side.is_none();
                other.id == found.id && other.site == found.site && sides
            };
            match kept.iter_mut().find(same) {
                Some(known) => {
                    known.side = known.side.or(found.side);
                    known.severity = known.severity.max(found.severity);
                    known.on = known.on.or(found.on);
                    known.due = known.due.or(found.due);
                    known.weeks = known.weeks.or(found.weeks);
                    known.fine &= found.fine;
                    known.lately |= found.lately;
                    known.history &= found.history;
                    for kind in found.kinds {
                        known.add_kind(&kind);
                    }
                }
                None => kept.push(found),
            }
        }
        self.found = kept;
    }

    /// History with "fine now" is a reminder, and without it mild and asked about.
    fn end_what_is_over(&mut self) {
        let text = self.text.trim().to_owned();
        let found = std::mem::take(&mut self.found);
        for mut found in found {
            let never = self.book.never_fine.contains(found.id.as_str())
                || found
                    .kinds
                    .iter()
                    .any(|kind| self.book.never_fine.contains(kind))
                || found.need
                || self.is_late(&found);
            let area = found
                .way(self.book)
                .is_some_and(|way| way.kind != LimitationKind::Need);
            // "Fine now, but kneeling hurts" is not over, nor is a break of last month.
            let lasts = found.lately || found.severity >= Some(Severity::Moderate);
            if found.fine && !never && lasts {
                let question = "is anything of it left";
                self.unread.push((found.clause, Some(question.to_owned())));
            } else if found.fine && !never {
                self.read.heard.push(Heard::Reminder(text.clone()));
                continue;
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
    }

    /// An operation or a birth within a year of the day of writing.
    fn is_late(&self, found: &Found) -> bool {
        if found.weeks.is_some() {
            return true;
        }
        let Some((on, recorded)) = found.on.zip(self.recorded) else {
            return false;
        };
        is_within_a_year(on, recorded)
    }
}

fn is_within_a_year(on: VagueDate, recorded: Date) -> bool {
    on.latest
        .until(recorded)
        .is_ok_and(|span| span.get_days() <= LATELY_DAYS)
}

/// A picture among the words: it means something, and nobody knows what.
fn is_picture(c: char) -> bool {
    matches!(c, '\u{2190}'..='\u{2211}' | '\u{2300}'..='\u{2bff}' | '\u{1f000}'..='\u{1faff}')
}
