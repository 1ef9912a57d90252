//! One row of an outline as steps.
//!
//! Takes the atoms of a row; gives what it teaches, in order, and what could not be read. Nothing
//! is decided here that depends on other rows.

use std::ops::Range;

use super::amounts::{Amount, Told, told};
use super::asked::Asked;
use super::naming::{Bit, Found, bits, mark_sure};
use super::words::{Atom, Before, Word, span, text};
use crate::class::Choice;
use crate::input::suggest::fold;
use crate::library::Library;
use crate::library::names::Sought;
use crate::words::{Level, Prop, PropCounts};

/// A line of the class before its hold and its meaning are settled.
#[derive(Clone, Debug)]
pub(super) struct DraftLine<'l> {
    /// Where its name stands.
    pub range: Range<usize>,
    /// Its name as written.
    pub written: String,
    /// What the name stands for.
    pub found: Found<'l>,
    /// Hold, sides, counts.
    pub told: Told,
    /// Notes, in order.
    pub notes: Vec<String>,
    /// The teacher's own cue.
    pub cue: Option<String>,
    /// Spoken choices.
    pub or: Vec<Choice>,
    /// Props, a person each.
    pub props: PropCounts,
    /// What is to be confirmed.
    pub asks: Vec<Asked>,
}

/// What a row teaches.
#[derive(Clone, Debug)]
pub(super) enum Taught<'l> {
    /// A step.
    Line(Box<DraftLine<'l>>),
    /// Steps taught together: “lunge, warrior II, side angle x2 each”.
    Group(Told, Vec<DraftLine<'l>>),
    /// Welcome, handing out props.
    Talk {
        /// Seconds set aside, once they are read.
        seconds: Option<f64>,
        /// The words.
        note: Option<String>,
        /// Where they stand.
        range: Range<usize>,
    },
    /// A way to another level.
    Move {
        /// Where to.
        to: Level,
        /// A name of `data/links.yaml`.
        by: Option<String>,
        /// Seconds set aside.
        takes_s: Option<f64>,
    },
    /// Words that are none of these.
    Unread(Unread),
}

/// Words that could not be read.
#[derive(Clone, Debug)]
pub(super) struct Unread {
    /// Where they stand.
    pub range: Range<usize>,
    /// As written.
    pub written: String,
    /// Whether they are surely a step, as a hold, a side or a count stands with them.
    pub is_step: bool,
    /// What may be meant.
    pub near: Vec<String>,
    /// Whether they have several meanings, of which nothing decides one.
    pub several: bool,
    /// Whether they are a talk without its length.
    pub is_talk: bool,
    /// The sentence of the row that they stand in.
    sentence: usize,
}

impl Unread {
    /// A talk without its length.
    pub(super) fn talk(range: Range<usize>, written: String) -> Self {
        Self {
            is_talk: true,
            ..Self::new(range, written)
        }
    }

    /// Words of which nothing is known.
    pub(super) fn new(range: Range<usize>, written: String) -> Self {
        Self {
            range,
            written,
            is_step: false,
            near: Vec::new(),
            several: false,
            is_talk: false,
            sentence: 0,
        }
    }
}

/// Reads a row.
pub(super) struct RowReader<'l, 't> {
    library: &'l Library,
    /// The whole text of the file.
    text: &'t str,
    taught: Vec<Taught<'l>>,
    /// Loose words that may yet become a note of the row's only step.
    sentence: usize,
}

impl<'l, 't> RowReader<'l, 't> {
    /// What the atoms of a row teach. The row ends at the byte `end`.
    pub(super) fn read(
        library: &'l Library,
        text: &'t str,
        atoms: &[Atom],
        end: usize,
    ) -> Vec<Taught<'l>> {
        let mut reader = Self {
            library,
            text,
            taught: Vec::new(),
            sentence: 0,
        };
        let atoms = joined(library, atoms);
        let dashes = atoms
            .iter()
            .filter(|atom| atom.before == Before::Dash)
            .count();
        let mut at = 0;
        while let Some(atom) = atoms.get(at) {
            if atom.before == Before::Stop {
                reader.sentence += 1;
            }
            if atom.bracketed {
                let inside = atoms
                    .iter()
                    .skip(at)
                    .take_while(|atom| atom.bracketed)
                    .count();
                let inside = atoms.get(at..at + inside).unwrap_or_default();
                reader.bracket(inside);
                at += inside.len();
                continue;
            }
            if atom.before == Before::Dash && dashes == 1 && reader.notes_follow(atom) {
                let to = end.max(atom.range().end);
                reader.note_to(atom, to);
                break;
            }
            reader.atom(atom);
            at += 1;
        }
        reader.finish()
    }

    /// Whether what follows the row's only dash is a note of the step before it.
    fn notes_follow(&self, atom: &Atom) -> bool {
        let mut used = vec![false; atom.words.len()];
        told(&atom.words, &mut used);
        let only_amounts = used.iter().all(|&used| used);
        let step = matches!(
            self.taught.last(),
            Some(Taught::Line(_) | Taught::Group(..) | Taught::Talk { .. })
        );
        step && !only_amounts
    }

    fn note_to(&mut self, atom: &Atom, end: usize) {
        let words = self.text.get(atom.range().start..end).unwrap_or("").trim();
        let named = self.library.named(&text(&atom.words)).is_some();
        let note = words.to_owned();
        match self.taught.last_mut() {
            Some(Taught::Talk { note: old, .. }) => *old = Some(note),
            Some(Taught::Line(line)) => line.note(note, named),
            Some(Taught::Group(_, lines)) => {
                if let Some(line) = lines.last_mut() {
                    line.note(note, named);
                }
            }
            _ => {}
        }
    }

    /// The last step of the row.
    fn last(&mut self) -> Option<&mut DraftLine<'l>> {
        match self.taught.last_mut()? {
            Taught::Line(line) => Some(line),
            Taught::Group(_, lines) => lines.last_mut(),
            Taught::Talk { .. } | Taught::Move { .. } | Taught::Unread(_) => None,
        }
    }

    /// What the last thing taught says beside its name.
    fn last_told(&mut self) -> Option<&mut Told> {
        match self.taught.last_mut()? {
            Taught::Line(line) => Some(&mut line.told),
            Taught::Group(told, _) => Some(told),
            Taught::Talk { .. } | Taught::Move { .. } | Taught::Unread(_) => None,
        }
    }

    /// Words in brackets: a name that says more, a choice, an amount, or a note.
    fn bracket(&mut self, inside: &[Atom]) {
        let Some(first) = inside.first() else {
            return;
        };
        let end = inside.last().map_or(0, |atom| atom.range().end);
        let whole = self
            .text
            .get(first.range().start..end)
            .unwrap_or("")
            .to_owned();
        if self.choice(first) || self.like(first) || self.props(first) {
            return;
        }
        let library = self.library;
        let Some(line) = self.last() else {
            for atom in inside {
                self.atom(atom);
            }
            return;
        };
        match (library.named(&whole), &line.found) {
            (Some(posture), Found::Likely(_) | Found::Loose(_) | Found::Several(_)) => {
                line.found = Found::Sure(posture);
                return;
            }
            (Some(posture), Found::Sure(known)) if posture.id == known.id => return,
            _ => {}
        }
        let mut used = vec![false; first.words.len()];
        let says = told(&first.words, &mut used);
        if inside.len() == 1 && used.iter().all(|&used| used) {
            if let Some(told) = self.last_told() {
                told.add(says);
            }
            return;
        }
        line.notes.push(whole);
    }

    /// “or knees down”: a spoken choice.
    fn choice(&mut self, atom: &Atom) -> bool {
        let [or, words @ ..] = atom.words.as_slice() else {
            return false;
        };
        if or.low != "or" || words.is_empty() {
            return false;
        }
        let range = span(words);
        let words = self.text.get(range).unwrap_or("").to_owned();
        let choice = match self.library.named(&words) {
            Some(posture) => Choice::Posture(posture.id.clone()),
            None => Choice::Words(words),
        };
        match self.last() {
            Some(line) => line.or.push(choice),
            None => return false,
        }
        true
    }

    /// “like triangle”: the shape before it is the teacher's own.
    fn like(&mut self, atom: &Atom) -> bool {
        let [like, words @ ..] = atom.words.as_slice() else {
            return false;
        };
        let mut used = vec![false; words.len()];
        mark_sure(self.library, words, &mut used);
        let says = told(words, &mut used.clone());
        let named: Vec<Word> = words
            .iter()
            .zip(&used)
            .filter(|(_, used)| **used)
            .map(|(word, _)| word.clone())
            .collect();
        let posture = self.library.named(&text(&named));
        let (true, Some(posture)) = (like.low == "like", posture) else {
            return false;
        };
        match self.taught.pop() {
            Some(Taught::Unread(unread)) => {
                let mut line = DraftLine::new(
                    Found::Own(unread.written.clone(), Some(posture)),
                    unread.range,
                    unread.written,
                );
                line.told.add(says);
                self.taught.push(Taught::Line(Box::new(line)));
                true
            }
            Some(Taught::Line(mut line)) if !matches!(line.found, Found::Sure(_)) => {
                line.found = Found::Own(line.written.clone(), Some(posture));
                line.told.add(says);
                self.taught.push(Taught::Line(line));
                true
            }
            other => {
                self.taught.extend(other);
                false
            }
        }
    }

    /// “with a strap”, “with 2 blocks”.
    fn props(&mut self, atom: &Atom) -> bool {
        let low: Vec<&str> = atom.words.iter().map(|word| word.low.as_str()).collect();
        let (number, name) = match low.as_slice() {
            [
                "with" | "using" | "props",
                "a" | "an" | "one" | "1",
                name @ ..,
            ] => (1, name),
            ["with" | "using" | "props", "two" | "2", name @ ..] => (2, name),
            ["with" | "using" | "props", name @ ..] => (1, name),
            _ => return false,
        };
        let name = name.join("-");
        let one = name.strip_suffix('s').unwrap_or(&name);
        let Some(prop) = Prop::parse(&name).or_else(|| Prop::parse(one)) else {
            return false;
        };
        match self.last() {
            Some(line) => line.props.insert(prop, number),
            None => return false,
        };
        true
    }

    fn atom(&mut self, atom: &Atom) {
        if self.choice(atom) || self.like(atom) || self.props(atom) {
            return;
        }
        let words = &atom.words;
        let mut used = vec![false; words.len()];
        mark_sure(self.library, words, &mut used);
        let named = used.clone();
        let told = told(words, &mut used);
        let free: Vec<bool> = used
            .iter()
            .zip(&named)
            .map(|(used, named)| *used && !named)
            .collect();
        let left: Vec<&str> = words
            .iter()
            .zip(&free)
            .filter(|(_, taken)| !**taken)
            .map(|(word, _)| word.low.as_str())
            .collect();
        if left.is_empty() {
            self.amounts_alone(words, told);
            return;
        }
        if let Some(taught) = self.talk_or_move(words, &left, &told) {
            self.taught.push(taught);
            return;
        }
        let bits = bits(self.library, words, &free);
        self.bits(bits, told, words);
    }

    /// Amounts without a name belong to the step before them.
    fn amounts_alone(&mut self, words: &[Word], says: Told) {
        if let Some(told) = self.last_told() {
            told.add(says);
            return;
        }
        match self.taught.last_mut() {
            // “sprial reach, 3 breaths”: then the words before were a step.
            Some(Taught::Unread(unread)) => unread.is_step |= says.is_a_step(),
            Some(
                Taught::Move { takes_s, .. }
                | Taught::Talk {
                    seconds: takes_s, ..
                },
            ) if takes_s.is_none() => {
                *takes_s = says.holds.first().and_then(|(amount, _)| amount.clock_s());
            }
            _ => self.unread(words, &says),
        }
    }

    fn bits(&mut self, bits: Vec<Bit<'l>>, says: Told, all: &[Word]) {
        let names = bits
            .iter()
            .filter(|bit| matches!(bit, Bit::Name(..)))
            .count();
        if names == 0 {
            self.unread(all, &says);
            return;
        }
        let mut lines: Vec<DraftLine<'l>> = Vec::new();
        let mut ahead: Vec<String> = Vec::new();
        let mut lone: Vec<Vec<Word>> = Vec::new();
        let mut broken = false;
        for bit in bits {
            match bit {
                Bit::Name(found, words) => {
                    let mut line = DraftLine::new(found, span(&words), text(&words));
                    for words in ahead.drain(..) {
                        line.note_words(words);
                    }
                    lines.push(line);
                    broken = false;
                }
                Bit::Loose(words) if broken => lone.push(words),
                Bit::Loose(words) => match lines.last_mut() {
                    Some(line) => line.note_words(text(&words)),
                    None => ahead.push(text(&words)),
                },
                Bit::Break => broken = true,
            }
        }
        let together = lines.len() > 1 && (says.sides.is_some() || says.times.is_some());
        if together {
            self.taught.push(Taught::Group(says, lines));
        } else {
            let alone = lines.len() == 1;
            for mut line in lines {
                line.told = says.clone();
                if !alone {
                    line.told.leading = None;
                }
                self.taught.push(Taught::Line(Box::new(line)));
            }
        }
        for words in lone {
            self.unread(&words, &Told::default());
        }
    }

    fn unread(&mut self, words: &[Word], says: &Told) {
        let written = self.text.get(span(words)).unwrap_or("").to_owned();
        let near = match self.library.seek(&text(words)) {
            Sought::Several(postures) | Sought::Loose(postures) => {
                let names = postures.iter().map(|posture| posture.name().to_owned());
                names.collect()
            }
            _ if words.len() > 5 => Vec::new(),
            _ => {
                let near = self.library.suggest(&text(words), 3).into_iter();
                // A remark is like many names in a way; only what is nearly one is offered for it.
                near.filter(|name| says.is_a_step() || is_nearly(name, &text(words)))
                    .map(str::to_owned)
                    .collect()
            }
        };
        self.taught.push(Taught::Unread(Unread {
            is_step: says.is_a_step(),
            near,
            sentence: self.sentence,
            ..Unread::new(span(words), written)
        }));
    }

    /// Loose words become a note of the row's only step; those of a sentence without a step are
    /// one remark.
    fn finish(self) -> Vec<Taught<'l>> {
        let steps = |taught: &Taught<'_>| !matches!(taught, Taught::Unread(_));
        let only = self.taught.iter().filter(|one| steps(one)).count() == 1;
        let mut finished: Vec<Taught<'l>> = Vec::new();
        for taught in self.taught {
            let Taught::Unread(unread) = taught else {
                finished.push(taught);
                continue;
            };
            match finished.last_mut() {
                Some(Taught::Line(line)) if only && !unread.is_step => {
                    line.note_words(unread.written);
                }
                Some(Taught::Unread(before))
                    if before.sentence == unread.sentence
                        && !(before.is_step || unread.is_step)
                        && before.near.is_empty()
                        && unread.near.is_empty() =>
                {
                    before.range.end = unread.range.end;
                    let whole = self.text.get(before.range.clone()).unwrap_or("");
                    before.written = whole.to_owned();
                }
                _ => finished.push(Taught::Unread(unread)),
            }
        }
        finished
    }

    /// “talk 2 min”, “to standing by a chair, 1 min”.
    fn talk_or_move(&self, words: &[Word], left: &[&str], told: &Told) -> Option<Taught<'l>> {
        const TALKS: [&str; 7] = [
            "talk",
            "welcome",
            "introduction",
            "intro",
            "introductions",
            "chat",
            "announcements",
        ];
        let clock_s = told.holds.first().and_then(|(amount, _)| amount.clock_s());
        if left.first().is_some_and(|first| TALKS.contains(first)) {
            let note = (left.len() > 1 || left.first() != Some(&"talk")).then(|| {
                let words: Vec<&str> = words
                    .iter()
                    .filter(|word| left.contains(&word.low.as_str()))
                    .map(|word| word.text.as_str())
                    .collect();
                words.join(" ")
            });
            return Some(Taught::Talk {
                seconds: clock_s.or(told.takes_s),
                note,
                range: span(words),
            });
        }
        let (to, by) = movement(left)?;
        let by = match by {
            [] => None,
            ["by" | "through" | "from", name @ ..] => {
                let name = name.join(" ");
                let mut names = self.library.links.values().flat_map(|link| &link.by);
                Some(names.find(|known| **known == name)?.clone())
            }
            _ => return None,
        };
        Some(Taught::Move {
            to,
            by,
            takes_s: told.takes_s.or(clock_s),
        })
    }
}

/// “come up to standing”: the level, and the words after it.
fn movement<'w, 's>(low: &'s [&'w str]) -> Option<(Level, &'s [&'w str])> {
    const VERBS: [&str; 12] = [
        "come", "move", "up", "down", "roll", "step", "go", "get", "back", "slowly", "press",
        "rise",
    ];
    let verbs = low.iter().take_while(|word| VERBS.contains(word)).count();
    let rest = low.get(verbs..)?;
    let fixed = match low {
        ["stand", "up", rest @ ..] => Some((Level::Standing, rest)),
        ["lie", "down" | "back", rest @ ..] => Some((Level::Supine, rest)),
        ["sit", "down" | "up", rest @ ..] => Some((Level::Seated, rest)),
        ["lie" | "roll" | "turn", "on" | "onto" | "to", rest @ ..] => level(rest),
        _ => None,
    };
    if fixed.is_some() {
        return fixed;
    }
    match rest {
        ["to" | "onto" | "on", rest @ ..] if verbs > 0 || low.first() == Some(&"to") => level(rest),
        _ => None,
    }
}

fn level<'w, 's>(low: &'s [&'w str]) -> Option<(Level, &'s [&'w str])> {
    let low = match low {
        ["the" | "your" | "their" | "a", rest @ ..] => rest,
        low => low,
    };
    let (level, taken) = match low {
        ["hands", "and" | "&", "knees", ..] => (Level::HandsAndKnees, 3),
        ["all", "fours", ..] => (Level::HandsAndKnees, 2),
        ["standing" | "stand" | "feet", ..] => (Level::Standing, 1),
        ["wall", ..] => (Level::Wall, 1),
        ["chair" | "chairs", ..] => (Level::Chair, 1),
        ["kneeling" | "knees", ..] => (Level::Kneeling, 1),
        ["seated" | "sitting" | "sit" | "seat", ..] => (Level::Seated, 1),
        [
            "prone" | "front" | "fronts" | "belly" | "bellies" | "tummy",
            ..,
        ] => (Level::Prone, 1),
        ["supine" | "back" | "backs" | "lying", ..] => (Level::Supine, 1),
        ["side" | "sides", ..] => (Level::SideLying, 1),
        _ => return None,
    };
    Some((level, low.get(taken..).unwrap_or_default()))
}

impl Amount {
    /// Seconds of an amount that is told by the clock.
    pub(super) fn clock_s(&self) -> Option<f64> {
        match *self {
            Self::Minutes(minutes) => Some(minutes * 60.0),
            Self::Seconds(seconds) => Some(seconds),
            Self::Breaths(_) | Self::Rounds(_) => None,
        }
    }
}

impl<'l> DraftLine<'l> {
    fn new(found: Found<'l>, range: Range<usize>, written: String) -> Self {
        Self {
            range,
            written,
            found,
            told: Told::default(),
            notes: Vec::new(),
            cue: None,
            or: Vec::new(),
            props: PropCounts::new(),
            asks: Vec::new(),
        }
    }

    fn note(&mut self, note: String, names_a_posture: bool) {
        if names_a_posture {
            self.asks.push(Asked::NoteIsPosture(note.clone()));
        }
        self.notes.push(note);
    }

    /// Words beside the name, kept and shown.
    fn note_words(&mut self, words: String) {
        self.asks.push(Asked::Note(words.clone()));
        self.notes.push(words);
    }
}

/// Whether words are a name but for a third of its letters.
fn is_nearly(name: &str, words: &str) -> bool {
    let (name, words) = (fold(name), fold(words));
    strsim::osa_distance(&name, &words) * 3 <= name.chars().count()
}

/// Atoms with those put together that only part a name: “tree, toes down”.
fn joined(library: &Library, atoms: &[Atom]) -> Vec<Atom> {
    let mut joined: Vec<Atom> = Vec::new();
    let mut at = 0;
    while let Some(atom) = atoms.get(at) {
        let longest = (2..=3).rev().find_map(|length| {
            let parts = atoms.get(at..at + length)?;
            let together = parts
                .iter()
                .skip(1)
                .all(|part| part.before == Before::Comma && part.bracketed == atom.bracketed);
            let words: Vec<Word> = parts.iter().flat_map(|part| part.words.clone()).collect();
            let named = together && library.find(&text(&words)).is_some();
            named.then_some((length, words))
        });
        match longest {
            Some((length, words)) => {
                joined.push(Atom {
                    words,
                    ..atom.clone()
                });
                at += length;
            }
            None => {
                joined.push(atom.clone());
                at += 1;
            }
        }
    }
    joined
}
