//! The home sheet: a few things to do alone, big and plain, with a list to fill in.
//!
//! Invariant: no condition is named; health words are only the stop signs and what a clinician said.
//! Short sentences, one action a line, for a reading age of 9 to 11.

use jiff::civil::Date;

use super::clinicians;
use super::figure::Size;
use super::page::{Block, Document, Item, Page};
use super::words::{breaths, capital, lower, plural, prop_words};
use crate::home::{Home, HomeStep, Need, Sides};
use crate::library::Library;
use crate::settings::Settings;
use crate::words::{Level, Prop};

/// Figures of standing and of lying shapes, and the same in large print (`sheets.md` 2.6).
const UPRIGHT: [Size; 2] = [size(43.0, 28.0), size(60.0, 52.0)];
/// Of six things, smaller, so that the stop signs stay on the front page.
const UPRIGHT_OF_SIX: [Size; 2] = [size(43.0, 21.0), size(60.0, 48.0)];
const LYING: [Size; 2] = [size(43.0, 22.0), size(60.0, 34.0)];

const HELP: &str = "Stop and get help";
const SORE: &str = "Sore for more than 3 days? Ask your doctor or physio. What they tell you comes before \
                    this sheet.";

const fn size(width_mm: f64, height_mm: f64) -> Size {
    Size {
        width_mm,
        height_mm,
    }
}

/// The sheet; in large print the stop signs begin a page of their own.
pub fn sheet(home: &Home, settings: &Settings, library: &Library, large: bool) -> Document {
    let first = home.student.split_whitespace().next();
    let name = first.unwrap_or(&home.student);
    let mut pages = vec![front(home, name, library)];
    if !home.steps.is_empty() {
        let help = help_lines(home, settings);
        if large {
            pages.push(Page {
                title: HELP.to_owned(),
                when: String::new(),
                blocks: help,
            });
        } else {
            pages[0].blocks.push(Block::Heading(HELP.to_owned()));
            pages[0].blocks.extend(help);
        }
        pages.push(log(home, settings));
    }
    Document {
        title: format!("{name} at home"),
        kind: "home sheet",
        style: "card home",
        pages,
    }
}

fn front(home: &Home, name: &str, library: &Library) -> Page {
    let made = format!(
        "Made on {}. Look at it again with your teacher by {}.",
        day(&home.made_on),
        day(&home.review_by)
    );
    let mut blocks = Vec::new();
    if home.steps.is_empty() {
        blocks.push(Block::Line(
            "There is no sheet yet. For the teacher, to ask first:".to_owned(),
        ));
        blocks.push(Block::List(
            home.ask.iter().map(|ask| capital(ask)).collect(),
        ));
        return Page {
            title: format!("{name}: at home"),
            when: String::new(),
            blocks,
        };
    }
    let days = match home.days {
        1 => "1 day a week".to_owned(),
        7 => "every day".to_owned(),
        days => format!("{days} days a week"),
    };
    let minutes = plural(whole(home.minutes), "minute", "minutes");
    let busy = home
        .busy_day_item
        .map(|item| format!(" Too busy? Do number {item}."));
    blocks.push(Block::Line(format!(
        "{minutes}, {days}.{} Stop sooner whenever you like.",
        busy.unwrap_or_default()
    )));
    blocks.push(Block::Line(needs(&home.needs)));
    for step in &home.steps {
        blocks.push(Block::Item(item(step, library, home.steps.len() > 5)));
    }
    blocks.extend(clinicians::said(home.cautions.iter(), "Your", None));
    Page {
        title: format!("{name}: at home"),
        when: made,
        blocks,
    }
}

fn item(step: &HomeStep, library: &Library, many: bool) -> Item {
    let posture = library.postures.get(&step.posture);
    let lying = posture.is_some_and(|posture| {
        matches!(
            posture.level,
            Level::Supine | Level::Prone | Level::SideLying
        )
    });
    let lead = posture.and_then(|posture| posture.lead.as_deref());
    let mut lines = step.how.clone();
    lines.push(hold(step));
    let easier = step.easier.as_ref();
    lines.extend(easier.map(|easier| format!("Easier: {}.", lower(&easier.name))));
    Item {
        heading: format!("{}. {}", step.index, step.name),
        first: sides(step, lead),
        lines,
        figure: Some((step.posture.clone(), step.first_side)),
        size: match (lying, many) {
            (true, _) => LYING,
            (false, false) => UPRIGHT,
            (false, true) => UPRIGHT_OF_SIX,
        },
    }
}

/// Which side, and which first: "Left leg in front first, then right."
fn sides(step: &HomeStep, lead: Option<&str>) -> Option<String> {
    let side = super::words::side(step.first_side);
    let other = super::words::side(step.first_side.mirrored());
    let lead = lead.unwrap_or("side");
    match step.side {
        Sides::Each => Some(format!("{}: {side} first, then {other}.", capital(lead))),
        Sides::Left | Sides::Right => Some(format!("{}: {side} only.", capital(lead))),
        Sides::None => None,
    }
}

/// How long, in breaths and on the clock.
fn hold(step: &HomeStep) -> String {
    let each = if step.side == Sides::Each {
        " on each side"
    } else {
        ""
    };
    let clock = about(step.hold_s);
    let of_each = if step.side == Sides::Each {
        " each"
    } else {
        ""
    };
    if step.repeats > 1 {
        return format!("{} times{each}, about {clock}{of_each}.", step.repeats);
    }
    // Nobody counts the breaths of a rest.
    if step.hold_s >= 110 {
        return format!("Stay for {clock}{each}. Set a quiet timer.");
    }
    format!(
        "{}{each}, about {clock}{of_each}.",
        capital(&breaths(step.breaths))
    )
}

/// A time as people say it: "20 seconds", "1 minute", "2½ minutes".
fn about(seconds: u32) -> String {
    if seconds < 55 {
        return format!("{} seconds", ((seconds + 2) / 5).max(1) * 5);
    }
    match ((seconds + 15) / 30 / 2, (seconds + 15) / 30 % 2) {
        (1, 0) => "1 minute".to_owned(),
        (whole, 0) => format!("{whole} minutes"),
        (whole, _) => format!("{whole}½ minutes"),
    }
}

/// What to have ready: "You need a mat or rug, a chair (a dining chair without wheels) and a phone near."
fn needs(needs: &[Need]) -> String {
    let mut things = Vec::new();
    for need in needs {
        things.push(match (need.prop, &need.stand_in) {
            (Prop::Mat, _) => "a mat or a rug that does not slip".to_owned(),
            (Prop::Wall, _) => "a clear wall".to_owned(),
            (prop, None) => format!("a {}", prop_words(prop).0),
            (prop, Some(other)) => format!("a {} (or {other})", prop_words(prop).0),
        });
    }
    if things.is_empty() {
        return "You need a phone near.".to_owned();
    }
    format!("You need {} and a phone near.", things.join(", "))
}

fn help_lines(home: &Home, settings: &Settings) -> Vec<Block> {
    let signs = capital(&home.warning_signs.join("; "));
    let call = match &settings.emergency {
        Some(number) => format!("If it does not pass, call {number}."),
        None => "If it does not pass, call ________.".to_owned(),
    };
    vec![Block::Line(format!("{signs}. {call}"))]
}

/// A line for each day to the review, then how to reach the teacher.
fn log(home: &Home, settings: &Settings) -> Page {
    let made: Option<Date> = home.made_on.parse().ok();
    let review: Option<Date> = home.review_by.parse().ok();
    let days = made.zip(review).map_or(14, |(made, review)| {
        usize::try_from((review - made).get_days()).unwrap_or(14)
    });
    let lines = (days * whole(home.days)).div_ceil(7);
    Page {
        title: "Date and how it felt".to_owned(),
        when: String::new(),
        blocks: vec![
            Block::Line(SORE.to_owned()),
            Block::Ruled("Write a line each time".to_owned(), lines),
            Block::Field("Teacher".to_owned(), settings.teacher.clone()),
            Block::Field("To reach me".to_owned(), home.contact.clone()),
        ],
    }
}

fn day(iso: &str) -> String {
    let date: Option<Date> = iso.parse().ok();
    date.map_or_else(
        || iso.to_owned(),
        |date| date.strftime("%-d %B %Y").to_string(),
    )
}

fn whole(number: u32) -> usize {
    usize::try_from(number).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case(18, "20 seconds")]
    #[case(50, "50 seconds")]
    #[case(60, "1 minute")]
    #[case(88, "1½ minutes")]
    #[case(300, "5 minutes")]
    fn times_are_said_as_people_say_them(#[case] seconds: u32, #[case] said: &str) {
        assert_eq!(about(seconds), said);
    }
}
