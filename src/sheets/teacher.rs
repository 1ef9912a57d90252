//! The teacher's sheet as content: what stands on it, before it is text or HTML.
//!
//! Takes the adapted class, the settings and the library's words. Invariant: a floor row carries
//! short names and needs only; a confidential person is never on one.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use super::words::{breaths, clock, counted, minutes, plural, side};
use crate::adapted::{
    Adapted, AdviceKind, Assignment, Caution, CautionKind, Finding, State, Step, StudentPlan,
};
use crate::library::Library;
use crate::settings::Settings;
use crate::words::{PostureId, PropCounts, Side, StudentId, Verdict};

/// The four words of the margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Margin {
    /// Props now.
    Fetch,
    /// Say it to all.
    Aloud,
    /// A word in one ear, or their card.
    Quiet,
    /// Nothing changes, look.
    Watch,
}

impl Margin {
    /// The word itself; all have five letters.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fetch => "fetch",
            Self::Aloud => "aloud",
            Self::Quiet => "quiet",
            Self::Watch => "watch",
        }
    }
}

/// A line beside a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    /// What kind.
    pub margin: Margin,
    /// What it says.
    pub text: String,
    /// Short names, or "for anyone"; empty for everyone.
    pub names: Vec<String>,
    /// The shape and side to draw, for a choice.
    pub figure: Option<(PostureId, Side)>,
}

/// A row of the floor page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The clock; empty inside a run.
    pub clock: String,
    /// The line as written; none for talk and moves.
    pub number: Option<usize>,
    /// What is shown.
    pub name: String,
    /// Sides and breaths.
    pub how: String,
    /// How long in all; empty inside a run.
    pub duration: String,
    /// The planned shape, when another is shown.
    pub instead_of: Option<String>,
    /// Lines beside it.
    pub beside: Vec<Beside>,
    /// What the shown shape needs, a person each.
    pub props: PropCounts,
    /// The shape and side to draw.
    pub figure: Option<(PostureId, Side)>,
}

/// A section with its rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// Name.
    pub name: String,
    /// When it ends, on the clock.
    pub until: String,
    /// Its rows.
    pub rows: Vec<Row>,
}

/// A person on the own page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonRow {
    /// Short name.
    pub short_name: String,
    /// Name, with what they need to follow in brackets.
    pub name: String,
    /// What to know, each with the number of its note.
    pub lines: Vec<(String, Option<usize>)>,
}

/// The whole sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// The class's title.
    pub title: String,
    /// Date and times.
    pub when: String,
    /// Who is there.
    pub who: String,
    /// Sentences that come first.
    pub summary: Vec<String>,
    /// Advice that the teacher may want before anything else.
    pub advice: Vec<String>,
    /// Name and question, most pressing first.
    pub ask: Vec<(String, Vec<String>)>,
    /// What to set out.
    pub set_out: Vec<String>,
    /// What runs short.
    pub short: Vec<String>,
    /// What to say once to everyone.
    pub say_once: Vec<String>,
    /// Sections.
    pub sections: Vec<Section>,
    /// People.
    pub people: Vec<PersonRow>,
    /// Notes on strength and source, numbered from 1.
    pub notes: Vec<String>,
    /// Stop signs.
    pub stop: Vec<String>,
    /// What to do next.
    pub next: Vec<String>,
}

/// The sheet's last sentence.
pub const CLOSING: &str = "Rules keep shapes away from people; they never say a shape is safe. You \
                           decide; their own clinician, local rules, your insurer’s terms and the \
                           limits of your training come first.";

/// Puts the sheet together.
pub fn sheet(adapted: &Adapted, settings: &Settings, library: &Library) -> Sheet {
    let maker = Maker::new(adapted, settings, library);
    let (people, notes) = maker.people();
    Sheet {
        title: adapted.class.title.clone(),
        when: maker.when(),
        who: maker.who(),
        summary: maker.summary(),
        advice: maker.advice(),
        ask: maker.ask(),
        set_out: adapted.set_out.clone(),
        short: maker.short(),
        say_once: maker.say_once(),
        sections: maker.sections(),
        people,
        notes,
        stop: maker.stop(),
        next: maker.next(),
    }
}

struct Maker<'a> {
    adapted: &'a Adapted,
    settings: &'a Settings,
    library: &'a Library,
    start: Option<Time>,
}

impl<'a> Maker<'a> {
    fn new(adapted: &'a Adapted, settings: &'a Settings, library: &'a Library) -> Self {
        let start = adapted.class.start.as_deref().and_then(|start| {
            let (hour, minute) = start.split_once(':')?;
            Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
        });
        Self {
            adapted,
            settings,
            library,
            start,
        }
    }

    fn at(&self, seconds: u32) -> String {
        clock(self.start, seconds)
    }

    fn student(&self, id: &StudentId) -> Option<&'a StudentPlan> {
        self.adapted
            .students
            .iter()
            .find(|student| student.id == *id)
    }

    fn when(&self) -> String {
        let date: Option<Date> = self.adapted.class.date.parse().ok();
        let day = date.map_or_else(
            || self.adapted.class.date.clone(),
            |date| date.strftime("%A %-d %B %Y").to_string(),
        );
        let slot = self.adapted.class.slot_s;
        match self.start {
            Some(_) => format!("{day}, {} to {}", self.at(0), self.at(slot)),
            None => format!("{day}, {}", minutes(slot)),
        }
    }

    fn who(&self) -> String {
        let there = |place: &str| {
            self.adapted
                .students
                .iter()
                .filter(|s| s.place == place)
                .count()
        };
        let (room, video, later) = (there("room"), there("video"), there("recording"));
        let mut parts = vec![format!("{} in the room", plural(room, "person", "people"))];
        if video > 0 {
            parts.push(format!("{video} on video"));
        }
        if later > 0 {
            parts.push("a recording for people who watch later".to_owned());
        }
        let floor = self.adapted.steps.iter().any(|step| {
            self.library
                .postures
                .get(&step.lead.posture)
                .is_some_and(|p| p.level.is_floor())
        });
        let floor = if floor {
            ""
        } else {
            " Nobody goes to the floor."
        };
        format!("{}.{floor}", parts.join(", "))
    }

    fn summary(&self) -> Vec<String> {
        let class = &self.adapted.class;
        let sit_outs: Vec<String> = self
            .adapted
            .students
            .iter()
            .filter(|student| student.assignments.iter().any(|a| a.sit_out))
            .map(|student| student.short_name.clone())
            .collect();
        let rest = match sit_outs.len() {
            0 => "Nobody sits out.".to_owned(),
            _ => format!("Sits out at a step: {}.", sit_outs.join(", ")),
        };
        let ends = match self.start {
            Some(_) => format!("Ends {}.", self.at(class.adapted_s)),
            None => format!("Lasts {}.", minutes(class.adapted_s)),
        };
        let mut summary = vec![format!("{ends} {}{rest}", self.rest_kept())];
        summary.push(self.leads_changed());
        summary.push(self.to_say());
        summary.push(self.proof());
        summary
    }

    fn rest_kept(&self) -> String {
        let short = self
            .adapted
            .advice
            .iter()
            .find(|a| a.kind == AdviceKind::RestShort);
        if let Some(short) = short {
            return format!("{} ", short.text);
        }
        let rest = self.adapted.steps.iter().rev().find(|step| {
            let posture = self.library.postures.get(&step.taught.posture);
            posture.is_some_and(|p| p.purposes.get("rest").is_some_and(|&weight| weight >= 2))
        });
        rest.map_or_else(String::new, |rest| {
            format!("The rest at the end keeps its {}. ", minutes(rest.hold_s))
        })
    }

    fn leads_changed(&self) -> String {
        let mut lines: BTreeMap<usize, bool> = BTreeMap::new();
        let mut reasons: BTreeMap<String, usize> = BTreeMap::new();
        for step in &self.adapted.steps {
            let changed = step.lead.posture != step.taught.posture;
            let first = lines.insert(step.line, changed).is_none();
            if changed && first {
                for cause in &step.lead.changed_because {
                    *reasons.entry(self.demand(&cause.demand)).or_insert(0) += cause.students;
                }
            }
        }
        let changed: Vec<String> = lines
            .iter()
            .filter(|(_, changed)| **changed)
            .map(|(line, _)| line.to_string())
            .collect();
        if changed.is_empty() {
            return format!("You show all {} shapes as planned.", lines.len());
        }
        let mut reasons: Vec<(usize, String)> = reasons
            .into_iter()
            .map(|(reason, count)| (count, reason))
            .collect();
        reasons.sort_by(|a, b| b.cmp(a));
        let reasons: Vec<String> = reasons
            .into_iter()
            .take(3)
            .map(|(_, reason)| reason)
            .collect();
        let why = if reasons.is_empty() {
            String::new()
        } else {
            format!(" ({})", reasons.join(", "))
        };
        format!(
            "{} of {} lead shapes changed: {}{why}.",
            changed.len(),
            lines.len(),
            changed.join(", ")
        )
    }

    fn to_say(&self) -> String {
        let (mut aloud, mut quiet, mut most) = (0, 0, 0);
        for section in self.sections() {
            for row in section.rows {
                let here = row
                    .beside
                    .iter()
                    .filter(|b| b.margin == Margin::Aloud)
                    .count();
                aloud += here;
                most = most.max(here);
                quiet += row
                    .beside
                    .iter()
                    .filter(|b| b.margin == Margin::Quiet)
                    .count();
            }
        }
        match (aloud, quiet) {
            (0, 0) => "Nothing to say beside the class itself.".to_owned(),
            (0, quiet) => format!("Nothing extra to say aloud; {quiet} for a quiet word."),
            (aloud, quiet) => format!(
                "{} to say aloud, at most {most} at a step; {quiet} for a quiet word.",
                plural(aloud, "choice", "choices")
            ),
        }
    }

    fn proof(&self) -> String {
        let plan = &self.adapted.plan;
        if plan.proved_optimal {
            return "This is the least change to your class under your settings (proved)."
                .to_owned();
        }
        let gap = plan.objective - plan.lower_bound;
        let tenths = (gap * 1000).checked_div(plan.objective.max(1)).unwrap_or(0) + 1;
        format!(
            "Change to your class: within {}.{} % of the least.",
            tenths / 10,
            tenths % 10
        )
    }

    fn advice(&self) -> Vec<String> {
        let wanted = |kind| {
            matches!(
                kind,
                AdviceKind::OverTime
                    | AdviceKind::ReplacePosture
                    | AdviceKind::GroupLevels
                    | AdviceKind::LongBout
                    | AdviceKind::WrongClass
            )
        };
        let mut advice: Vec<&crate::adapted::Advice> = self
            .adapted
            .advice
            .iter()
            .filter(|advice| wanted(advice.kind))
            .collect();
        advice.sort_by_key(|advice| advice.kind != AdviceKind::OverTime);
        advice
            .into_iter()
            .map(|advice| advice.text.clone())
            .collect()
    }

    /// One entry a person, in the order of their most pressing question.
    fn ask(&self) -> Vec<(String, Vec<String>)> {
        let mut asked: Vec<(String, Vec<String>)> = Vec::new();
        for ask in &self.adapted.ask {
            let name = self
                .student(&ask.student)
                .map_or("", |student| student.name.as_str());
            match asked.iter_mut().find(|(known, _)| known == name) {
                Some((_, texts)) => texts.push(ask.text.clone()),
                None => asked.push((name.to_owned(), vec![ask.text.clone()])),
            }
        }
        asked
    }

    fn short(&self) -> Vec<String> {
        let line = |index: usize| self.adapted.steps.get(index.saturating_sub(1));
        self.adapted
            .short
            .iter()
            .map(|short| {
                let at = line(short.step).map_or_else(String::new, |step| self.at(step.start_s));
                format!(
                    "{at}: {} for everyone, {} there. Instead: {}.",
                    counted(short.needed, short.prop),
                    short.stock,
                    short.stand_in
                )
            })
            .collect()
    }

    fn say_once(&self) -> Vec<String> {
        let mut say = self.settings.say_once.clone();
        if say.is_empty() {
            say.push("Rest whenever you like. Stop before it hurts. Come up slowly.".to_owned());
        }
        say
    }

    fn sections(&self) -> Vec<Section> {
        let mut sections: Vec<Section> = Vec::new();
        let mut order: Vec<(u32, Row, &str)> = Vec::new();
        for (first, steps) in self.by_line() {
            order.push((first.start_s, self.row(first, &steps), &first.section));
        }
        for event in &self.adapted.events {
            let section = self
                .adapted
                .steps
                .iter()
                .find(|step| step.start_s >= event.start_s)
                .or(self.adapted.steps.last());
            let Some(section) = section else { continue };
            order.push((event.start_s, self.event_row(event), &section.section));
        }
        order.sort_by_key(|(start, row, _)| (*start, row.number));
        for (_, row, name) in order {
            match sections.last_mut().filter(|section| section.name == name) {
                Some(section) => section.rows.push(row),
                None => sections.push(Section {
                    name: name.to_owned(),
                    until: self.section_end(name),
                    rows: vec![row],
                }),
            }
        }
        sections
    }

    fn event_row(&self, event: &crate::adapted::Event) -> Row {
        let mut name = event.text.clone();
        if let Some(first) = name.get(..1) {
            name = first.to_uppercase() + &name[1..];
        }
        Row {
            clock: self.at(event.start_s),
            number: None,
            name,
            how: String::new(),
            duration: minutes(event.seconds),
            instead_of: None,
            beside: Vec::new(),
            props: PropCounts::new(),
            figure: None,
        }
    }

    fn section_end(&self, name: &str) -> String {
        let after = self
            .adapted
            .steps
            .iter()
            .skip_while(|step| step.section != name)
            .find(|step| step.section != name);
        self.at(after.map_or(self.adapted.class.planned_s, |step| step.start_s))
    }

    /// Steps of each line, in order of the first.
    fn by_line(&self) -> Vec<(&'a Step, Vec<&'a Step>)> {
        let mut lines: Vec<(&Step, Vec<&Step>)> = Vec::new();
        for step in &self.adapted.steps {
            match lines.iter_mut().find(|(first, _)| first.line == step.line) {
                Some((_, steps)) => steps.push(step),
                None => lines.push((step, vec![step])),
            }
        }
        lines
    }

    fn row(&self, first: &'a Step, steps: &[&'a Step]) -> Row {
        let last = steps.last().copied().unwrap_or(first);
        let alone = steps
            .windows(2)
            .all(|pair| pair[1].index == pair[0].index + 1);
        let end = self
            .adapted
            .steps
            .get(last.index)
            .map_or(self.adapted.class.planned_s, |next| {
                let link = self.adapted.events.iter().find(|event| {
                    event.start_s >= last.start_s + last.hold_s && event.start_s < next.start_s
                });
                link.map_or(next.start_s, |event| event.start_s)
            });
        let changed = first.lead.posture != first.taught.posture;
        Row {
            clock: self.at(first.start_s),
            number: Some(first.line),
            name: first.lead.name.clone(),
            how: self.how(first, steps),
            duration: if alone {
                minutes(end.saturating_sub(first.start_s))
            } else {
                String::new()
            },
            instead_of: changed.then(|| lower(&first.taught.name)),
            beside: self.beside(first, steps),
            props: first.props.clone(),
            figure: Some((first.lead.posture.clone(), first.lead.side)),
        }
    }

    fn how(&self, first: &Step, steps: &[&Step]) -> String {
        let mut parts = Vec::new();
        let rounds = steps.iter().map(|step| step.round).max().unwrap_or(1);
        if let Some(second) = steps
            .iter()
            .find(|step| step.taught.side != first.taught.side)
        {
            parts.push(format!(
                "{}, then {}",
                side(first.taught.side),
                side(second.taught.side)
            ));
        } else if first.taught.side != Side::None {
            parts.push(side(first.taught.side).to_owned());
        }
        parts.push(match first.breaths {
            Some(number) => breaths(number),
            None => minutes(first.hold_s),
        });
        if rounds > 1 {
            parts.push(plural(
                usize::try_from(rounds).unwrap_or(1),
                "time",
                "times",
            ));
        }
        if let Some(note) = &first.note {
            parts.push(note.clone());
        }
        parts.join(", ")
    }

    /// Lines beside a step: fetch, aloud, quiet, watch.
    fn beside(&self, first: &'a Step, steps: &[&'a Step]) -> Vec<Beside> {
        let mut lines = Lines::default();
        let fetched = self
            .adapted
            .fetch
            .iter()
            .filter(|fetch| steps.iter().any(|step| step.index == fetch.step));
        for fetch in fetched {
            let text = format!("{}, {}", counted(fetch.number, fetch.prop), fetch.then);
            lines.add(Margin::Fetch, text, None, None, Side::None);
        }
        for words in &first.or {
            lines.add(Margin::Aloud, words.clone(), None, None, Side::None);
        }
        for step in steps {
            for option in &step.options {
                let margin = if option.spoken {
                    Margin::Aloud
                } else {
                    Margin::Quiet
                };
                let figure = Some((option.posture.clone(), option.side));
                let mut open = false;
                for id in &option.students {
                    match self.student(id) {
                        Some(student) if !student.confidential => {
                            let name = student.short_name.clone();
                            lines.add(
                                margin,
                                option.cue.clone(),
                                Some(name),
                                figure.clone(),
                                step.taught.side,
                            );
                        }
                        _ => open = true,
                    }
                }
                if open || option.for_anyone {
                    let name = "for anyone".to_owned();
                    lines.add(margin, option.cue.clone(), Some(name), figure, Side::None);
                }
            }
            for student in self
                .adapted
                .students
                .iter()
                .filter(|student| !student.confidential)
            {
                let assignment = student.assignments.get(step.index - 1);
                if let Some(assignment) = assignment {
                    self.personal(student, assignment, step, &mut lines);
                }
            }
        }
        lines.finish(steps)
    }

    /// Words for one person at one step: a rest, an easing, something to watch.
    fn personal(
        &self,
        student: &StudentPlan,
        assignment: &Assignment,
        step: &Step,
        lines: &mut Lines,
    ) {
        let name = || Some(student.short_name.clone());
        if assignment.sit_out {
            let posture = self.library.postures.get(&assignment.posture);
            let text = posture.map_or("pause as you are".to_owned(), |p| lower(&p.choice));
            lines.add(
                Margin::Quiet,
                format!("rest: {text}"),
                name(),
                None,
                step.taught.side,
            );
        }
        for finding in &assignment.verdicts {
            let both = assignment
                .verdicts
                .iter()
                .any(|other| other.demand == finding.demand && other.side != finding.side);
            // On both sides of the body the side says nothing.
            let side = finding
                .side
                .filter(|_| !both)
                .map_or(Side::None, Side::from);
            match (finding.verdict, &finding.easing) {
                (Verdict::Ease, Some(words)) => {
                    let text = with_side(words, side);
                    lines.add(Margin::Quiet, text, name(), None, step.taught.side);
                }
                (Verdict::Watch, _) => {
                    let text = with_side(&self.demand(&finding.demand), side);
                    lines.add(Margin::Watch, text, name(), None, step.taught.side);
                }
                _ => {}
            }
        }
    }

    fn demand(&self, demand: &crate::words::DemandId) -> String {
        let known = self.library.demands.get(demand);
        known.map_or_else(|| demand.to_string(), |demand| demand.words.clone())
    }

    fn people(&self) -> (Vec<PersonRow>, Vec<String>) {
        let mut notes: Vec<String> = Vec::new();
        let mut rows = Vec::new();
        for student in &self.adapted.students {
            let mut lines: Vec<(String, Option<usize>)> = Vec::new();
            match student.state {
                State::NotAsked if student.place == "recording" => {
                    lines.push(("Watches later: nobody can be asked.".to_owned(), None));
                }
                State::NotAsked => lines.push(("Not asked.".to_owned(), None)),
                State::Declined => lines.push(("Would rather not say.".to_owned(), None)),
                State::Told | State::Nothing => {}
            }
            for caution in self
                .adapted
                .cautions
                .iter()
                .filter(|c| c.student.as_ref() == Some(&student.id))
            {
                let shown = matches!(
                    caution.kind,
                    CautionKind::Watch | CautionKind::Guidance | CautionKind::Late
                ) || (caution.kind == CautionKind::Reminder
                    && caution.text.contains('“'));
                if shown {
                    let note = self.note(caution, &mut notes);
                    lines.push((capital(&caution.text), Some(note)));
                }
            }
            if let Some(note) = &student.note {
                lines.push((note.clone(), None));
            }
            let mut facts = student.access.clone();
            if student.place == "video" {
                facts.push("video".to_owned());
            }
            match student.touch.as_str() {
                "no" => facts.push("no touch".to_owned()),
                "ask" => facts.push("ask before touch".to_owned()),
                _ => {}
            }
            if lines.is_empty() && facts.is_empty() {
                continue;
            }
            let name = match facts.as_slice() {
                [] => student.name.clone(),
                facts => format!("{} ({})", student.name, facts.join(", ")),
            };
            rows.push(PersonRow {
                short_name: student.short_name.clone(),
                name,
                lines,
            });
        }
        (rows, notes)
    }

    /// The number of a caution's note; the same backing has one note.
    fn note(&self, caution: &Caution, notes: &mut Vec<String>) -> usize {
        let source = caution
            .source
            .as_ref()
            .and_then(|id| self.library.sources.get(id));
        let text = match source {
            Some(source) => format!("{}: {}", caution.strength.printed(), source.text),
            None => match caution.strength {
                crate::words::Strength::CommonPractice => {
                    "common practice: teachers’ usual care; no study looked up".to_owned()
                }
                crate::words::Strength::Clinician => {
                    "their clinician: own words, as told by the student".to_owned()
                }
                strength => strength.printed().to_owned(),
            },
        };
        match notes.iter().position(|note| *note == text) {
            Some(place) => place + 1,
            None => {
                notes.push(text);
                notes.len()
            }
        }
    }

    fn stop(&self) -> Vec<String> {
        self.adapted
            .cautions
            .iter()
            .filter(|caution| caution.kind == CautionKind::WarningSigns)
            .map(|caution| caution.text.clone())
            .collect()
    }

    fn next(&self) -> Vec<String> {
        let mut next = Vec::new();
        let names: Vec<String> = self.ask().into_iter().map(|(name, _)| name).collect();
        if !names.is_empty() {
            let before = match self.start {
                Some(_) => format!("Before {}", self.at(0)),
                None => "Before class".to_owned(),
            };
            next.push(format!("{before}: ask {}.", names.join(", ")));
        }
        next
    }
}

/// Lines beside one step, those that say the same merged.
#[derive(Default)]
struct Lines {
    found: Vec<(Beside, Vec<(String, Side)>)>,
}

impl Lines {
    fn add(
        &mut self,
        margin: Margin,
        text: String,
        name: Option<String>,
        figure: Option<(PostureId, Side)>,
        on: Side,
    ) {
        let place = self
            .found
            .iter()
            .position(|(b, _)| b.margin == margin && b.text == text);
        let place = place.unwrap_or_else(|| {
            self.found.push((
                Beside {
                    margin,
                    text,
                    names: Vec::new(),
                    figure,
                },
                Vec::new(),
            ));
            self.found.len() - 1
        });
        if let Some(name) = name {
            let names = &mut self.found[place].1;
            if !names.contains(&(name.clone(), on)) {
                names.push((name, on));
            }
        }
    }

    /// Sorted by margin; a choice that only one side needs says which.
    fn finish(self, steps: &[&Step]) -> Vec<Beside> {
        let both = steps
            .iter()
            .any(|step| step.taught.side != steps[0].taught.side);
        let mut lines: Vec<Beside> = Vec::new();
        for (beside, names) in self.found {
            let sides: Vec<Side> = names.iter().map(|(_, on)| *on).collect();
            let one_side = both
                && !sides.is_empty()
                && sides[0] != Side::None
                && sides.iter().all(|on| *on == sides[0]);
            let text = match one_side {
                true => format!("on the {}: {}", side(sides[0]), lower(&beside.text)),
                false => beside.text.clone(),
            };
            let mut short: Vec<String> = names.into_iter().map(|(name, _)| name).collect();
            short.sort();
            short.dedup();
            lines.push(Beside {
                text,
                names: short,
                ..beside
            });
        }
        lines.sort_by_key(|line| line.margin);
        lines
    }
}

fn with_side(words: &str, on: Side) -> String {
    match on {
        Side::None => words.to_owned(),
        on => format!("{words} ({})", side(on)),
    }
}

/// The first letter small, unless the word is all capitals.
pub(super) fn lower(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().collect::<String>() + &text[first.len_utf8()..]
        }
        _ => text.to_owned(),
    }
}

/// The first letter large.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// Whether a finding changes what its person does.
pub fn matters(finding: &Finding) -> bool {
    finding.verdict >= Verdict::Ease
}
