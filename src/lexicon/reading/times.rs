//! When things were, are due, or are still to come.
//!
//! Takes the moments of a clause; gives them to what they belong to. Invariant: of two times that do
//! not go together neither is kept, for what is not dated is minded whole; weeks that may be weeks to
//! go are never weeks so far.

use super::super::book::Meaning;
use super::super::dates::{self, Moment};
use super::found::Taken;
use super::{Found, Reader};
use crate::lexicon::clauses::Clause;
use crate::roster::{ToldWeeks, VagueDate};
use crate::words::LimitationId;

/// Weeks from the last period to the due date (OC-72).
const TERM_WEEKS: u32 = 40;

/// Later than this nobody is pregnant (43 weeks and some days told late: common practice, no source).
const LAST_WEEK: u32 = 45;

/// A month without its year that is to come within so many weeks may be the next one as well as the last
/// (a quarter: common practice, no source).
const SOON_WEEKS: i32 = 13;

/// What was hurt within a year is not over for being called so (52 weeks: common practice, no source).
const WEEKS_OF_A_YEAR: u32 = 52;
const DAYS_OF_A_YEAR: i32 = 364;

/// Where a moment was said.
#[derive(Clone, Copy)]
struct Said<'c, 'b> {
    clause: &'c Clause<'b>,
    place: usize,
    /// The first thing found in the clause.
    begun: usize,
    /// A due date is meant.
    due: bool,
    /// Since then, so not over.
    ongoing: bool,
    /// Nothing else stands beside the time.
    neutral: bool,
}

impl Reader<'_> {
    pub(super) fn take_times(
        &mut self,
        place: usize,
        clause: &Clause<'_>,
        begun: usize,
        taken: &mut Taken,
    ) {
        let times = dates::times(self.book, self.tokens, clause, self.recorded);
        // A score of the bones is kept and never read; "6/10" is no date.
        let scored = times.used.iter().any(|used| taken.words.contains(used));
        taken.words.extend(&times.used);
        self.pass_over_score(clause, taken);
        if scored {
            return;
        }
        if times.doubtful {
            self.ask(place, "which of the two numbers is it");
        }
        let has = |kind: Meaning| clause.spans.iter().any(|span| span.is(|m| *m == kind));
        let said = Said {
            clause,
            place,
            begun,
            due: times.due,
            ongoing: has(Meaning::Ongoing),
            neutral: self.is_neutral(clause, taken),
        };
        let to_come = has(Meaning::ToCome);
        let expected = self.found.iter().any(is_pregnancy);
        if to_come || times.due && !expected {
            let plain = self.is_understood(clause, taken);
            self.announce(said, to_come, plain);
        }
        for moment in self.counted_from_today(times.moments, said) {
            self.take_moment(moment, said);
        }
    }

    /// Weeks of a pregnancy that were told as of an earlier day are counted on to the day of writing: "20 weeks
    /// pregnant 3 weeks ago". It is asked about.
    fn counted_from_today(&mut self, moments: Vec<Moment>, said: Said<'_, '_>) -> Vec<Moment> {
        let book = self.book;
        let known = self.found.iter().any(is_pregnancy);
        let other = self.found.iter().skip(said.begun);
        let another = other
            .clone()
            .any(|found| found.is_dated(book) || found.is_sided(book));
        let since = moments.iter().find_map(|moment| self.weeks_since(*moment));
        let along = |moment: &Moment| match moment {
            Moment::Pregnant(weeks) => Some(*weeks),
            Moment::BareWeeks(weeks) if known => Some(*weeks),
            _ => None,
        };
        let Some(since) = since.filter(|_| !another && !said.due) else {
            return moments;
        };
        let told = moments.iter().find_map(along);
        let alone = said.begun >= self.found.len() && told.is_none();
        let before = self.found.last_mut().filter(|_| alone);
        let before = before.filter(|found| is_pregnancy(found));
        let weeks = told.or_else(|| before.and_then(|found| found.weeks.take()));
        let Some(weeks) = weeks else {
            return moments;
        };
        self.ask(said.place, "how many weeks is it today");
        let later = weeks.weeks + since;
        if later > LAST_WEEK {
            // Most likely born since.
            self.pregnant(said.place, None, None);
            return Vec::new();
        }
        let days = weeks.days;
        vec![Moment::Pregnant(ToldWeeks { weeks: later, days })]
    }

    /// Whole weeks from a moment of the past to the day of writing, the most that fit.
    fn weeks_since(&self, moment: Moment) -> Option<u32> {
        match moment {
            Moment::WeeksAgo(weeks) => Some(weeks.weeks),
            Moment::Day(day) => {
                let days = day.earliest.until(self.recorded?).ok()?.get_days();
                u32::try_from(days).ok().map(|days| days / 7)
            }
            _ => None,
        }
    }

    /// Numbers right after "T-score".
    fn pass_over_score(&self, clause: &Clause<'_>, taken: &mut Taken) {
        for at in clause.start..clause.end {
            if self
                .tokens
                .get(at)
                .is_some_and(|token| token.key() == "score")
            {
                let digits = (at + 1..clause.end)
                    .take_while(|&next| self.tokens.get(next).is_some_and(|token| token.digits));
                taken.words.extend(digits);
            }
        }
    }

    /// Whether the weeks of a clause can only be weeks so far: beside what means something there is
    /// nothing but words like "now" and "about".
    fn is_neutral(&self, clause: &Clause<'_>, taken: &Taken) -> bool {
        let turned = |meaning: &Meaning| {
            matches!(
                meaning,
                Meaning::Negation | Meaning::ToCome | Meaning::Ongoing | Meaning::Trap(_)
            )
        };
        !clause.spans.iter().any(|span| span.is(turned))
            && (clause.start..clause.end).all(|at| {
                let spanned = clause
                    .spans
                    .iter()
                    .any(|span| (span.start..span.end).contains(&at));
                let beside = |key: &String| self.book.beside_weeks.contains(key);
                let neutral = self
                    .tokens
                    .get(at)
                    .is_some_and(|token| token.keys.iter().any(beside));
                spanned || neutral || taken.words.contains(&at)
            })
    }

    /// An operation that is said to be still to come. Beside a word nobody knows it may as well have been: then it
    /// is minded whole, without a day, and asked about.
    fn announce(&mut self, said: Said<'_, '_>, to_come: bool, plain: bool) {
        let book = self.book;
        let begun = said.begun;
        let mine = self.found.iter_mut().skip(begun);
        let mut announced = false;
        for found in mine.filter(|found| found.is_dated(book) && found.id.as_str() != "after-birth")
        {
            found.to_come = plain;
            found.torn |= !plain;
            announced = true;
        }
        if announced || !to_come {
            return;
        }
        if let Some(last) = self.found.last_mut()
            && last.is_dated(book)
        {
            let undated = last.on.is_none() && last.weeks.is_none() && !last.torn;
            last.to_come |= undated && plain;
            if undated {
                self.ask(said.place, "what is to come, and when");
            }
        }
    }

    /// Takes up when something was.
    fn take_moment(&mut self, moment: Moment, said: Said<'_, '_>) {
        let Said { place, begun, .. } = said;
        match moment {
            Moment::Pregnant(weeks) => self.pregnant(place, Some(weeks), None),
            Moment::SinceBirth(weeks) => self.born(place, weeks),
            Moment::BareWeeks(weeks) => self.bare_weeks(said, weeks),
            Moment::ToGo(weeks) => self.still_to_go(said, weeks),
            Moment::Overdue(weeks) => self.overdue(place, weeks),
            Moment::WeeksAgo(weeks) => {
                let recorded = self.recorded;
                if let Some(found) = self.dated(begun) {
                    found.tell(None, Some(weeks), recorded);
                } else if weeks.weeks <= WEEKS_OF_A_YEAR {
                    self.lately(begun);
                }
            }
            Moment::LongPast => self.long_past(begun),
            Moment::Year(_) if said.due => self.ask(place, "which day"),
            Moment::Year(year) => {
                let whole = dates::whole_year(year);
                match whole {
                    Some(whole) if self.dated(begun).is_some() => self.on_day(whole, said),
                    _ if !said.ongoing => self.long_past(begun),
                    _ => {}
                }
            }
            Moment::Day(day) => self.on_day(day, said),
            Moment::OfAnyYear { month, day } => {
                let ahead = said.due
                    || said
                        .clause
                        .spans
                        .iter()
                        .any(|span| span.is(|m| *m == Meaning::ToCome));
                match dates::of_any_year(month, day, self.recorded, ahead) {
                    Some(_) if !ahead && self.may_be_to_come(month, day, said) => {
                        self.ask(place, "is it over, or still to come");
                    }
                    Some(day) => self.on_day(day, said),
                    None => self.ask(place, "which day"),
                }
            }
        }
    }

    fn on_day(&mut self, day: VagueDate, said: Said<'_, '_>) {
        let recorded = self.recorded;
        let ahead = recorded.is_some_and(|recorded| day.earliest > recorded);
        let announced = |found: &Found| found.to_come && found.clause == said.place;
        if said.due && !self.found.iter().any(announced) {
            self.pregnant(said.place, None, Some(day));
        } else if self.dated(said.begun).is_none() {
            let year = |from: jiff::civil::Date| {
                let days = day.latest.until(from).map_or(0, |span| span.get_days());
                days <= DAYS_OF_A_YEAR
            };
            if recorded.is_none_or(year) {
                self.lately(said.begun);
            }
        } else if let Some(found) = self.dated(said.begun) {
            if !ahead {
                found.tell(Some(day), None, recorded);
            } else if found.id.as_str() == "after-birth" {
                self.ask(said.place, "which day");
            } else {
                found.to_come = !found.torn;
            }
        }
    }

    /// Whether a day without its year, of an operation, is so near that it may be the next one: then it is minded
    /// whole, without a day.
    fn may_be_to_come(&mut self, month: i8, day: Option<i8>, said: Said<'_, '_>) -> bool {
        let next = dates::of_any_year(month, day, self.recorded, true);
        let soon = next.zip(self.recorded).is_some_and(|(next, recorded)| {
            let days = recorded.until(next.earliest);
            days.is_ok_and(|span| (1..=SOON_WEEKS * 7).contains(&span.get_days()))
        });
        let words = self.tokens.get(said.clause.start..said.clause.end);
        let mut words = words.unwrap_or_default().iter();
        let over = words.any(|token| self.book.over.contains(token.key()));
        if !soon || over {
            return false;
        }
        match self.dated(said.begun) {
            Some(found) if found.id.as_str() != "after-birth" => {
                found.torn = true;
                (found.on, found.weeks) = (None, None);
                true
            }
            _ => false,
        }
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

    fn lately(&mut self, begun: usize) {
        for found in self.found.iter_mut().skip(begun) {
            found.lately |= found.is_area(self.book);
        }
    }

    fn long_past(&mut self, begun: usize) {
        for found in self.found.iter_mut().skip(begun) {
            found.history |= found.is_area(self.book);
        }
    }

    /// Whether somebody is surely pregnant, without the word.
    fn is_of_a_baby(&self, place: usize) -> bool {
        let baby = ["baby", "bump", "midwife"].map(str::to_owned);
        let said = self.clauses.get(place).is_some_and(|clause| {
            clause.spans.iter().any(|span| {
                span.end - span.start > 2
                    && span.is(
                        |m| matches!(m, Meaning::When(when) if *when != crate::lexicon::When::ToGo),
                    )
            })
        });
        said || baby
            .iter()
            .any(|word| self.stands(std::slice::from_ref(word)))
    }

    /// Weeks of a pregnancy, or its due date.
    fn pregnant(&mut self, place: usize, weeks: Option<ToldWeeks>, due: Option<VagueDate>) {
        let recorded = self.recorded;
        if !self.found.iter().any(is_pregnancy) {
            let certain = self.is_of_a_baby(place);
            if due.is_some() && !certain {
                // An invoice falls due as well.
                self.unread.push((place, None));
                return;
            }
            if !certain {
                self.ask(place, "read as weeks of a pregnancy; is that meant");
            }
            let begin = self.clauses.get(place).map_or(0, |clause| clause.start);
            let span = super::Span::empty(begin, begin);
            self.found
                .push(Found::new(LimitationId::from("pregnancy"), place, &span));
        }
        if let Some(found) = self.found.iter_mut().find(|found| is_pregnancy(found)) {
            found.tell_due(due, weeks, recorded);
        }
    }

    fn born(&mut self, place: usize, weeks: ToldWeeks) {
        let recorded = self.recorded;
        let birth = |found: &Found| matches!(found.id.as_str(), "after-birth" | "caesarean");
        if !self.found.iter().any(birth) {
            let begin = self.clauses.get(place).map_or(0, |clause| clause.start);
            let span = super::Span::empty(begin, begin);
            self.found
                .push(Found::new("after-birth".into(), place, &span));
        }
        for found in self.found.iter_mut().filter(|found| birth(found)) {
            found.tell(None, Some(weeks), recorded);
        }
    }

    /// Weeks with nothing beside them: of a pregnancy that was told, since an operation that was
    /// told, else of nothing; alone in an answer they are most likely a pregnancy, and asked about.
    /// Beside a word that may turn them ("only", "left") they count for nothing and are asked about.
    fn bare_weeks(&mut self, said: Said<'_, '_>, weeks: ToldWeeks) {
        let recorded = self.recorded;
        let pregnant = self.found.iter().any(is_pregnancy);
        let counted = pregnant || self.dated(said.begun).is_some();
        if counted && !said.neutral {
            self.ask(said.place, "so far, or still to go");
        } else if pregnant {
            self.pregnant(said.place, Some(weeks), None);
        } else if let Some(found) = self.dated(said.begun) {
            found.tell(None, Some(weeks), recorded);
        } else if self.lost && self.says_again(said.clause) {
            self.pregnant(said.place, Some(weeks), None);
        } else if self.found.is_empty() && self.clauses.len() == 1 {
            if said.clause.spans.len() == 1 && said.neutral {
                self.pregnant(said.place, Some(weeks), None);
            } else if !said.neutral {
                self.unread.push((said.place, None));
            }
        }
    }

    /// Whether a clause says "now", after a loss.
    pub(super) fn says_again(&self, clause: &Clause<'_>) -> bool {
        let words = self.tokens.get(clause.start..clause.end);
        let mut words = words.unwrap_or_default().iter();
        words.any(|word| self.book.again.contains(word.key()))
    }

    /// Weeks still to go: to a birth, or to an operation.
    fn still_to_go(&mut self, said: Said<'_, '_>, weeks: u32) {
        let book = self.book;
        let mine = self.found.iter_mut().skip(said.begun);
        let mut announced = false;
        for found in mine.filter(|found| found.is_dated(book)) {
            found.to_come = true;
            announced = true;
        }
        if announced {
            return;
        }
        let known = self.found.iter().any(is_pregnancy);
        let due = said.due || self.stands(&["due".to_owned()]);
        if said.neutral && (known || due || self.is_of_a_baby(said.place)) {
            self.weeks_left(said.place, weeks);
        } else {
            self.to_go.push((said.place, said.neutral, weeks));
        }
    }

    fn weeks_left(&mut self, place: usize, weeks: u32) {
        match TERM_WEEKS.checked_sub(weeks) {
            Some(weeks) if weeks >= 1 => {
                let weeks = ToldWeeks { weeks, days: None };
                self.pregnant(place, Some(weeks), None);
                self.ask(place, "when is the baby due");
            }
            _ => self.ask(place, "how many weeks so far"),
        }
    }

    /// Weeks to go that were said before what they belong to.
    pub(super) fn settle_weeks_to_go(&mut self) {
        let book = self.book;
        for (place, neutral, weeks) in std::mem::take(&mut self.to_go) {
            if neutral && self.found.iter().any(is_pregnancy) {
                self.weeks_left(place, weeks);
                continue;
            }
            if let Some(last) = self.found.iter_mut().rfind(|found| found.clause < place)
                && last.is_dated(book)
                && last.on.is_none()
                && last.weeks.is_none()
            {
                last.to_come = true;
            }
            self.ask(place, "what is to come, and when");
        }
    }

    /// Past the due date, and asked about in any case.
    fn overdue(&mut self, place: usize, weeks: u32) {
        self.ask(place, "past the due date: what has the midwife said");
        if self.found.iter().any(is_pregnancy) || self.is_of_a_baby(place) {
            let weeks = ToldWeeks {
                weeks: TERM_WEEKS + weeks,
                days: None,
            };
            self.pregnant(place, Some(weeks), None);
        }
    }
}

fn is_pregnancy(found: &Found) -> bool {
    found.id.as_str() == "pregnancy"
}
