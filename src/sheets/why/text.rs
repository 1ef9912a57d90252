//! The reasons for a step in words.

use super::super::layout::{hanging, width, wrapped};
use super::super::teacher::CLOSING;
use super::super::words::{clock, lower, minutes, plural};
use super::Reasons;
use crate::adapt::{Change, Move, WAY};
use crate::adapted::Adapted;
use crate::library::Library;
use crate::words::{StudentId, Verdict};

/// Where the answers stand beside the shapes that were looked at.
const COLUMN: usize = 40;

/// The reasons in words.
pub fn text(reasons: &Reasons, adapted: &Adapted, library: &Library, most: usize) -> String {
    let mut out = Vec::new();
    let step = adapted.steps.iter().find(|step| step.line == reasons.line);
    if let Some(step) = step {
        let start = adapted.class.start.as_deref().and_then(|start| {
            let (hour, minute) = start.split_once(':')?;
            jiff::civil::Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
        });
        let at = clock(start, step.start_s);
        let head = format!(
            "Step {}, {at}: {}, {}",
            reasons.line,
            lower(&reasons.taught.name),
            minutes(step.hold_s)
        );
        match &reasons.student {
            Some(_) => out.extend(wrapped(&head, most)),
            None => {
                let shown = match &reasons.instead {
                    Some(instead) => {
                        format!("; shown as {}", lower(&name(library, &instead.posture)))
                    }
                    None => "; shown as planned".to_owned(),
                };
                out.extend(wrapped(
                    &format!(
                        "Step {}, {at}: planned as {}{shown}",
                        reasons.line,
                        lower(&reasons.taught.name)
                    ),
                    most,
                ));
            }
        }
    }
    match &reasons.student {
        Some(id) => person(reasons, id, adapted, library, most, &mut out),
        None => room(reasons, adapted, library, most, &mut out),
    }
    out.push(String::new());
    out.extend(wrapped(CLOSING, most));
    out.join("\n") + "\n"
}

fn name(library: &Library, id: &crate::words::PostureId) -> String {
    library.postures.get(id).map_or_else(
        || id.as_str().replace('-', " "),
        |posture| posture.name().to_owned(),
    )
}

fn demand(library: &Library, id: &crate::words::DemandId) -> String {
    library
        .demands
        .get(id)
        .map_or_else(|| id.to_string(), |demand| demand.words.clone())
}

/// A number with its unit, by the measure's name.
fn number(measure: &str, value: f64) -> String {
    let base = measure.split('.').next().unwrap_or(measure);
    match base {
        base if base.ends_with("_deg") => format!("{value:.0}°"),
        base if base.ends_with("_pct") => format!("{value:.0} % of body weight"),
        base if base.ends_with("_cm") => format!("{value:.0} cm"),
        base if base.ends_with("_s") => format!("{value:.0} s"),
        _ => format!("{value}"),
    }
}

fn person(
    reasons: &Reasons,
    id: &StudentId,
    adapted: &Adapted,
    library: &Library,
    most: usize,
    out: &mut Vec<String>,
) {
    let who = adapted.students.iter().find(|student| student.id == *id);
    let who = who.map_or(id.as_str(), |student| student.name.as_str());
    let done = match &reasons.instead {
        Some(instead) => format!(
            "{who} does instead: {}",
            lower(&name(library, &instead.posture))
        ),
        None => format!("{who} does it as taught."),
    };
    out.extend(wrapped(&done, most));
    if !reasons.kept_from.is_empty() {
        out.push(String::new());
        let head = match reasons.instead {
            Some(_) => format!("  Kept from {}", lower(&reasons.taught.name)),
            None => "  What the rules say of it".to_owned(),
        };
        out.push(head);
    }
    for kept in &reasons.kept_from {
        let side = side_of(&kept.measure);
        let met = match (
            met(&kept.measure, kept.value, kept.limit),
            kept.measure == WAY,
        ) {
            (Some(met), _) => met,
            (None, true) => "asked by the way there".to_owned(),
            (None, false) => "known from the shape itself".to_owned(),
        };
        out.extend(hanging(
            "   ",
            &format!("{}{side}: {met}", demand(library, &kept.demand)),
            4,
            most,
        ));
        out.extend(hanging("     ", &kept.because, 6, most));
        if !kept.told.is_empty() {
            out.extend(hanging("     ", &format!("told: {}", kept.told), 6, most));
        }
        let source = kept.source.as_ref().and_then(|id| library.sources.get(id));
        let backing = match source {
            Some(source) => match &source.note {
                Some(note) => format!("{}: {} {note}", kept.strength.printed(), source.text),
                None => format!("{}: {}", kept.strength.printed(), source.text),
            },
            None => match kept.strength {
                crate::words::Strength::CommonPractice => {
                    "common practice; no study found".to_owned()
                }
                strength => strength.printed().to_owned(),
            },
        };
        out.extend(hanging("     ", &backing, 6, most));
    }
    looked(reasons, library, most, out);
    out.push(String::new());
    let lost: Vec<&str> = reasons
        .given_up
        .iter()
        .map(|id| library.purposes.get(id).map_or(id.as_str(), String::as_str))
        .collect();
    let given_up = match lost.as_slice() {
        [] => "Given up: nothing.".to_owned(),
        lost => format!("Given up: {}.", lost.join(", ")),
    };
    out.extend(hanging(" ", &given_up, 2, most));
}

/// The side that a measure was read on, in brackets.
fn side_of(measure: &str) -> String {
    measure
        .split_once('.')
        .map_or(String::new(), |(_, side)| format!(" ({side})"))
}

/// The number and the limit it met.
fn met(measure: &str, value: Option<f64>, limit: Option<f64>) -> Option<String> {
    let (value, limit) = (number(measure, value?), number(measure, limit?));
    Some(format!("{value}; the limit is {limit}"))
}

fn looked(reasons: &Reasons, library: &Library, most: usize, out: &mut Vec<String>) {
    if reasons.looked_at.is_empty() {
        return;
    }
    out.push(String::new());
    out.push("  Looked at, nearest first".to_owned());
    for looked in &reasons.looked_at {
        let barred: Vec<String> = looked
            .verdicts
            .iter()
            .filter(|finding| {
                finding.verdict >= Verdict::Ease && finding.easing.is_none()
                    || finding.verdict >= Verdict::AskFirst
            })
            .map(|finding| {
                let demand = demand(library, &finding.demand);
                let side = side_of(&finding.measure);
                match met(&finding.measure, finding.value, finding.limit) {
                    Some(met) => format!("{demand}{side}: {met}"),
                    None => demand,
                }
            })
            .collect();
        let chosen = reasons
            .instead
            .as_ref()
            .is_some_and(|instead| instead.posture == looked.posture);
        let free = match reasons.kept_from.as_slice() {
            [] => "open too",
            _ => "free of that",
        };
        let text = match (barred.as_slice(), chosen) {
            ([], true) => format!("{free}; chosen"),
            ([], false) => match (&reasons.student, looked.more) {
                (None, _) => format!("{} away from the shape taught", looked.cost),
                (Some(_), Some(more)) => {
                    format!("{free}; the plan would cost {more} more with it")
                }
                (Some(_), None) => format!("{free}; no way there, or no props left for it"),
            },
            (barred, _) => format!("still {}", barred.join(", and ")),
        };
        let label = format!("    {}", lower(&name(library, &looked.posture)));
        // A long name has its own line.
        if width(&label) + 2 > COLUMN {
            out.push(label);
            out.extend(hanging("", &text, COLUMN, most));
        } else {
            out.extend(hanging(&label, &text, COLUMN, most));
        }
    }
}

/// What another lead or one more choice would move.
fn moved(reasons: &Reasons, library: &Library, most: usize, out: &mut Vec<String>) {
    if reasons.moves.is_empty() {
        return;
    }
    out.push(String::new());
    out.push("  What would move if you changed it (less is nearer to your class)".to_owned());
    // A choice that only costs its own words brings nobody nearer.
    let idle = |moved: &&Move| {
        let terms = moved.terms;
        moved.change == Change::Option && terms.stray == 0 && terms.change == 0 && terms.rest == 0
    };
    if reasons.moves.iter().any(|moved| idle(&moved)) {
        let line = "One more choice, of any shape not named below, would bring nobody nearer.";
        out.extend(hanging("    ", line, 4, most));
    }
    for moved in reasons.moves.iter().filter(|moved| !idle(moved)) {
        let shape = lower(&name(library, &moved.posture));
        let change = match moved.change {
            Change::Lead => format!("    {shape} shown to all"),
            Change::Option => format!("    {shape} as one more choice"),
        };
        let terms = moved.terms;
        let parts: Vec<String> = [
            (terms.stray, "away from what is taught"),
            (terms.options, "choices to say"),
            (terms.excess, "choices above your limit"),
            (terms.lead, "taught shapes not offered"),
            (terms.change, "changes of level and props"),
            (terms.rest, "sitting out"),
        ]
        .into_iter()
        .filter(|(moved, _)| *moved != 0)
        .map(|(moved, what)| format!("{what} {moved:+}"))
        .collect();
        let text = match parts.as_slice() {
            [] => "nothing moves".to_owned(),
            parts => format!("{:+} in all: {}", moved.more, parts.join(", ")),
        };
        out.extend(hanging(&change, &text, 44, most));
    }
}

fn room(
    reasons: &Reasons,
    adapted: &Adapted,
    library: &Library,
    most: usize,
    out: &mut Vec<String>,
) {
    let private: usize = adapted
        .students
        .iter()
        .filter(|student| student.confidential)
        .count();
    let total: usize = reasons.counts.iter().map(|count| count.students).sum();
    out.push(String::new());
    let line = format!(
        "{total} of {} could not take {} as it is",
        plural(adapted.students.len(), "person", "people"),
        lower(&reasons.taught.name)
    );
    out.extend(hanging(" ", &line, 2, most));
    for count in &reasons.counts {
        out.extend(hanging(
            &format!("    {}", demand(library, &count.demand)),
            &count.students.to_string(),
            44,
            most,
        ));
    }
    if private > 0 && total > 0 {
        out.extend(hanging(
            "   ",
            "people who keep it private are counted in",
            4,
            most,
        ));
    }
    looked(reasons, library, most, out);
    moved(reasons, library, most, out);
    out.push(String::new());
    let proof = if adapted.plan.proved_optimal {
        "This is the least change to your class under your settings (proved)."
    } else {
        "This is the best plan found; a better one may exist."
    };
    out.extend(hanging(" ", proof, 2, most));
}
