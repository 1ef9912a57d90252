//! Everyone's whole path: what they do at each step, how they get there, what kept them from the
//! shape that was taught.

use super::Scene;
use super::menu::Menu;
use super::short_names::short_names;
use crate::adapted::{Assignment, InsteadOf, StudentPlan};
use crate::judge::facts::Person;
use crate::judge::verdict::{At, judge};
use crate::library::condition::{Fact, Grade};
use crate::roster::{Access, Heard, Student, Where};
use crate::search::candidate::{Candidate, OWN_SHAPE, PAUSE, What};
use crate::timetable::Pass;
use crate::words::{Level, PostureId, Prop, PropCounts};

impl Scene<'_> {
    /// Every student's plan, ordered by short name.
    pub(super) fn students(&self, menus: &[Menu]) -> Vec<StudentPlan> {
        let names: Vec<&str> = self
            .people
            .iter()
            .map(|p| p.student.name.as_str())
            .collect();
        let short = short_names(&names);
        let mut plans: Vec<StudentPlan> = self
            .people
            .iter()
            .zip(short)
            .enumerate()
            .map(|(place, (person, short))| self.student(place, person, short, menus))
            .collect();
        plans.sort_by(|a, b| (&a.short_name, &a.id).cmp(&(&b.short_name, &b.id)));
        plans
    }

    fn student(
        &self,
        place: usize,
        person: &Person<'_>,
        short_name: String,
        menus: &[Menu],
    ) -> StudentPlan {
        let mut assignments = self.assignments(place, person);
        self.add_overruns(person, &mut assignments);
        // By time: a round more of a short step is no more of the class.
        let held = |pass: &Pass| self.table.lines[pass.line].pass_s;
        let strayed = assignments
            .iter()
            .zip(&self.table.passes)
            .filter(|(assignment, pass)| {
                assignment.posture != menus[pass.line].taught || assignment.side != pass.side
            })
            .map(|(_, pass)| held(pass))
            .sum();
        let all = self.table.passes.iter().map(held).sum();
        let open = |assignment: &Assignment| {
            assignment
                .kept_from()
                .chain(&assignment.way_kept)
                .filter(|finding| finding.verdict == crate::words::Verdict::AskFirst)
                .map(|finding| finding.demand.clone())
                .collect::<Vec<_>>()
        };
        let mut ask_first: Vec<String> = assignments
            .iter()
            .flat_map(open)
            .map(|demand| self.demand_words(&demand))
            .collect();
        ask_first.sort();
        ask_first.dedup();
        let student = person.student;
        let foot_step = self.foot_step(person, &assignments);
        StudentPlan {
            id: student.id.clone(),
            name: student.name.clone(),
            short_name,
            state: person.state,
            unknown: person.unknown,
            confidential: student.confidential,
            stray_share: share(strayed, all),
            place: match student.place {
                Where::Room => "room",
                Where::Video => "video",
                Where::Recording => "recording",
            }
            .to_owned(),
            access: student.access.iter().map(access_words).collect(),
            touch: person.touch_words().to_owned(),
            late_min: student.late_min,
            note: note(student),
            // What the cautions leave is known when they are written.
            told: Vec::new(),
            foot_step_until: foot_step.map(|(until, _)| until),
            foot_step_back: foot_step.and_then(|(_, back)| back),
            rises_by_arms: foot_step.is_some_and(|(until, _)| self.rises_by_arms(person, until)),
            ask_first,
            unrecognised: person
                .unrecognised
                .iter()
                .map(|(text, _)| (*text).to_owned())
                .collect(),
            assignments,
        }
    }

    /// A demand in plain words.
    pub(super) fn demand_words(&self, demand: &crate::words::DemandId) -> String {
        let known = self.task.library.demands.get(demand);
        known.map_or_else(|| demand.to_string(), |demand| demand.words.clone())
    }

    fn assignments(&self, place: usize, person: &Person<'_>) -> Vec<Assignment> {
        let mut level = self.room.start_level(person);
        self.table
            .passes
            .iter()
            .enumerate()
            .map(|(at, pass)| {
                let candidate = &self.lines[pass.line].list[self.choices[place][at]];
                let assignment = self.assignment(at, pass, person, candidate, level);
                level = candidate.level(self.task.library, self.table.lines[pass.line].level);
                assignment
            })
            .collect()
    }

    fn assignment(
        &self,
        at: usize,
        pass: &Pass,
        person: &Person<'_>,
        candidate: &Candidate,
        from: Level,
    ) -> Assignment {
        let line = &self.table.lines[pass.line];
        let library = self.task.library;
        let turn = self.room.turn_side(line, pass.turn);
        let (posture, side) = (candidate.posture(library), candidate.side(library, turn));
        let level = candidate.level(library, line.level);
        let hold_s = candidate
            .form
            .short_s
            .map_or(line.line.hold_s, |s| s.min(line.line.hold_s));
        let is_taught = posture.map(|posture| &posture.id) == line.posture
            && side == pass.side
            && !candidate.rest;
        let kneels = posture.is_some_and(|posture| {
            crate::judge::verdict::asks(posture, &"kneeling".into(), Grade::Some)
        });
        let padded = candidate.form.padded
            || (kneels
                && (line.line.padded
                    || posture.is_some_and(|p| p.facts.contains(&Fact::KneePadded))));
        let judged = |posture, side, padded| {
            let at = At {
                posture,
                side,
                hold_s,
                padded,
            };
            judge(person, at, Some(Prop::Wall)).findings
        };
        let instead_of = match line.posture.and_then(|id| library.postures.get(id)) {
            Some(taught) if !is_taught => vec![InsteadOf {
                posture: taught.id.clone(),
                side: pass.side,
                verdicts: judge(
                    person,
                    At {
                        posture: taught,
                        side: pass.side,
                        hold_s: line.line.hold_s,
                        padded,
                    },
                    None,
                )
                .findings,
            }],
            _ => Vec::new(),
        };
        Assignment {
            step: at + 1,
            posture: id_of(candidate),
            side,
            hold_s,
            props: self.held(candidate, pass.line),
            padded,
            sit_out: candidate.rest,
            link: self.link(person, at, from, level),
            way_kept: self.way_kept(person, at, from, level),
            verdicts: posture.map_or_else(Vec::new, |posture| judged(posture, side, padded)),
            instead_of,
        }
    }

    /// What a person uses in a shape, whoever brought it.
    pub(super) fn held(&self, candidate: &Candidate, line: usize) -> PropCounts {
        let taught = candidate.what == self.lines[line].list[0].what && !candidate.bare;
        let posture = candidate.posture(self.task.library);
        let mut held = self
            .room
            .needed(&self.table.lines[line], posture, candidate.form, taught);
        // The chair of a pause.
        for (&prop, &number) in &candidate.drawn {
            let held = held.entry(prop).or_insert(0);
            *held = (*held).max(number);
        }
        held
    }
}

/// The id under which a candidate is written.
pub(super) fn id_of(candidate: &Candidate) -> PostureId {
    match &candidate.what {
        What::Posture { id, .. } => id.clone(),
        What::Own => OWN_SHAPE.into(),
        What::Pause(_) | What::LastPause => PAUSE.into(),
    }
}

fn share(part: u32, whole: u32) -> f64 {
    let hundredths = (part * 100).checked_div(whole).unwrap_or(0);
    f64::from(hundredths) / 100.0
}

fn access_words(access: &Access) -> String {
    match access {
        Access::Deaf => "deaf".to_owned(),
        Access::HardOfHearing => "hard of hearing".to_owned(),
        Access::Blind => "blind".to_owned(),
        Access::LowVision => "low vision".to_owned(),
        Access::Speaks(code) => format!("speaks: {code}"),
    }
}

/// The note, and what the teacher alone should know, in their own words.
fn note(student: &Student) -> Option<String> {
    let private = student.heard.iter().filter_map(|heard| match heard {
        Heard::Private(words) => Some(format!("for you alone: “{words}”")),
        Heard::Ask { .. } | Heard::Reminder(_) => None,
    });
    let notes: Vec<String> = student.note.clone().into_iter().chain(private).collect();
    (!notes.is_empty()).then(|| notes.join("; "))
}
