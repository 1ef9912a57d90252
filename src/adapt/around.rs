//! What to see to around a person: screen, height, hearing and sight, what a note says of chairs, print and
//! hours.
//!
//! Invariant: practical matters alone; nothing here is a health caution, and no shape is chosen by it.

use jiff::civil::Time;

use super::Scene;
use crate::input::suggest::fold;
use crate::judge::facts::Person;
use crate::roster::{Student, Where};
use crate::sheets::words::clock;

/// From which height on a longer ramp and a second strap are laid out (common practice, no source).
const TALL_CM: u32 = 185;

/// Up to which height feet may not reach the floor from a stacking chair (common practice, no source).
const SHORT_CM: u32 = 155;

/// What to see to around a person: their screen, their height, what a note says of chair and print.
/// `arms`: there are chairs with arms.
pub(super) fn around(student: &Student, arms: bool) -> impl Iterator<Item = String> {
    let video = (student.place == Where::Video)
        .then(|| "on video: send their card before class.".to_owned());
    let height = student.height_cm.and_then(|cm| {
        (cm >= TALL_CM)
            .then(|| format!("{cm} cm tall: room beyond the mat, a longer ramp, straps joined."))
    });
    let foot_step = wants_foot_step(student).then(|| match arms {
        true => format!("{FOOT_STEP} a chair with arms to rise."),
        false => format!("{FOOT_STEP} hands on the seat to rise, there is no chair with arms."),
    });
    let large = says(student, &LARGE_PRINT).then(|| PRINT_LARGE.to_owned());
    video
        .into_iter()
        .chain(height)
        .chain(foot_step)
        .chain(large)
}

/// Whether feet may not reach the floor from a stacking chair.
pub(super) fn wants_foot_step(student: &Student) -> bool {
    let short = student.height_cm.is_some_and(|cm| cm <= SHORT_CM);
    short || says(student, &FEET_OFF_THE_FLOOR)
}

/// What is seen to for feet that do not reach the floor (common practice, no source).
const FOOT_STEP: &str = "feet off the floor: 2 blocks or a folded blanket while sitting still, away before \
                         standing, back after;";

/// What is seen to for somebody who does not see small print (common practice, no source).
const PRINT_LARGE: &str = "large print on paper; say body part and direction.";

/// How notes say that feet hang, in six languages.
const FEET_OFF_THE_FLOOR: [&str; 7] = [
    "feet do not reach",
    "feet don't reach",
    "no llegan al suelo",
    "ne touchent pas le sol",
    "Füße erreichen den Boden nicht",
    "não chegam ao chão",
    "non toccano terra",
];

/// How notes speak of print, in six languages.
const LARGE_PRINT: [&str; 11] = [
    "large print",
    "glasses",
    "letra grande",
    "gafas",
    "gros caractères",
    "lunettes",
    "große Schrift",
    "Brille",
    "óculos",
    "caratteri grandi",
    "occhiali",
];

/// Whether the note about a person has one of these words.
fn says(student: &Student, words: &[&str]) -> bool {
    let note = student.note.as_deref().map(fold).unwrap_or_default();
    words.iter().any(|words| note.contains(&fold(words)))
}

/// What hearing, sight or language asks of the teacher; who may be touched may be tapped.
pub(super) fn access_advice(words: &str, may_tap: bool) -> String {
    match words {
        "deaf" if may_tap => {
            "deaf: in clear sight of your face; a light or a tap ends the rest and whatever is done with eyes \
             closed."
        }
        "deaf" => {
            "deaf: in clear sight of your face; a light ends the rest and whatever is done with eyes closed."
        }
        "hard of hearing" => "hard of hearing: face the light, speak up; a lamp ends the rest.",
        "blind" => "blind: say body part and direction; say when you come near.",
        "low vision" => "low vision: say body part and direction; clear the floor; print large.",
        other => return format!("{other}: show every shape first, few words."),
    }
    .to_owned()
}

/// Words that begin somebody's good hours.
const GOOD: [&str; 13] = [
    "good",
    "best",
    "buenas",
    "mejor",
    "bonnes",
    "meilleures",
    "gute",
    "beste",
    "boas",
    "melhores",
    "buone",
    "migliori",
    "bene",
];

/// Words that may stand between the word and the hours, or between the hours.
const BETWEEN: [&str; 34] = [
    "from", "hours", "time", "times", "about", "between", "around", "till", "until", "to", "and",
    "o", "clock", "a", "de", "desde", "hasta", "las", "horas", "heures", "entre", "jusqu", "à",
    "von", "bis", "zwischen", "und", "Uhr", "Stunden", "das", "até", "ore", "dalle", "alle",
];

/// Hours as words.
const HOURS: [&str; 12] = [
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
];

/// Good hours as a note gives them: its own words, and minutes of the day; both before noon where nothing
/// says otherwise.
fn hours_in(note: &str) -> Option<(&str, u32, u32)> {
    let mut words: Vec<(usize, &str)> = Vec::new();
    for word in note.split(|c: char| !c.is_alphanumeric() && c != ':') {
        let from = word.as_ptr() as usize - note.as_ptr() as usize;
        if !word.is_empty() {
            words.push((from, word));
        }
    }
    let is = |word: &str, list: &[&str]| list.iter().any(|known| fold(known) == fold(word));
    let begun = words.iter().position(|(_, word)| is(word, &GOOD))?;
    let mut found = Vec::new();
    for &(from, word) in words.iter().skip(begun + 1) {
        match minute_of_day(word) {
            Some(minute) => found.push((from + word.len(), minute)),
            None if is(word, &BETWEEN) => {}
            None => break,
        }
    }
    let (&(_, first), &(end, last)) = (found.first()?, found.get(1)?);
    let start = words.get(begun)?.0;
    Some((note.get(start..end)?, first, last))
}

fn minute_of_day(word: &str) -> Option<u32> {
    if let Some(hour) = HOURS.iter().position(|hour| fold(hour) == fold(word)) {
        return u32::try_from(hour + 1).ok().map(|hour| hour * 60);
    }
    let (hour, minute) = word.split_once(':').unwrap_or((word, "0"));
    let (hour, minute): (u32, u32) = (hour.parse().ok()?, minute.parse().ok()?);
    (hour < 24 && minute < 60).then_some(hour * 60 + minute)
}

/// Half a day, in minutes.
const HALF_DAY: u32 = 12 * 60;

impl Scene<'_> {
    /// Of whoever asked for their back to the wall: whose place it is, or that there are too few.
    pub(super) fn at_the_wall(&self, person: &Person<'_>) -> Option<String> {
        let counted = self.room.stock.is_some();
        person.student.wants_the_wall().then(|| match self.room.wall_kept || !counted {
            true => "a place at the wall is theirs for the whole class.".to_owned(),
            false => {
                "asks for a place at the wall; there are too few for all who do: a corner, or a place with \
                 nobody behind."
                    .to_owned()
            }
        })
    }

    /// Good hours in a note beside the class's own; none without a start. Of morning and afternoon what
    /// lies nearer to the class is meant.
    pub(super) fn good_hours(&self, note: &str) -> Option<String> {
        let start = self.task.class.start?;
        let (words, first, last) = hours_in(note)?;
        let begins = u32::try_from(start.hour()).ok()? * 60 + u32::try_from(start.minute()).ok()?;
        let ends = begins + self.table.planned_s.div_ceil(60);
        let last = if last <= first { last + HALF_DAY } else { last };
        let later = (last <= HALF_DAY).then_some((first + HALF_DAY, last + HALF_DAY));
        let off = |(first, _): &(u32, u32)| first.abs_diff(begins);
        let (first, last) = std::iter::once((first, last))
            .chain(later)
            .min_by_key(off)?;
        let at = |minute: u32| clock(Some(Time::midnight()), minute * 60);
        let within = first <= begins && ends <= last;
        let lies = if within {
            "lies within them"
        } else {
            "does not: rests early, or another hour"
        };
        Some(format!(
            "“{words}”: {} to {}; the class, {} to {}, {lies}.",
            at(first),
            at(last),
            at(begins),
            at(ends)
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn good_hours_are_read_as_people_write_them() {
        let hours = |note| hours_in(note).map(|(_, first, last)| (first, last));
        assert_eq!(
            hours("good from one till about three, after her tablet"),
            Some((60, 180))
        );
        assert_eq!(hours("stick; good hours 13:00-15:30"), Some((780, 930)));
        assert_eq!(hours("mejor de 10 a 12"), Some((600, 720)));
        assert_eq!(hours("good with children, two of them"), None);
        assert_eq!(hours("three blankets from two to four"), None);
        let quoted = hours_in("stick; good hours one till three; loud").map(|(words, ..)| words);
        assert_eq!(quoted, Some("good hours one till three"));
    }
}
