//! Small words of the sheets: plurals, minutes, clock times, sides.

use jiff::civil::Time;

use crate::words::{Prop, Side};

/// One and many of a noun: "1 block", "3 blocks".
pub fn plural(number: usize, one: &str, many: &str) -> String {
    if number == 1 {
        format!("1 {one}")
    } else {
        format!("{number} {many}")
    }
}

/// So many of a prop.
pub fn counted(number: u32, prop: Prop) -> String {
    let (one, many) = prop_words(prop);
    plural(usize::try_from(number).unwrap_or(usize::MAX), one, many)
}

/// What to lay by for choices that anyone may take, though nobody is planned on them.
pub fn on_choice(props: impl Iterator<Item = (Prop, u32)>) -> Option<String> {
    let words = |(prop, number)| match number {
        1 => format!("a {}", prop_words(prop).0),
        number => counted(number, prop),
    };
    let one_each: Vec<String> = props.map(words).collect();
    let where_there = match one_each.len() {
        0 => return None,
        1 => "if there is one",
        _ => "if they are there",
    };
    Some(format!(
        "{} for what anyone may choose, {where_there}",
        listed(&one_each)
    ))
}

/// A prop, one and many.
pub fn prop_words(prop: Prop) -> (&'static str, &'static str) {
    match prop {
        Prop::Mat => ("mat", "mats"),
        Prop::Block => ("block", "blocks"),
        Prop::Blanket => ("blanket", "blankets"),
        Prop::Bolster => ("bolster", "bolsters"),
        Prop::Strap => ("strap", "straps"),
        Prop::Chair => ("chair", "chairs"),
        Prop::ChairWithArms => ("chair with arms", "chairs with arms"),
        Prop::Stool => ("stool", "stools"),
        Prop::Table => ("table", "tables"),
        Prop::Pillow => ("pillow", "pillows"),
        Prop::Cushion => ("cushion", "cushions"),
        Prop::Wedge => ("wedge", "wedges"),
        Prop::Towel => ("towel", "towels"),
        Prop::Wall => ("place at the wall", "places at the wall"),
    }
}

/// "step 4", "steps 4, 5 and 9", with runs as "10 to 15".
pub(crate) fn steps(lines: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &line in lines {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == line => *last = line,
            _ => runs.push((line, line)),
        }
    }
    let words: Vec<String> = runs
        .into_iter()
        .flat_map(|(first, last)| match last - first {
            0 => vec![first.to_string()],
            1 => vec![first.to_string(), last.to_string()],
            _ => vec![format!("{first} to {last}")],
        })
        .collect();
    let noun = if lines.len() == 1 { "step" } else { "steps" };
    format!("{noun} {}", listed(&words))
}

/// "a, b and c".
pub fn listed(words: &[String]) -> String {
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, first)) => format!("{} and {last}", first.join(", ")),
        None => String::new(),
    }
}

/// A duration in half minutes: "½ min", "1½ min", "3 min".
pub fn minutes(seconds: u32) -> String {
    let halves = (seconds + 15) / 30;
    match (halves / 2, halves % 2) {
        (0, 0 | 1) => "½ min".to_owned(),
        (whole, 0) => format!("{whole} min"),
        (whole, _) => format!("{whole}½ min"),
    }
}

/// The clock at so many seconds from the start, rounded down to the minute; minutes from 0 when
/// the plan has no start.
pub fn clock(start: Option<Time>, seconds: u32) -> String {
    match start {
        Some(start) => {
            let total = u32::try_from(i32::from(start.hour()) * 60 + i32::from(start.minute()))
                .unwrap_or(0)
                + seconds / 60;
            format!("{:02}:{:02}", total / 60 % 24, total % 60)
        }
        None => format!("min {}", seconds / 60),
    }
}

/// Breaths as read aloud: "5 breaths", "½ breath".
pub fn breaths(number: f64) -> String {
    let halves = (number * 2.0).round();
    let whole = (halves / 2.0).floor();
    match (whole, halves % 2.0 > 0.0) {
        (1.0, false) => "1 breath".to_owned(),
        (whole, false) => format!("{whole} breaths"),
        (0.0, true) => "½ breath".to_owned(),
        (whole, true) => format!("{whole}½ breaths"),
    }
}

/// How words about a way between levels begin: down, across and up.
pub const GOING: [&str; 3] = ["going down", "going over", "coming up"];

/// Which way words lead between levels, and the words after it; none where they are about none.
pub fn way(words: &str) -> Option<(&str, &str)> {
    let way = words.split_once(": ");
    way.filter(|(going, _)| GOING.contains(going))
}

/// The side in a word; nothing for none.
pub fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::None => "",
    }
}

/// Words after the side of the body that they are for, where one is meant: behind them it would be read with
/// their last word (“the other arm free (right)”). Which way somebody goes stays first.
pub fn with_side(words: &str, on: Side) -> String {
    if on == Side::None {
        return words.to_owned();
    }
    match way(words) {
        Some((going, words)) => format!("{going}, for the {}: {words}", side(on)),
        None => format!("for the {}: {}", side(on), lower(words)),
    }
}

/// The first letter small, unless the word is all capitals.
pub fn lower(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().collect::<String>() + &text[first.len_utf8()..]
        }
        _ => text.to_owned(),
    }
}

/// The first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// The code of the language that somebody speaks, if it is told.
pub(super) fn speaks(access: &[String]) -> Option<String> {
    let code = access.iter().find_map(|one| one.strip_prefix("speaks: "))?;
    Some(code.to_owned())
}

/// A source without its places in the project's own notes, "(OC-57 to OC-60)", which end its text.
pub(super) fn without_places(text: &str) -> &str {
    let numbered = |mark: &str, places: &str| {
        let number = places.strip_prefix(mark);
        number.is_some_and(|number| number.starts_with(|first: char| first.is_ascii_digit()))
    };
    match text.rsplit_once(" (") {
        Some((start, places)) if ["OC-", "R", "V "].iter().any(|one| numbered(one, places)) => {
            start.trim_end_matches('.')
        }
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case(10, "½ min")]
    #[case(44, "½ min")]
    #[case(60, "1 min")]
    #[case(90, "1½ min")]
    #[case(660, "11 min")]
    fn durations_are_in_half_minutes(#[case] seconds: u32, #[case] words: &str) {
        assert_eq!(minutes(seconds), words);
    }

    #[rstest]
    #[case(&[4], "step 4")]
    #[case(&[4, 5], "steps 4 and 5")]
    #[case(&[4, 9, 10, 11, 15], "steps 4, 9 to 11 and 15")]
    fn steps_are_counted_in_runs(#[case] lines: &[usize], #[case] words: &str) {
        assert_eq!(steps(lines), words);
    }

    #[test]
    fn the_clock_rounds_down() {
        let start = jiff::civil::time(19, 15, 0, 0);
        assert_eq!(clock(Some(start), 119), "19:16");
        assert_eq!(clock(None, 119), "min 1");
    }
}
