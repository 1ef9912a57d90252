//! The lines beside a step: what to fetch, say aloud, say in one ear, watch; and for whom.

use super::super::changes::{body_side, eased};
use super::super::reading::Reading;
use super::super::sides::{On, with_sides};
use super::super::words::{counted, lower};
use super::ANYONE;
use super::floor::{Beside, Margin};
use crate::adapted::{Assignment, Fetch, Finding, Step, StudentPlan};
use crate::laying::FEWEST;
use crate::words::{PostureId, Prop, PropCounts, Side, Verdict};

/// From more rests than this on, who does not hear is brought back from the last alone. Our choice: the
/// own page says the rest.
const MOST_RESTS: usize = 3;

/// How a quiet word begins that has no ear in the room: who is on video has it on their card.
pub(super) const SENT: &str = "send before class: ";

/// On every turn, on both sides.
const EVERYWHERE: On = On {
    turn: Side::None,
    body: Side::None,
};

impl<'a> Reading<'a> {
    /// Lines beside a step: fetch, aloud, quiet, watch.
    pub(super) fn beside(&self, first: &'a Step, steps: &[&'a Step]) -> Vec<Beside> {
        let mut lines = Lines::default();
        let fetched = self
            .adapted
            .fetch
            .iter()
            .filter(|fetch| steps.iter().any(|step| step.index == fetch.step));
        for text in fetched.flat_map(fetch_words) {
            lines.add(Margin::Fetch, &text, None);
        }
        for words in &first.or {
            lines.add(Margin::Aloud, words, None);
        }
        self.bring_back(first, &mut lines);
        self.foot_step(steps, &mut lines);
        self.comes_in(steps, &mut lines);
        for step in steps {
            self.options(step, &mut lines);
            for student in self.named() {
                let assignment = student.assignments.get(step.index - 1);
                if let Some(assignment) = assignment {
                    self.personal(student, assignment, step, &mut lines);
                }
            }
            self.open_support(step, &mut lines);
            if self.event_before(step).is_none() {
                self.ways_to(step, &mut lines);
            }
        }
        let two_sided = steps
            .iter()
            .any(|step| step.taught.side != first.taught.side);
        self.sent(lines.finish(two_sided, self.lead_of(first)))
    }

    /// A quiet word to who is on video reaches the whole hall: it is sent before class, in a line of its own.
    fn sent(&self, lines: Vec<Beside>) -> Vec<Beside> {
        let away = |name: &String| {
            let mut students = self.named();
            students.any(|one| one.place == "video" && one.short_name == *name)
        };
        let mut apart = Vec::new();
        for line in lines {
            let quiet = line.margin == Margin::Quiet;
            let (video, room): (Vec<String>, Vec<String>) = line
                .names
                .iter()
                .cloned()
                .partition(|name| quiet && away(name));
            let sent = (!video.is_empty()).then(|| Beside {
                text: format!("{SENT}{}", lower(&line.text)),
                names: video,
                ..line.clone()
            });
            if sent.is_none() || !room.is_empty() {
                apart.push(Beside {
                    names: room,
                    ..line
                });
            }
            apart.extend(sent);
        }
        apart
    }

    /// Everyone who may be named beside a step; whoever watches later is nobody to point at.
    fn named(&self) -> impl Iterator<Item = &'a StudentPlan> {
        let students = self.adapted.students.iter();
        students.filter(|student| !student.confidential && student.place != "recording")
    }

    /// Who does not hear a voice is brought back from a rest by something else.
    fn bring_back(&self, first: &Step, lines: &mut Lines) {
        if !self.rests(first) {
            return;
        }
        let heard = |student: &&StudentPlan| student.place == "room";
        for student in self.named().filter(heard) {
            let has = |fact: &str| student.access.iter().any(|one| one == fact);
            let words = match (has("deaf"), has("hard of hearing"), student.touch.as_str()) {
                (true, _, "yes") => "bring back by a light or a tap",
                (true, ..) => "bring back by a light",
                (false, true, _) => "bring back with voice and lamp",
                (false, false, _) => continue,
            };
            let name = (student.short_name.clone(), EVERYWHERE);
            lines.add(Margin::Watch, words, Some(name));
        }
    }

    /// Whether people lie or sit with their eyes closed: the rest at the end and what is for resting
    /// alone; in a class of many long rests, the one at the end.
    fn rests(&self, first: &Step) -> bool {
        let is_rest = |step: &&Step| {
            let posture = self.library.postures.get(&step.lead.posture);
            posture.is_some_and(|posture| {
                let is_for = |purpose: &str, least: u8| {
                    posture
                        .purposes
                        .get(purpose)
                        .is_some_and(|&weight| weight >= least)
                };
                let closed = posture.demands.contains_key("eyes-closed");
                closed || is_for("rest", 3) || is_for("calm", 3)
            })
        };
        let mut lines: Vec<usize> = self
            .adapted
            .steps
            .iter()
            .filter(is_rest)
            .map(|step| step.line)
            .collect();
        lines.dedup();
        match lines.len() {
            0..=MOST_RESTS => lines.contains(&first.line),
            _ => lines.last() == Some(&first.line),
        }
    }

    /// What stands under somebody's feet is gone before they stand up for the first time, and there again
    /// when they have sat down from the last.
    fn foot_step(&self, steps: &[&Step], lines: &mut Lines) {
        for student in self.named() {
            let here = |when: Option<usize>| steps.iter().any(|step| when == Some(step.index));
            let mut add = |words: &str| {
                let name = (student.short_name.clone(), EVERYWHERE);
                lines.add(Margin::Quiet, words, Some(name));
            };
            if here(student.foot_step_until) {
                add(match student.rises_by_arms {
                    true => "foot step away first; up by the arms of the chair",
                    false => "foot step away first",
                });
            }
            if here(student.foot_step_back) {
                add("foot step back");
            }
        }
    }

    /// Who comes late gets a word at the door, at the first step that they are there for.
    fn comes_in(&self, steps: &[&Step], lines: &mut Lines) {
        for student in self.named().filter(|student| student.late_min > 0) {
            let from_s = student.late_min * 60;
            let mut all = self.adapted.steps.iter();
            let theirs = all.find(|step| step.start_s >= from_s);
            let here = |theirs: &Step| steps.iter().any(|step| step.index == theirs.index);
            if theirs.is_some_and(here) {
                let name = (student.short_name.clone(), EVERYWHERE);
                lines.add(
                    Margin::Quiet,
                    "at the door: arms up, knee bends",
                    Some(name),
                );
            }
        }
    }

    fn options(&self, step: &Step, lines: &mut Lines) {
        for option in &step.options {
            let margin = if option.spoken {
                Margin::Aloud
            } else {
                Margin::Quiet
            };
            let figure = Some((option.posture.clone(), option.side));
            let on = On {
                turn: step.taught.side,
                body: Side::None,
            };
            let named: Vec<&StudentPlan> = self
                .named()
                .filter(|student| option.students.contains(&student.id))
                .collect();
            for student in &named {
                let name = Some((student.short_name.clone(), on));
                lines.add(margin, &option.cue, name).figure = figure.clone();
            }
            // What serves somebody who is not to be named is there for anyone: alone, or where a prop is
            // fetched for it.
            let mut students = option.students.iter().filter_map(|id| self.student(id));
            let mut fetched = self
                .adapted
                .fetch
                .iter()
                .filter(|fetch| fetch.step == step.index);
            let private = students.any(|student| student.confidential)
                && fetched.any(|fetch| option.props.contains_key(&fetch.prop));
            if option.for_anyone || named.is_empty() || private {
                let name = Some((ANYONE.to_owned(), EVERYWHERE));
                lines.add(margin, &option.cue, name).figure = figure;
            }
        }
    }

    /// What a confidential person leans on or kneels on in the shape shown is there for anyone: a prop is
    /// not fetched for nobody.
    fn open_support(&self, step: &Step, lines: &mut Lines) {
        let students = self.adapted.students.iter();
        for student in students.filter(|one| one.confidential && one.place == "room") {
            let Some(assignment) = student.assignments.get(step.index - 1) else {
                continue;
            };
            let posture = self.library.postures.get(&assignment.posture);
            let own = |prop: &Prop| posture.is_some_and(|one| one.props.contains_key(prop));
            let shown = assignment.posture == step.lead.posture;
            let more = |prop: &Prop| !own(prop) && !step.props.contains_key(prop);
            if shown && assignment.props.keys().any(more) {
                for (words, _) in eased(&assignment.verdicts) {
                    // Said to somebody already, it explains the prop.
                    let said = |found: &Found| {
                        let to = found.names.iter().any(|(name, _)| name != ANYONE);
                        found.margin == Margin::Quiet && found.words == words && to
                    };
                    if !lines.found.iter().any(said) {
                        let name = (ANYONE.to_owned(), EVERYWHERE);
                        lines.add(Margin::Quiet, words, Some(name));
                    }
                }
            }
        }
    }

    /// Words for one person at one step: a rest, an easing, something to watch.
    fn personal(
        &self,
        student: &StudentPlan,
        assignment: &Assignment,
        step: &Step,
        lines: &mut Lines,
    ) {
        let turn = step.taught.side;
        let name = |body| Some((student.short_name.clone(), On { turn, body }));
        if assignment.sit_out {
            let posture = self.library.postures.get(&assignment.posture);
            let text = posture.map_or("pause as you are".to_owned(), |p| lower(&p.choice));
            lines.add(Margin::Quiet, &format!("rest: {text}"), name(Side::None));
        }
        for (words, body) in eased(&assignment.verdicts) {
            lines.add(Margin::Quiet, words, name(body));
        }
        for (words, body) in self.watched(&assignment.verdicts) {
            lines.add(Margin::Watch, &words, name(body));
        }
    }

    /// What only wants looking at, and on which side of the body.
    fn watched(&self, findings: &[Finding]) -> Vec<(String, Side)> {
        let watched = findings.iter().filter(|one| one.verdict == Verdict::Watch);
        let watched = watched.filter(|one| !self.is_asked_once(one));
        watched
            .map(|one| (self.demand(&one.demand), body_side(findings, one)))
            .collect()
    }

    /// Whether a finding is of a rule that is asked about before class, and watched at no step.
    fn is_asked_once(&self, finding: &Finding) -> bool {
        let rule = self.library.rule(&finding.limitation, &finding.rule);
        rule.is_some_and(|rule| rule.ask_once.is_some())
    }

    /// Beside a move or a link: who gets to the step after it otherwise than the class, and how.
    pub(super) fn on_the_way(&self, next: &Step) -> Vec<Beside> {
        let mut lines = Lines::default();
        self.ways_to(next, &mut lines);
        self.sent(lines.finish(false, None))
    }

    /// Ways to a step that are not the class's, what eases them, what to watch, what to bring for them.
    fn ways_to(&self, step: &Step, lines: &mut Lines) {
        let mut brought = PropCounts::new();
        for student in self.named() {
            let Some(assignment) = student.assignments.get(step.index - 1) else {
                continue;
            };
            let Some(taken) = &assignment.link else {
                continue;
            };
            let name = |body| {
                let turn = Side::None;
                Some((student.short_name.clone(), On { turn, body }))
            };
            for (words, body) in self.way(student, assignment) {
                lines.add(Margin::Quiet, &words, name(body));
            }
            for (words, body) in self.watched(&taken.verdicts) {
                lines.add(Margin::Watch, &words, name(body));
            }
            if student.place == "room" {
                let brought_now = student.brought_for_way(step.index).into_iter();
                // A place at the wall is kept clear, not fetched.
                for (prop, number) in brought_now.filter(|(prop, _)| *prop != Prop::Wall) {
                    *brought.entry(prop).or_insert(0) += number;
                }
            }
        }
        for (prop, number) in brought {
            let text = format!("{} more, for the way", counted(number, prop));
            lines.add(Margin::Fetch, &text, None);
        }
    }
}

/// What is fetched at a step, in the numbers of the props sheet; what it does not count stands apart.
fn fetch_words(fetch: &Fetch) -> Vec<String> {
    let all = fetch.number + fetch.private;
    // So few the props sheet does not count out.
    let together = fetch.number == 0 || (fetch.number < FEWEST && all <= FEWEST);
    let number = if together { all } else { fetch.number };
    let yours = match (fetch.yours, number) {
        (false, _) => "",
        (true, 1) => ", yours",
        (true, _) => ", yours too",
    };
    let then = match fetch.then.as_str() {
        // What is said nowhere is kept until it is needed again.
        "keep it by you" => String::new(),
        then => format!(", {then}"),
    };
    let what = counted(number, fetch.prop);
    // None is left along the wall.
    let from = match fetch.spared {
        0 => String::new(),
        all if all == fetch.number => ", from others".to_owned(),
        some => format!(", {some} from others"),
    };
    let text = format!("{what}{yours}{from}{then}");
    let apart = (!together && fetch.private > 0)
        .then(|| format!("{} more, for anyone", counted(fetch.private, fetch.prop)));
    std::iter::once(text).chain(apart).collect()
}

/// Lines beside one step, those that say the same merged.
#[derive(Default)]
struct Lines {
    found: Vec<Found>,
}

/// What is said beside a step, and to whom on which side.
struct Found {
    margin: Margin,
    words: String,
    figure: Option<(PostureId, Side)>,
    names: Vec<(String, On)>,
}

impl Lines {
    fn add(&mut self, margin: Margin, words: &str, name: Option<(String, On)>) -> &mut Found {
        let place = self
            .found
            .iter()
            .position(|found| found.margin == margin && found.words == words);
        let place = place.unwrap_or_else(|| {
            self.found.push(Found {
                margin,
                words: words.to_owned(),
                figure: None,
                names: Vec::new(),
            });
            self.found.len() - 1
        });
        let found = &mut self.found[place];
        if let Some(name) = name
            && !found.names.contains(&name)
        {
            found.names.push(name);
        }
        found
    }

    /// Sorted by margin; who needs the same on the same sides stands behind one line.
    fn finish(self, two_sided: bool, lead: Option<&str>) -> Vec<Beside> {
        let mut lines: Vec<Beside> = Vec::new();
        for found in self.found {
            let mut said: Vec<(String, Vec<String>)> = Vec::new();
            let mut people: Vec<&String> = found.names.iter().map(|(name, _)| name).collect();
            people.sort();
            people.dedup();
            // A choice is said once to all who take it; what eases a shape is said to each.
            let together = found.figure.is_some();
            for name in &people {
                let on: Vec<On> = found
                    .names
                    .iter()
                    .filter(|(other, _)| together || other == *name)
                    .map(|(_, on)| *on)
                    .collect();
                let text = with_sides(&found.words, &on, two_sided, lead);
                match said.iter_mut().find(|(known, _)| *known == text) {
                    Some((_, names)) => names.push((*name).clone()),
                    None => said.push((text, vec![(*name).clone()])),
                }
            }
            if people.is_empty() {
                said.push((found.words.clone(), Vec::new()));
            }
            lines.extend(said.into_iter().map(|(text, names)| Beside {
                margin: found.margin,
                text,
                names,
                figure: found.figure.clone(),
            }));
        }
        lines.sort_by_key(|line| line.margin);
        lines
    }
}
