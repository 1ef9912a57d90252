//! The reasons for a step in words.

use super::super::layout::{hanging, width, wrapped};
use super::super::teacher::CLOSING;
use super::super::words::{clock, lower, minutes, plural, without_places};
use super::Reasons;
use crate::adapt::{Change, Looked, Move, WAY};
use crate::adapted::Adapted;
use crate::library::Library;
use crate::search::LAST_PAUSE_COST;
use crate::search::candidate::OWN_SHAPE;
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
    let kept = reasons.kept_from.iter().any(|kept| kept.bars);
    if !reasons.kept_from.is_empty() {
        out.push(String::new());
        let taught = lower(&reasons.taught.name);
        let head = match (&reasons.instead, kept) {
            (Some(_), true) => format!("  Kept from {taught}"),
            (Some(_), false) => format!("  What the rules say of {taught}"),
            (None, _) => "  What the rules say of it".to_owned(),
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
            Some(source) => {
                let text = without_places(&source.text);
                let note = source.note.iter().map(|note| format!(". {note}"));
                let note: String = note.collect();
                format!("{}: {text}{note}", kept.strength.printed())
            }
            None => match kept.strength {
                crate::words::Strength::CommonPractice => {
                    "common practice; no study found".to_owned()
                }
                strength => strength.printed().to_owned(),
            },
        };
        out.extend(hanging("     ", &backing, 6, most));
    }
    if reasons.instead.is_some() && !kept {
        let line = match reasons.taught.posture.as_str() {
            OWN_SHAPE => {
                "No rule knows this shape of yours, so nothing is said of it here. Whoever told something is asked \
                 about it and has something else ready; what is fixed for them comes first."
            }
            _ => {
                "No rule keeps them from the taught shape: what is shown, the ways between shapes or the props \
                 decide."
            }
        };
        out.push(String::new());
        out.extend(hanging(" ", line, 2, most));
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
    // An angle of the trunk stands for what lies flat or hangs down: bare it would be read as a height.
    let of = match measure {
        "trunk_pitch_deg" => "the trunk at ",
        _ => "",
    };
    Some(format!("{of}{value}; the limit is {limit}"))
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
        let free = free(reasons, looked, library);
        let text = match (barred.as_slice(), chosen, &reasons.student) {
            ([], true, None) => "shown".to_owned(),
            ([], false, None) => format!("{} away from the shape taught", looked.cost),
            ([], true, Some(_)) => format!("{free}; chosen"),
            ([], false, Some(_)) => format!("{free}; {}", with_it(looked.more)),
            (barred, ..) => format!("still {}", barred.join(", and ")),
        };
        let label = format!("    {}", lower(&name(library, &looked.posture)));
        beside(&label, &text, most, out);
    }
}

/// How a shape that somebody may do stands to what was said of the taught one: free of it, or the same of it
/// in a form that eases it.
fn free(reasons: &Reasons, looked: &Looked, library: &Library) -> String {
    let of_taught =
        |of: &crate::words::DemandId| reasons.kept_from.iter().any(|one| one.demand == *of);
    let mut eased: Vec<String> = Vec::new();
    for finding in looked.verdicts.iter().filter(|one| of_taught(&one.demand)) {
        if let (Verdict::Ease, Some(easing)) = (finding.verdict, &finding.easing) {
            let words = format!(
                "{} too, only with “{easing}”",
                demand(library, &finding.demand)
            );
            if !eased.contains(&words) {
                eased.push(words);
            }
        }
    }
    match (reasons.kept_from.as_slice(), eased.as_slice()) {
        ([], _) => "open too".to_owned(),
        (_, []) => "free of that".to_owned(),
        (_, eased) => eased.join(", "),
    }
}

/// What the room's plan would be with one more person in a shape, in words.
fn with_it(more: Option<i64>) -> String {
    match more {
        None => "no way there, or no props left for it".to_owned(),
        Some(0) => "the room’s plan would be as near to the class with it".to_owned(),
        Some(more) if more >= i64::from(LAST_PAUSE_COST) => {
            "with it somebody would be left with nothing to do".to_owned()
        }
        Some(more) => format!("the room’s plan would be {more} further from the class with it"),
    }
}

/// What would move had the class been planned with another shape, or with one more choice: two questions, as
/// the first has another class to be near to.
fn moved(reasons: &Reasons, library: &Library, most: usize, out: &mut Vec<String>) {
    // A choice that only costs its own words brings nobody nearer.
    let idle = |moved: &Move| {
        let terms = moved.terms;
        moved.change == Change::Option && terms.stray == 0 && terms.change == 0 && terms.rest == 0
    };
    for (change, head) in [
        (
            Change::Lead,
            "Had you planned another shape here (minus: the room would stray less from that class)",
        ),
        (
            Change::Option,
            "Were one more choice said here (plus: further from your class)",
        ),
    ] {
        let asked: Vec<&Move> = reasons
            .moves
            .iter()
            .filter(|one| one.change == change)
            .collect();
        if asked.is_empty() {
            continue;
        }
        out.push(String::new());
        out.extend(hanging(" ", head, 2, most));
        if asked.iter().any(|moved| idle(moved)) {
            let line = "One more choice, of any shape not named below, would bring nobody nearer.";
            out.extend(hanging("   ", line, 4, most));
        }
        for moved in asked.into_iter().filter(|moved| !idle(moved)) {
            let shape = format!("    {}", lower(&name(library, &moved.posture)));
            beside(&shape, &terms(moved), most, out);
        }
    }
}

/// What a change moves, term by term.
fn terms(moved: &Move) -> String {
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
    match parts.as_slice() {
        [] => "nothing moves".to_owned(),
        parts => format!("{:+} in all: {}", moved.more, parts.join(", ")),
    }
}

/// A shape with what is said of it; a long name has its own line.
fn beside(label: &str, text: &str, most: usize, out: &mut Vec<String>) {
    if width(label) + 2 > COLUMN {
        out.push(label.to_owned());
        out.extend(hanging("", text, COLUMN, most));
    } else {
        out.extend(hanging(label, text, COLUMN, most));
    }
}

fn room(
    reasons: &Reasons,
    adapted: &Adapted,
    library: &Library,
    most: usize,
    out: &mut Vec<String>,
) {
    let open: usize = reasons.counts.iter().map(|count| count.students).sum();
    let total = open + reasons.private;
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
    if reasons.private > 0 {
        let number = reasons.private.to_string();
        out.extend(hanging("    kept private", &number, 44, most));
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
