//! One row of an outline as steps.
//!
//! Takes the atoms of a row; gives what it teaches, in order, and what could not be read. Nothing
//! is decided here that depends on other rows.

use super::amounts::{Told, told};
use super::naming::{Bit, Found, bits, joined, mark_sure};
use super::taught::{DraftLine, Taught, Unread, Why};
use super::ways;
use super::words::{Atom, Before, Word, span, text};
use crate::class::Choice;
use crate::input::suggest::fold;
use crate::library::Library;
use crate::library::names::Sought;

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
        match (ways::props(&atom.words), self.last()) {
            (Some((prop, number)), Some(line)) => {
                line.props.insert(prop, number);
                true
            }
            _ => false,
        }
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
        if ways::is_other_side(words) {
            let written = self.text.get(span(words)).unwrap_or("").to_owned();
            let unread = Unread::new(span(words), written).because(Why::OtherSide);
            self.taught.push(Taught::Unread(unread));
            return;
        }
        if let Some(taught) = self.talk_or_move(words, &left, &told) {
            self.taught.push(taught);
            return;
        }
        let bits = bits(self.library, words, &free);
        self.bits(bits, told, words, atom.before == Before::Arrow);
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

    fn bits(&mut self, bits: Vec<Bit<'l>>, says: Told, all: &[Word], arrow: bool) {
        let names = bits
            .iter()
            .filter(|bit| matches!(bit, Bit::Name(..)))
            .count();
        if names == 0 {
            self.unread(all, &says);
            return;
        }
        let mut lines: Vec<DraftLine<'l>> = Vec::new();
        let mut ahead: Vec<Word> = Vec::new();
        let mut lone: Vec<Vec<Word>> = Vec::new();
        let mut broken = false;
        for bit in bits {
            match bit {
                Bit::Name(found, words) => {
                    lines.push(named(found, &words, std::mem::take(&mut ahead)));
                    broken = false;
                }
                Bit::Loose(words) if broken => lone.push(words),
                Bit::Loose(words) => match (lines.last_mut(), ways::props(&words)) {
                    (Some(line), Some((prop, number))) => {
                        line.props.insert(prop, number);
                    }
                    (Some(line), None) => line.note_words(text(&words)),
                    (None, _) => ahead = words,
                },
                Bit::Break => broken = true,
            }
        }
        let together = lines.len() > 1 && (says.sides.is_some() || says.times.is_some());
        if arrow && lone.is_empty() && self.joins_the_last(&mut lines, &says) {
            return;
        }
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

    /// Steps behind an arrow are taught together with those before it, if nothing was said of
    /// those alone; what is said last is said of all.
    fn joins_the_last(&mut self, lines: &mut Vec<DraftLine<'l>>, says: &Told) -> bool {
        let plain = Told::default();
        let mut all = match self.taught.pop() {
            Some(Taught::Line(line)) if line.told == plain => vec![*line],
            Some(Taught::Group(told, all)) if told == plain => all,
            other => {
                self.taught.extend(other);
                return false;
            }
        };
        all.append(lines);
        self.taught.push(Taught::Group(says.clone(), all));
        true
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
            why: if ways::is_salutation(words) {
                Why::Salutation
            } else {
                Why::Unknown
            },
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
                Some(Taught::Line(line))
                    if only && !unread.is_step && unread.why == Why::Unknown =>
                {
                    line.note_words(unread.written);
                }
                Some(Taught::Unread(before))
                    if before.sentence == unread.sentence
                        && !(before.is_step || unread.is_step)
                        && (before.why, unread.why) == (Why::Unknown, Why::Unknown)
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
        let (to, by) = ways::movement(left)?;
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

/// A step of a name and the words right before it. One or two of them may make another shape of it
/// (“revolved half moon”): then the name is not sure.
fn named<'l>(found: Found<'l>, words: &[Word], ahead: Vec<Word>) -> DraftLine<'l> {
    const FEW: usize = 2;
    match found {
        Found::Sure(posture) if (1..=FEW).contains(&ahead.len()) => {
            let mut together = ahead;
            together.extend_from_slice(words);
            DraftLine::new(Found::Likely(posture), span(&together), text(&together))
        }
        found => {
            let mut line = DraftLine::new(found, span(words), text(words));
            if !ahead.is_empty() {
                line.note_words(text(&ahead));
            }
            line
        }
    }
}

/// Whether words are a name but for a third of its letters.
fn is_nearly(name: &str, words: &str) -> bool {
    let (name, words) = (fold(name), fold(words));
    strsim::osa_distance(&name, &words) * 3 <= name.chars().count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    /// Two wrong letters of six are a third of them, three are more.
    #[rstest]
    #[case("bridge", true)]
    #[case("brudgo", true)]
    #[case("btudgo", false)]
    #[case("goldfish", false)]
    fn nearly_a_name_but_for_a_third_of_its_letters(#[case] words: &str, #[case] nearly: bool) {
        assert_eq!(is_nearly("Bridge", words), nearly);
    }
}
