//! The words of a row, and the signs between them.
//!
//! Takes a row's text; gives [`Atom`]s: what stands between commas, dashes and brackets, word by
//! word, each with its place. Invariant: a word's text is what stands at its place.

use std::ops::Range;

/// A word with its place in the file, in bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word {
    /// As written, without signs round it.
    pub text: String,
    /// Lower-case.
    pub low: String,
    /// Where it stands.
    pub range: Range<usize>,
    /// Whether a hyphen joins it to the word before.
    pub joined: bool,
}

/// What stands before an atom.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Before {
    /// The beginning of the row.
    Start,
    /// A comma, a semicolon or a stroke: one thing after another.
    Comma,
    /// An arrow: one thing after another, taught together.
    Arrow,
    /// A dash with spaces.
    Dash,
    /// The end of a sentence.
    Stop,
    /// An opening bracket: the atom stands in brackets.
    Bracket,
    /// A closing bracket.
    AfterBracket,
    /// A colon.
    Colon,
}

/// Words between two signs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Atom {
    /// What stands before it.
    pub before: Before,
    /// Whether it stands in brackets.
    pub bracketed: bool,
    /// Its words, at least one.
    pub words: Vec<Word>,
}

impl Atom {
    /// From its first word to its last.
    pub(super) fn range(&self) -> Range<usize> {
        span(&self.words)
    }
}

/// From the first word to the last; empty without words.
pub(super) fn span(words: &[Word]) -> Range<usize> {
    match (words.first(), words.last()) {
        (Some(first), Some(last)) => first.range.start..last.range.end,
        _ => 0..0,
    }
}

/// Words as text, a space between.
pub(super) fn text(words: &[Word]) -> String {
    let words: Vec<&str> = words.iter().map(|word| word.text.as_str()).collect();
    words.join(" ")
}

/// Words in one line, as a class plan takes them: runs of white space become one space, control
/// characters are dropped; none when no word is left.
pub(super) fn tidy(words: &str) -> Option<String> {
    let words: Vec<&str> = words.split_whitespace().collect();
    let line: String = words
        .join(" ")
        .chars()
        .filter(|&c| !crate::problem::steers(c))
        .collect();
    (!line.trim().is_empty()).then_some(line)
}

/// Short words that a dot may follow without ending a sentence.
const SHORTENED: [&str; 20] = [
    "br", "brs", "min", "mins", "sec", "secs", "ea", "l", "r", "approx", "ca", "c", "no", "incl",
    "rd", "rds", "rep", "reps", "s", "m",
];

/// A row's atoms, in order. `start` is the byte of the file where the text begins.
pub(super) fn atoms(text: &str, start: usize) -> Vec<Atom> {
    let mut lexer = Lexer {
        text,
        start,
        atoms: Vec::new(),
        before: Before::Start,
        bracketed: false,
        words: Vec::new(),
        word: None,
        joins: false,
    };
    let signs: Vec<(usize, char)> = text.char_indices().collect();
    for (place, &(at, c)) in signs.iter().enumerate() {
        let last = place.checked_sub(1).and_then(|place| signs.get(place));
        let last = last.map_or(' ', |&(_, c)| c);
        let next = signs.get(place + 1).map_or(' ', |&(_, c)| c);
        lexer.sign(at, c, last, next);
    }
    lexer.end_word(text.len());
    lexer.close(Before::Comma);
    lexer.atoms
}

struct Lexer<'t> {
    text: &'t str,
    start: usize,
    atoms: Vec<Atom>,
    before: Before,
    bracketed: bool,
    words: Vec<Word>,
    /// Where the word that is being read begins.
    word: Option<usize>,
    /// Whether a hyphen stood before it.
    joins: bool,
}

impl Lexer<'_> {
    /// Takes one sign, with the one before it and the one after.
    fn sign(&mut self, at: usize, c: char, last: char, next: char) {
        let in_number = last.is_ascii_digit() && next.is_ascii_digit();
        let between = last.is_alphanumeric() && next.is_alphanumeric();
        let alone = last.is_whitespace() && (next.is_whitespace() || is_dash(next));
        match c {
            c if c.is_whitespace() => self.end_word(at),
            '(' | '[' | '{' => self.end(at, Before::Bracket),
            ')' | ']' | '}' => self.end(at, Before::AfterBracket),
            ';' | '|' => self.end(at, Before::Comma),
            '→' | '>' | '⇒' => self.end(at, Before::Arrow),
            ',' if !in_number => self.end(at, Before::Comma),
            ':' if !in_number => self.end(at, Before::Colon),
            '/' if alone => self.end(at, Before::Comma),
            '/' if between && self.cuts(at) => self.end_word(at),
            c if is_dash(c) && alone => self.end(at, Before::Dash),
            c if is_dash(c) && between && !in_number => {
                self.end_word(at);
                self.joins = true;
            }
            c if is_dash(c) && !between => self.end_word(at),
            '&' | '+' if !in_number => {
                self.end_word(at);
                self.word = Some(at);
                self.end_word(at + c.len_utf8());
            }
            '.' | '!' | '?' | '…' if !next.is_alphanumeric() => {
                let stops = c != '.' || !self.is_shortened(at);
                self.end_word(at);
                if stops {
                    self.end(at, Before::Stop);
                }
            }
            _ => {
                self.word.get_or_insert(at);
            }
        }
    }

    /// Whether a stroke parts two words, as in `br/side`; `R/L` and `1/2` stay whole.
    fn cuts(&self, at: usize) -> bool {
        let before = self.word.and_then(|from| self.text.get(from..at));
        let letters = before.map_or(0, |word| word.chars().count());
        let after = self.text.get(at + 1..).unwrap_or("");
        let following = after.chars().take_while(|c| c.is_alphanumeric()).count();
        letters > 1 && following > 1
    }

    fn is_shortened(&self, at: usize) -> bool {
        let word = self.word.and_then(|from| self.text.get(from..at));
        word.is_some_and(|word| {
            let letters = word.trim_start_matches(|c: char| !c.is_alphabetic());
            SHORTENED.contains(&letters.to_lowercase().as_str())
        })
    }

    /// Whether one point, and no more, stands in front of the digit at a place.
    fn is_decimal(&self, at: usize) -> bool {
        let (before, after) = self.text.split_at_checked(at).unwrap_or_default();
        let point = before.strip_suffix('.');
        let alone = point.is_some_and(|before| !before.ends_with(['.', '…']));
        alone && after.starts_with(|c: char| c.is_ascii_digit())
    }

    fn end_word(&mut self, at: usize) {
        let Some(from) = self.word.take() else {
            return;
        };
        let whole = self.text.get(from..at).unwrap_or("");
        let kept = |c: char| c.is_alphanumeric() || "½¼¾×".contains(c);
        let is_and = matches!(whole, "&" | "+");
        let lead = whole.len() - whole.trim_start_matches(|c| !kept(c)).len();
        let (text, from) = if is_and {
            (whole, from)
        } else {
            // “.5 min” is half a minute, and “...5 br” five breaths.
            let point = lead > 0 && self.is_decimal(from + lead);
            let lead = lead - usize::from(point);
            let text = whole.get(lead..).unwrap_or("");
            (text.trim_end_matches(|c| !kept(c)), from + lead)
        };
        if text.is_empty() {
            return;
        }
        self.words.push(Word {
            text: text.to_owned(),
            low: text.to_lowercase(),
            range: self.start + from..self.start + from + text.len(),
            joined: std::mem::take(&mut self.joins),
        });
    }

    fn end(&mut self, at: usize, next: Before) {
        self.end_word(at);
        self.close(next);
    }

    /// Ends the atom; `next` stands before the one that follows.
    fn close(&mut self, next: Before) {
        let words = std::mem::take(&mut self.words);
        if !words.is_empty() {
            self.atoms.push(Atom {
                before: self.before,
                bracketed: self.bracketed,
                words,
            });
            self.before = next;
        } else if rank(next) > rank(self.before) {
            self.before = next;
        }
        match next {
            Before::Bracket => self.bracketed = true,
            Before::AfterBracket => self.bracketed = false,
            _ => {}
        }
    }
}

/// Which of two signs in a row counts.
fn rank(before: Before) -> u8 {
    match before {
        Before::Start => 5,
        Before::AfterBracket => 0,
        Before::Comma | Before::Arrow => 1,
        Before::Dash => 2,
        Before::Stop => 3,
        Before::Colon | Before::Bracket => 4,
    }
}

fn is_dash(c: char) -> bool {
    matches!(c, '-' | '–' | '—' | '−')
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    /// Atoms as text, each with the first letter of what stands before it.
    fn told(line: &str) -> String {
        let atoms = atoms(line, 0);
        let shown: Vec<String> = atoms
            .iter()
            .map(|atom| format!("{:?} {}", atom.before, text(&atom.words)))
            .collect();
        shown.join(" | ")
    }

    #[rstest]
    #[case(
        "low lunge, each side, 3 breaths - knee down",
        "Start low lunge | Comma each side | Comma 3 breaths | Dash knee down"
    )]
    #[case("lunge-w2-rev x2", "Start lunge w2 rev x2")]
    #[case("5-8 br. ea side, R/L", "Start 5-8 br ea side | Comma R/L")]
    #[case("6+6, heels + tree", "Start 6+6 | Comma heels & tree")]
    #[case(
        "twist (ardha mats), janu",
        "Start twist | Bracket ardha mats | Comma janu"
    )]
    #[case("8 min sav. Doors 7!!", "Start 8 min sav | Stop Doors 7")]
    #[case("2,5 min at 19:15", "Start 2,5 min at 19:15")]
    #[case("child's pose → cat/cow", "Start child's pose | Arrow cat cow")]
    #[case("a -- b", "Start a | Dash b")]
    #[case("tree; w2 [rev]", "Start tree | Comma w2 | Bracket rev")]
    #[case("each side: tree", "Start each side | Colon tree")]
    #[case("tree / plank, R/ L", "Start tree | Comma plank | Comma R L")]
    #[case(
        "twist (ardha mats) janu",
        "Start twist | Bracket ardha mats | AfterBracket janu"
    )]
    // A sign that says more than the one beside it counts: an arrow beside a comma.
    #[case("w2 →, rev", "Start w2 | Arrow rev")]
    #[case("heels+toes", "Start heels & toes")]
    #[case("“w2”-rev", "Start w2 rev")]
    // A fraction stays whole.
    #[case("1/10 min, 15/2 min", "Start 1/10 min | Comma 15/2 min")]
    fn signs_part_words(#[case] line: &str, #[case] expected: &str) {
        assert_eq!(told(line).replace(" + ", " & "), expected);
    }

    #[test]
    fn only_what_stands_in_brackets_is_bracketed() {
        let atoms = atoms("twist (ardha mats) janu", 0);
        let bracketed: Vec<bool> = atoms.iter().map(|atom| atom.bracketed).collect();
        assert_eq!(bracketed, [false, true, false]);
    }

    /// A hyphen joins words only when both stand right at it.
    #[rstest]
    #[case("w2-rev", true)]
    #[case("w2 -rev", false)]
    #[case("w2- rev", false)]
    #[case("w2 rev", false)]
    fn a_hyphen_joins(#[case] line: &str, #[case] expected: bool) {
        let joined: Vec<bool> = atoms(line, 0)
            .iter()
            .flat_map(|atom| &atom.words)
            .map(|word| word.joined)
            .collect();
        assert_eq!(joined, [false, expected]);
    }

    #[rstest]
    #[case("look  up\tslowly\n", Some("look up slowly"))]
    #[case("look\u{202e} up", Some("look up"))]
    #[case(" \n", None)]
    #[case("\u{202e}", None)]
    fn words_in_one_line(#[case] words: &str, #[case] expected: Option<&str>) {
        assert_eq!(tidy(words).as_deref(), expected);
    }

    #[test]
    fn a_words_text_is_what_stands_at_its_place() {
        let line = "(½ min) “sav”, 李 *half moon* – 2×";
        for word in atoms(line, 0).iter().flat_map(|atom| &atom.words) {
            assert_eq!(line.get(word.range.clone()), Some(word.text.as_str()));
        }
    }
}
