//! The lexicon as checked values: patterns of words and what each means.
//!
//! The library's loader fills a [`Book`] from `rules/lexicon.yaml` and from the synonyms of the
//! limitations. Invariant: every limitation and demand that a meaning names is in the library.

use std::collections::{BTreeMap, BTreeSet};

use super::tokens::{Token, cut, fold_word};
use crate::library::rule::{Clock, LimitationKind};
use crate::roster::{Approach, ToldSide};
use crate::words::{DemandId, LimitationId, Severity};

/// What a limitation is, as far as reading words about it goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// Area, condition or need.
    pub kind: LimitationKind,
    /// Whether it has a side.
    pub sided: bool,
    /// What its weeks count.
    pub clock: Clock,
}

/// A word for a side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SideWord {
    /// Which side.
    pub side: ToldSide,
    /// It stands after the body word in its language.
    pub follows: bool,
    /// It counts only next to a body word.
    pub beside: bool,
}

/// A way to say when.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// So many weeks before the day of writing.
    WeeksAgo,
    /// So many months before it.
    MonthsAgo,
    /// Years ago: long past.
    YearsAgo,
    /// A baby's age in weeks.
    SinceBirth,
    /// Weeks of a pregnancy.
    Pregnant,
    /// Weeks with nothing beside them.
    BareWeeks,
    /// A day of the year before the day of writing: the last 24 December.
    DayOfYear {
        /// 1 to 12.
        month: i8,
        /// 1 to 31.
        day: i8,
    },
    /// The last day of the year before.
    LastYear,
    /// The last day of the month before.
    LastMonth,
    /// What follows is a due date.
    Due,
    /// So many weeks still to go.
    ToGo,
    /// So many weeks past the due date.
    Overdue,
    /// So many days past the due date.
    DaysOverdue,
}

/// What a run of words means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// A limitation; the number is its place in [`Book::traps`] for those that need more.
    Limitation(LimitationId),
    /// A need: a wish in their own words.
    Need(LimitationId),
    /// They would rather not be touched.
    NoTouch,
    /// A side.
    Side(SideWord),
    /// How bad.
    Severity(Severity),
    /// How bad, of one limitation only.
    SeverityOf(LimitationId, Severity),
    /// How a hip was reached.
    Approach(Approach),
    /// "No", in its own clause.
    Negation,
    /// A new clause begins.
    Clause,
    /// Looks like an answer, and is none.
    NotUnderstood,
    /// Long ago.
    History,
    /// Over.
    FineNow,
    /// Said of the body word before it: nothing is the matter with it.
    Fine,
    /// An operation that has not been yet.
    ToCome,
    /// A joint that was replaced: with a hip or a knee, the replacement.
    Replaced,
    /// A place that counts as an area only where it is the site of something else.
    Site(LimitationId),
    /// Since then, so not over.
    Ongoing,
    /// Not pregnant: to be asked quietly.
    NotYet,
    /// A loss: for the teacher alone.
    Private,
    /// About somebody else.
    SomeoneElse,
    /// A trade, or another sense of the word.
    NoLimitation,
    /// Depends on the words near it: a place in [`Book::traps`].
    Trap(usize),
    /// Always asked.
    AlwaysAsk,
    /// Who said it.
    Clinician(String),
    /// What a clinician says: a place in [`Book::phrases`].
    Phrase(usize),
    /// When.
    When(When),
}

/// Words whose sense hangs on their neighbours.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trap {
    /// One of these is wanted somewhere in the answer; empty: no wish.
    pub needs_near: Vec<Vec<String>>,
    /// The sense when the wish is met: a limitation, or none of ours.
    pub then: Option<LimitationId>,
    /// Met or without a wish, and no limitation: nothing, instead of a question.
    pub nothing: bool,
    /// Without what it needs it is nothing; else it is asked about.
    pub else_nothing: bool,
    /// The sense without what it needs.
    pub otherwise: Option<LimitationId>,
    /// What to ask even so.
    pub question: Option<String>,
    /// An answer of these words alone tells nothing.
    pub alone_is_nothing: bool,
}

/// What a clinician's phrase maps to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Phrase {
    /// What holds for each of these limitations; empty: for any.
    pub about: Vec<(Vec<LimitationId>, Acts)>,
    /// What holds whatever it is about.
    pub always: Acts,
    /// Asked when none of `about` fits.
    pub otherwise_ask: Option<String>,
    /// Asked in any case.
    pub ask: Option<String>,
    /// How it is said in English.
    pub english: Option<String>,
}

/// Limits and allowances of a phrase.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Acts {
    /// Kept away from, with a number where the phrase says one.
    pub limits: Vec<(DemandId, Option<f64>)>,
    /// Allowed.
    pub allows: Vec<DemandId>,
    /// They may take part.
    pub cleared: bool,
    /// Nothing but rest.
    pub rest: bool,
}

/// Words that refine a limitation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KindWords {
    /// Which limitation.
    pub limitation: LimitationId,
    /// The kind.
    pub kind: String,
    /// The words alone say that it is this limitation.
    pub alone: bool,
    /// The words.
    pub pattern: Vec<Element>,
}

/// A part of a pattern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Element {
    /// A word, folded.
    Word(String),
    /// A word as written, capitals and all.
    Exactly(String),
    /// Any number.
    Number,
    /// The name of a month.
    Month,
}

/// A run of words and its meanings.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// The words.
    pub elements: Vec<Element>,
    /// What they mean.
    pub meaning: Meaning,
    /// The code of their language; none for words whose sense hangs on others.
    pub language: Option<String>,
}

/// The lexicon.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// Every pattern.
    pub patterns: Vec<Pattern>,
    /// Patterns by the first word; those that begin with a number under "".
    first: BTreeMap<String, Vec<usize>>,
    /// Every word of a pattern.
    pub vocabulary: BTreeSet<String>,
    /// Words that say nothing about a body.
    pub plain: BTreeSet<String>,
    /// Words of their own that lie one slip from a word of the lexicon.
    pub not_a_slip: BTreeSet<String>,
    /// Endings of a compound that leave its first part.
    pub compound_ends: Vec<String>,
    /// Whole answers that say that there is nothing to tell.
    pub nothing: Vec<Vec<String>>,
    /// Months by name, 1 to 12.
    pub months: BTreeMap<String, i8>,
    /// Numbers by name.
    pub numbers: BTreeMap<String, u32>,
    /// Parts of a scale to ten.
    pub scale: Vec<(u32, u32, Severity)>,
    /// Twenty, thirty, forty: a number after one is added to it.
    pub tens: BTreeSet<u32>,
    /// Words that may stand beside weeks without a word of what they count.
    pub beside_weeks: BTreeSet<String>,
    /// Words of doubt: what is "fine" or "cleared" beside one is not.
    pub doubts: BTreeSet<String>,
    /// Acute for being today's, and nothing worse.
    pub of_today: BTreeSet<String>,
    /// "Neither … nor": two that say one "no".
    pub neither: BTreeSet<String>,
    /// Plurals that do not end in s.
    pub plurals: BTreeSet<String>,
    /// After a number and a full stop these go on: "28. SSW".
    pub after_ordinal: BTreeSet<String>,
    /// Words that turn a "no" in its own clause: "only", "except".
    pub turns: BTreeSet<String>,
    /// Words for what has been: "done in June".
    pub over: BTreeSet<String>,
    /// Words for now, after a loss: "now 20 weeks".
    pub again: BTreeSet<String>,
    /// Words for themselves beside somebody else: "my mum has it and I too".
    pub own: BTreeSet<String>,
    /// Beside one of these a clinician's word names nobody who speaks: "a friend of a doctor".
    pub no_clinician: BTreeSet<String>,
    /// Words between the two numbers of a scale.
    pub out_of: BTreeSet<String>,
    /// Traps.
    pub traps: Vec<Trap>,
    /// Clinicians' phrases.
    pub phrases: Vec<Phrase>,
    /// Words that refine.
    pub kinds: Vec<KindWords>,
    /// Limitations and kinds that "fine now" never ends.
    pub never_fine: BTreeSet<String>,
    /// What each limitation is.
    pub ways: BTreeMap<LimitationId, Way>,
    /// Words read only as written.
    pub capitals: BTreeSet<String>,
}

impl Book {
    /// Adds a run of words of a language with its meaning.
    pub fn add(&mut self, words: &str, language: Option<&str>, meaning: Meaning) {
        let elements = self.elements(words);
        let Some(begin) = elements.first() else {
            return;
        };
        let begin = match begin {
            Element::Word(word) => word.clone(),
            Element::Exactly(word) => fold_word(word),
            Element::Number | Element::Month => String::new(),
        };
        self.first
            .entry(begin)
            .or_default()
            .push(self.patterns.len());
        self.patterns.push(Pattern {
            elements,
            meaning,
            language: language.map(str::to_owned),
        });
    }

    /// Adds words that refine a limitation.
    pub fn add_kind(&mut self, words: &str, limitation: &LimitationId, kind: &str, alone: bool) {
        let pattern = self.elements(words);
        self.kinds.push(KindWords {
            limitation: limitation.clone(),
            kind: kind.to_owned(),
            alone,
            pattern,
        });
    }

    /// Whether a number is one of whole tens.
    pub(super) fn is_ten(&self, number: u32) -> bool {
        self.tens.contains(&number)
    }

    fn elements(&mut self, words: &str) -> Vec<Element> {
        let places = cut(words);
        let alone = places.len() == 1;
        let mut elements = Vec::new();
        for (start, end) in places {
            let word = words.get(start..end).unwrap_or_default();
            let single = alone && word.chars().count() == 1 && word.to_lowercase() != word;
            elements.push(match word {
                "N" if !alone => Element::Number,
                "MONTH" => Element::Month,
                _ => {
                    self.vocabulary.insert(fold_word(word));
                    if single || self.capitals.contains(word) {
                        Element::Exactly(word.to_owned())
                    } else {
                        Element::Word(fold_word(word))
                    }
                }
            });
        }
        elements
    }

    /// The keys of some words.
    pub fn keys(words: &str) -> Vec<String> {
        let word = |(start, end)| fold_word(words.get(start..end).unwrap_or_default());
        cut(words).into_iter().map(word).collect()
    }

    /// Patterns that fit at a place, each with the number of its words.
    pub(super) fn at<'b>(
        &'b self,
        tokens: &'b [Token],
        place: usize,
    ) -> impl Iterator<Item = &'b Pattern> {
        let token = tokens.get(place);
        let keys = token.into_iter().flat_map(|token| token.keys.iter());
        let begins = keys.map(String::as_str).chain([""]);
        let rest = tokens.get(place..).unwrap_or_default();
        begins
            .filter_map(|key| self.first.get(key))
            .flatten()
            .filter_map(|&pattern| self.patterns.get(pattern))
            .filter(|pattern| self.fits(&pattern.elements, rest))
    }

    /// Whether a pattern fits the beginning of some tokens.
    pub(super) fn fits(&self, elements: &[Element], tokens: &[Token]) -> bool {
        elements.len() <= tokens.len()
            && elements
                .iter()
                .zip(tokens)
                .enumerate()
                .all(|(nth, (element, token))| {
                    // Words of one phrase are not parted by the end of a sentence.
                    let parted = nth > 0 && token.gap.contains(['.', '!', '?', ';', '\n']);
                    !parted
                        && match element {
                            Element::Word(word) => token.keys.iter().any(|key| key == word),
                            Element::Exactly(word) => token.raw == *word,
                            Element::Number => token.number.is_some(),
                            Element::Month => self.months.contains_key(token.key()),
                        }
                })
    }
}
