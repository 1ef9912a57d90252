//! A reading of free text in short: the limitation, its site after a stroke, `:` side, `!` severity, `@`
//! date or weeks, `+` kind; then `ask` for what is not understood, `quiet` for a question without doubt
//! about the words, `reminder`, `private`, `touch`, `said` for a clinician's words, `nothing`.

use kindfold::lexicon::Read;
use kindfold::roster::{Heard, Limitation, ToldSide};
use kindfold::words::BodySide;

fn short(told: &Limitation) -> String {
    let mut text = told.what.to_string();
    if let Some(site) = &told.site {
        text += &format!("/{site}");
    }
    match told.side {
        Some(ToldSide::One(BodySide::Left)) => text += ":left",
        Some(ToldSide::One(BodySide::Right)) => text += ":right",
        Some(ToldSide::Both) => text += ":both",
        None => {}
    }
    if let Some(severity) = told.severity {
        text += &format!("!{severity}");
    }
    if let Some(weeks) = told.weeks {
        text += &format!("@{}", weeks.weeks);
        if let Some(days) = weeks.days {
            text += &format!("+{days}");
        }
    }
    if let Some(day) = told.on {
        text += &format!("@{}", day.latest);
    }
    if let Some(due) = told.due {
        text += &format!("@due {}", due.earliest);
    }
    for kind in &told.kind {
        text += &format!("+{kind}");
    }
    text
}

/// A reading in short.
pub(crate) fn in_short(read: &Read) -> String {
    let mut parts: Vec<String> = read.limitations.iter().map(short).collect();
    parts.extend(read.guidance.iter().map(|said| {
        let limits = said.limits.iter().map(|(demand, _)| demand.to_string());
        let allows = said.allows.iter().map(|demand| format!("may {demand}"));
        let acts: Vec<String> = limits.chain(allows).collect();
        format!("said {} {}", said.from, acts.join(" "))
            .trim_end()
            .to_owned()
    }));
    parts.extend(read.no_touch.then(|| "touch".to_owned()));
    parts.extend(read.unread.iter().map(|_| "ask".to_owned()));
    parts.extend(read.heard.iter().map(|heard| {
        match heard {
            Heard::Ask { .. } => "quiet",
            Heard::Reminder(_) => "reminder",
            Heard::Private(_) => "private",
        }
        .to_owned()
    }));
    parts.extend(read.nothing.then(|| "nothing".to_owned()));
    parts.join(", ")
}
