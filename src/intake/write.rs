//! The text of a roster.
//!
//! Takes people; gives back YAML with remarks: what each column was taken for, and what has to be
//! asked, beside the person. Invariant: whatever stood in the cells, the text reads back as a roster
//! (contract 4.2).

use super::columns::{By, Plan};
use super::entry::Item;
use super::guidance::Said;
use super::person::{Answer, People, Person};
use super::sheet::Sheet;
use super::yaml;

/// A new roster.
pub(super) fn roster(sheet: &Sheet, plan: &Plan, read: &People) -> String {
    let mut out = String::new();
    let file = sheet.name.rsplit(['/', '\\']).next().unwrap_or(&sheet.name);
    line(
        &mut out,
        &format!(
            "# Made from {}. Yours to change: remarks like this one, and keys, stay",
            yaml::remark(file)
        ),
    );
    line(
        &mut out,
        "# when a newer sheet is merged (kindfold intake NEWER --merge THIS -o THIS).",
    );
    line(&mut out, "# What each column was taken for:");
    for proposal in &plan.proposals {
        let heading = if proposal.heading.is_empty() {
            String::new()
        } else {
            format!(" “{}”", yaml::remark(&proposal.heading))
        };
        line(
            &mut out,
            &format!(
                "#   {}{heading}: {}{}",
                proposal.letter,
                proposal.means.label(),
                reason(proposal.by)
            ),
        );
    }
    out.push('\n');
    let remark = if read.recorded_is_today {
        "   # ask: no day stands on the sheet, so this is today’s; change it if the answers are older"
    } else {
        ""
    };
    line(&mut out, &format!("recorded: {}{remark}", read.recorded));
    line(&mut out, "students:");
    for person in &read.people {
        out.push_str(&student(person, "  "));
    }
    out
}

/// Why a column is taken for what it is, for a reader.
pub(crate) fn reason(by: By) -> &'static str {
    match by {
        By::Heading => "",
        By::Content => " (by what stands in it)",
        By::Teacher => " (as you said)",
        By::Nothing => " (its heading says nothing to me)",
    }
}

fn line(out: &mut String, text: &str) {
    out.push_str(text);
    out.push('\n');
}

/// A person as an entry of `students`, indented.
pub(super) fn student(person: &Person, indent: &str) -> String {
    let mut out = String::new();
    line(
        &mut out,
        &format!("{indent}- name: {}", yaml::text(&person.name)),
    );
    let inner = format!("{indent}  ");
    for ask in &person.ask {
        line(
            &mut out,
            &format!("{inner}# ask: {}", yaml::remark(&ask.words)),
        );
    }
    if let Some(day) = person.recorded {
        line(&mut out, &format!("{inner}recorded: {day}"));
    }
    if let Some((value, remark)) = asked(person.answer, person.keep_notes) {
        line(&mut out, &format!("{inner}asked: {value}   # {remark}"));
    }
    if !person.keep_notes {
        line(&mut out, &format!("{inner}keep_notes: no"));
    }
    if person.answer == Answer::Nothing {
        line(
            &mut out,
            &format!("{inner}limitations: []   # asked, and nothing to tell"),
        );
    }
    list(&mut out, &inner, "limitations", &person.told);
    list(&mut out, &inner, "today", &person.today);
    if !person.said.is_empty() {
        line(&mut out, &format!("{inner}guidance:"));
    }
    for said in &person.said {
        line(&mut out, &format!("{inner}  - {}", guidance(said)));
    }
    for (key, value) in scalars(person) {
        line(&mut out, &format!("{inner}{key}: {value}"));
    }
    out
}

/// The value of `asked` and why, where it is not yes.
pub(super) fn asked(answer: Answer, keep_notes: bool) -> Option<(&'static str, &'static str)> {
    match answer {
        Answer::Told | Answer::Nothing => None,
        Answer::Blank => Some(("blank", "left blank on the sheet: unknown, never “nothing”")),
        Answer::NotAsked => Some(("no", "the sheet says: not asked")),
        Answer::NoColumn => Some(("no", "no column of the sheet asks")),
        Answer::Declined if keep_notes => Some(("declined", "would rather not say")),
        Answer::Declined => Some(("declined", "gave no leave to keep notes")),
    }
}

fn list(out: &mut String, indent: &str, key: &str, items: &[Item]) {
    if items.is_empty() {
        return;
    }
    line(out, &format!("{indent}{key}:"));
    for item in items {
        line(out, &format!("{indent}  - {}", item.as_yaml()));
    }
}

/// What a clinician said, as an entry.
pub(super) fn guidance(said: &Said) -> String {
    let mut parts = vec![format!("from: {}", yaml::text(&said.from))];
    parts.extend(said.on.as_ref().map(|on| format!("on: {on}")));
    parts.extend(said.about.as_ref().map(|about| format!("about: {about}")));
    parts.push(format!("says: {}", yaml::text(&said.says)));
    format!("{{{}}}", parts.join(", "))
}

/// Keys with one value, in the order of the contract.
pub(super) fn scalars(person: &Person) -> Vec<(&'static str, String)> {
    let mut all: Vec<(&'static str, String)> = Vec::new();
    if !person.access.is_empty() {
        let words: Vec<String> = person.access.iter().map(|word| yaml::text(word)).collect();
        all.push(("access", format!("[{}]", words.join(", "))));
    }
    all.extend(person.touch.map(|touch| ("touch", touch.to_owned())));
    all.extend(
        person
            .place
            .filter(|place| *place != "room")
            .map(|place| ("where", place.to_owned())),
    );
    if !person.has.is_empty() {
        let has = person.has.iter();
        let has: Vec<String> = has.map(|(prop, many)| format!("{prop}: {many}")).collect();
        all.push(("has", format!("{{{}}}", has.join(", "))));
    }
    all.extend(
        person
            .confidential
            .then(|| ("confidential", "true".to_owned())),
    );
    all.extend(person.late.map(|late| ("late", late.to_string())));
    all.extend(person.height_cm.map(|cm| ("height_cm", cm.to_string())));
    all.extend(person.under_18.then(|| ("under_18", "yes".to_owned())));
    all.extend(person.over_70.then(|| ("over_70", "yes".to_owned())));
    all.extend(person.note.as_ref().map(|note| ("note", yaml::text(note))));
    all
}
