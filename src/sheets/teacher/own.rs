//! What stands on the own page before the people: who comes, what changes, what to ask and set out.

use std::collections::BTreeMap;

use super::super::reading::Reading;
use super::super::words::{counted, listed, minutes, plural, prop_words};
use super::beside::SENT;
use super::floor::{Beside, Margin};
use super::once::Floor;
use crate::adapted::{
    Advice, AdviceKind, Ask, CautionKind, Short, ShortOther, State, Step, StudentPlan,
};
use crate::words::{DemandId, Level, PostureId, Prop};

impl Reading<'_> {
    pub(super) fn who(&self) -> String {
        let there = |place: &str| {
            self.adapted
                .students
                .iter()
                .filter(|s| s.place == place)
                .count()
        };
        let (room, video, later) = (there("room"), there("video"), there("recording"));
        let mut parts = vec![match self.adapted.students.len() {
            0 => "A version for everybody: nobody is named".to_owned(),
            _ => format!("{} in the room", plural(room, "person", "people")),
        }];
        if video > 0 {
            parts.push(format!("{video} on video"));
        }
        if later > 0 {
            parts.push("a recording for people who watch later".to_owned());
        }
        // Who sits out may do so on the floor.
        let mut given = self
            .adapted
            .students
            .iter()
            .flat_map(|one| &one.assignments);
        let rests_there = given.any(|given| {
            let posture = self.library.postures.get(&given.posture);
            posture.is_some_and(|posture| posture.level.is_floor())
        });
        let floor = match self.goes_to_the_floor() || rests_there {
            true => "",
            false => " Nobody goes to the floor.",
        };
        format!("{}.{floor}", parts.join(", "))
    }

    pub(super) fn summary(&self, floor: &Floor) -> Vec<String> {
        let class = &self.adapted.class;
        let sit_outs: Vec<String> = self
            .adapted
            .students
            .iter()
            .filter(|student| student.assignments.iter().any(|a| a.sit_out))
            .map(|student| student.short_name.clone())
            .collect();
        let for_all = self.adapted.students.is_empty();
        let rest = match sit_outs.len() {
            0 if for_all && self.adapted.plan.sit_outs > 0 => {
                "At some steps a rest or a pause stands for everybody.".to_owned()
            }
            0 => "Nobody sits out.".to_owned(),
            _ => format!("Sits out at a step: {}.", sit_outs.join(", ")),
        };
        let ends = match self.start {
            Some(_) => format!("Ends {}.", self.at(class.adapted_s)),
            None => format!("Lasts {}.", minutes(class.adapted_s)),
        };
        let mut summary = vec![format!("{ends} {}{rest}", self.rest_kept())];
        summary.push(self.leads_changed());
        summary.push(to_say(floor));
        summary.extend(self.heard_by_all());
        let in_room = self.adapted.students.iter().any(|one| one.place == "room");
        if in_room && !self.touch_asked() {
            summary.push("Nobody was asked about touch.".to_owned());
        }
        summary.push(self.proof());
        if !self.library.replaced.is_empty() {
            let replaced = self.library.replaced.join(", ");
            summary.push(format!("Your own library replaces: {replaced}."));
        }
        summary
    }

    /// Who else hears what is said in the room, where somebody does.
    fn heard_by_all(&self) -> Option<String> {
        let there = |place: &str| self.adapted.students.iter().any(|one| one.place == place);
        let heard = match (there("video"), there("recording")) {
            (false, false) => return None,
            (true, false) => "The hall and the video hear the same",
            (false, true) => "A recording keeps what is said",
            (true, true) => "The hall and the video hear the same, and a recording keeps it",
        };
        let sent = match there("video") {
            true => " What is for one of them alone is sent before class.",
            false => "",
        };
        Some(format!("{heard}: say nothing personal aloud.{sent}"))
    }

    /// What the rest at the end keeps, and where a late start is taken from; a class that runs over is told which
    /// steps give time back.
    fn rest_kept(&self) -> String {
        let over = |one: &Advice| one.kind == AdviceKind::OverTime;
        let late = match self.adapted.advice.iter().any(over) {
            true => "",
            false => "If you start late, shorten the middle. ",
        };
        let short = self
            .adapted
            .advice
            .iter()
            .find(|a| a.kind == AdviceKind::RestShort);
        if let Some(short) = short {
            return format!("{} {late}", short.text);
        }
        let rest = self.adapted.steps.iter().rev().find(|step| {
            let posture = self.library.postures.get(&step.taught.posture);
            posture.is_some_and(|p| p.purposes.get("rest").is_some_and(|&weight| weight >= 2))
        });
        rest.map_or_else(String::new, |rest| {
            format!(
                "The rest at the end keeps its {}. {late}",
                minutes(rest.hold_s)
            )
        })
    }

    fn leads_changed(&self) -> String {
        let mut lines: BTreeMap<usize, bool> = BTreeMap::new();
        let mut reasons: BTreeMap<String, usize> = BTreeMap::new();
        let mut short: BTreeMap<Prop, usize> = BTreeMap::new();
        for step in &self.adapted.steps {
            let changed = step.lead.posture != step.taught.posture;
            let first = lines.insert(step.line, changed).is_none();
            if changed && first {
                for (reason, students) in self.reasons(step) {
                    *reasons.entry(reason).or_insert(0) += students;
                }
                for (prop, without) in self.short_at(step) {
                    *short.entry(prop).or_insert(0) += without;
                }
            }
        }
        // Of several props that are short, the one that most go without is named first.
        let most = short.values().copied().max();
        let mut short: Vec<(Prop, usize)> = short.into_iter().collect();
        short.sort_by_key(|(_, without)| std::cmp::Reverse(*without));
        let short: Vec<String> = short
            .iter()
            .map(|(prop, _)| prop_words(*prop).1.to_owned())
            .collect();
        reasons.extend(most.map(|most| (format!("too few {}", listed(&short)), most)));
        let changed: Vec<String> = lines
            .iter()
            .filter(|(_, changed)| **changed)
            .map(|(line, _)| line.to_string())
            .collect();
        if changed.is_empty() {
            let beside = match self.adapted.nobody_follows_whole() {
                true => "; at each of them somebody does something else",
                false => "",
            };
            return format!("You show all {} shapes as planned{beside}.", lines.len());
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

    /// Why another shape is shown: what it asks less of than the taught one, with how many it concerns.
    fn reasons(&self, step: &Step) -> Vec<(String, usize)> {
        let most = |id: &PostureId, demand: &DemandId| {
            let asks = self.library.postures.get(id)?.demands.get(demand)?;
            asks.left.max(asks.right)
        };
        let because = step.lead.changed_because.iter().filter(|cause| {
            let demand = &cause.demand;
            most(&step.lead.posture, demand) < most(&step.taught.posture, demand)
        });
        because
            .map(|cause| (self.demand(&cause.demand), cause.students))
            .collect()
    }

    /// Props that do not reach round for a step as taught, with how many people's are wanting.
    fn short_at(&self, step: &Step) -> Vec<(Prop, usize)> {
        let lines = |index: &usize| self.adapted.steps.get(index - 1).map(|step| step.line);
        let short = self.adapted.short.iter().filter(|short| {
            let mut moments = short.moments();
            moments.any(|(index, _)| lines(&index) == Some(step.line))
        });
        let short = short.map(|short| {
            let without = short.needed.saturating_sub(short.stock);
            (short.prop, usize::try_from(without).unwrap_or(usize::MAX))
        });
        short.collect()
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

    pub(super) fn advice(&self) -> Vec<String> {
        // What runs short stands in a list of its own; what one more or two waves would do, here.
        let wanted = |advice: &crate::adapted::Advice| match advice.kind {
            AdviceKind::PropShort => advice.steps.len() != 1,
            kind => matches!(
                kind,
                AdviceKind::OverTime
                    | AdviceKind::ReplacePosture
                    | AdviceKind::GroupLevels
                    | AdviceKind::LongBout
                    | AdviceKind::WrongClass
            ),
        };
        let mut advice: Vec<&crate::adapted::Advice> = self
            .adapted
            .advice
            .iter()
            .filter(|advice| wanted(advice))
            .collect();
        advice.sort_by_key(|advice| advice.kind != AdviceKind::OverTime);
        advice
            .into_iter()
            .map(|advice| advice.text.clone())
            .collect()
    }

    /// One entry a person, in the order of their most pressing question; nobody is at the mat of who is on
    /// video.
    pub(super) fn ask(&self) -> Vec<(String, Vec<String>)> {
        let asked = self.asked().into_iter();
        let entry = |(student, texts): (&StudentPlan, Vec<String>)| match student.place.as_str() {
            "video" => (format!("{} (video)", student.name), texts),
            _ => (student.name.clone(), texts),
        };
        asked.map(entry).collect()
    }

    fn asked(&self) -> Vec<(&StudentPlan, Vec<String>)> {
        let mut asked: Vec<(&StudentPlan, Vec<String>)> = Vec::new();
        // Who would rather not say is asked nothing more; a line beside them says so.
        let settled = |ask: &Ask| {
            let declined = |one: &StudentPlan| one.state == State::Declined;
            let mut cautions = self.adapted.cautions.iter();
            self.student(&ask.student).is_some_and(declined)
                && cautions.any(|one| one.kind == CautionKind::NotAsked && one.text == ask.text)
        };
        for ask in self.adapted.ask.iter().filter(|ask| !settled(ask)) {
            let Some(student) = self.student(&ask.student) else {
                continue;
            };
            match asked.iter_mut().find(|(known, _)| known.id == student.id) {
                // The same about the left and the right is asked once.
                Some((_, texts)) if texts.contains(&ask.text) => {}
                Some((_, texts)) => texts.push(ask.text.clone()),
                None => asked.push((student, vec![ask.text.clone()])),
            }
        }
        asked
    }

    pub(super) fn short(&self) -> Vec<String> {
        let line = |index: usize| self.adapted.steps.get(index.saturating_sub(1));
        self.adapted
            .short
            .iter()
            .map(|short| {
                let mut moments: Vec<(usize, u32)> = short.moments().collect();
                moments.sort_unstable();
                // Moments that want the same stand together; a number is never that of another moment.
                let mut wanted: Vec<(u32, Vec<String>)> = Vec::new();
                for (step, needed) in moments {
                    let Some(at) = line(step).map(|step| self.at(step.start_s)) else {
                        continue;
                    };
                    match wanted.iter_mut().find(|(number, _)| *number == needed) {
                        Some((_, times)) => times.push(at),
                        None => wanted.push((needed, vec![at])),
                    }
                }
                let words = wanted.iter().enumerate().map(|(place, (needed, times))| {
                    let of = match place {
                        0 => {
                            let all = counted(*needed, short.prop);
                            format!("{all} for everyone{}", who_bring(short))
                        }
                        _ => needed.to_string(),
                    };
                    let times = match times.as_slice() {
                        [first, .., last] if times.len() > MOST_TIMES => {
                            format!("{} steps from {first} to {last}", times.len())
                        }
                        times => times.join(" and "),
                    };
                    format!("{times}: {of}")
                });
                let words = words.collect::<Vec<_>>().join(", ");
                // Of very many moments a few that fare better help nobody.
                let often = short.moments().count() > MOST_TIMES;
                let others = short
                    .others
                    .iter()
                    .filter(|_| !often)
                    .filter_map(|other| Some((line(other.step)?, other)));
                let others: Vec<String> = others
                    .map(|(step, other)| {
                        format!("At {} {}", self.at(step.start_s), does_as_well(other))
                    })
                    .collect();
                // Where another form serves at every moment, it is what stands in.
                let instead = match short.others.len() == short.moments().count() {
                    true => String::new(),
                    false => format!(" Instead: {}.", short.stand_in),
                };
                let others: String = others.iter().map(|other| format!(" {other}.")).collect();
                let used = self.adapted.props.get(&short.prop);
                let enough = used.into_iter().flat_map(|used| &used.none_spare_at);
                let enough: Vec<String> = enough
                    .filter_map(|&index| Some(self.at(line(index)?.start_s)))
                    .collect();
                let spare = match enough.is_empty() {
                    true => String::new(),
                    false => format!(", none spare at {}", listed(&enough)),
                };
                format!("{words}; {} there{spare}.{instead}{others}", short.stock)
            })
            .collect()
    }

    pub(super) fn say_once(&self) -> Vec<String> {
        let mut say = self.settings.say_once.clone();
        if say.is_empty() {
            say.push("Rest whenever you like. Stop before it hurts. Come up slowly.".to_owned());
        }
        say.extend(self.roll_to());
        say
    }

    /// To which side to come up from the back, where the teacher has set one, and what is said for either.
    fn roll_to(&self) -> Option<String> {
        let set = self.settings.stances.get("roll_to");
        let side = set.filter(|side| matches!(side.as_str(), "left" | "right"))?;
        let lies = self.adapted.steps.iter().any(|step| {
            let posture = self.library.postures.get(&step.taught.posture);
            posture.is_some_and(|posture| posture.level == Level::Supine)
        });
        lies.then(|| {
            let stance = self.library.stances.get("roll_to");
            let both = stance.map(|stance| format!(" Your setting; {}", self.both_sides(stance)));
            format!("Roll to the {side} to come up.{}", both.unwrap_or_default())
        })
    }

    pub(super) fn next(&self) -> Vec<String> {
        let mut next = Vec::new();
        let before = match self.start {
            Some(_) => format!("Before {}", self.at(0)),
            None => "Before class".to_owned(),
        };
        let asked: Vec<&StudentPlan> = self.asked().into_iter().map(|(one, _)| one).collect();
        // Who comes late is not there to be asked before.
        let (late, early): (Vec<&StudentPlan>, Vec<&StudentPlan>) =
            asked.into_iter().partition(|one| one.late_min > 0);
        let (away, here): (Vec<&StudentPlan>, Vec<&StudentPlan>) =
            early.into_iter().partition(|one| one.place == "video");
        let ask = [
            (format!("{before}: ask"), here),
            (format!("{before}, by message: ask"), away),
            ("When they come in: ask".to_owned(), late),
        ];
        for (ask, who) in ask {
            let names: Vec<&str> = who.iter().map(|one| one.name.as_str()).collect();
            if !names.is_empty() {
                // A name such as “Joan F.” brings its own full stop.
                let names = names.join(", ");
                next.push(format!("{ask} {}.", names.trim_end_matches('.')));
            }
        }
        // A confidential person's card is sent as their own line says.
        let students = self.adapted.students.iter();
        let away: Vec<String> = students
            .filter(|student| student.place == "video" && !student.confidential)
            .map(|student| student.name.clone())
            .collect();
        if !away.is_empty() {
            next.push(format!("{before}: send cards to {}.", away.join(", ")));
        }
        next
    }
}

/// More moments than this at which the same runs short are counted, not listed.
const MOST_TIMES: usize = 4;

/// Who needs none of what runs short, so that the numbers are not read as off by one.
pub(in crate::sheets) fn who_bring(short: &Short) -> String {
    match short.bring {
        0 => String::new(),
        1 => " (one person brings their own)".to_owned(),
        bring => format!(" ({bring} people bring their own)"),
    }
}

/// That a form on other props does as well, for how many, and what is left of them.
pub(in crate::sheets) fn does_as_well(other: &ShortOther) -> String {
    let there = counted(other.there, other.prop);
    let reaches = match other.without {
        0 => "enough for all".to_owned(),
        1 => "one person still without".to_owned(),
        number => format!("{number} people still without"),
    };
    let left = match (other.all_taken, other.prop) {
        (true, Prop::Chair) => ", and no chair left to rise by",
        _ => "",
    };
    format!(
        "“{}” does as well: {there} there, {reaches}{left}",
        other.words
    )
}

/// How much is said beside the class itself; what is sent is not said.
fn to_say(floor: &Floor) -> String {
    let said = |line: &&Beside| !line.text.starts_with(SENT);
    let (mut aloud, mut quiet, mut most) = (0, floor.once.iter().filter(said).count(), 0);
    for row in floor.sections.iter().flat_map(|section| &section.rows) {
        let said = row.beside.iter().filter(said);
        let of = |margin| said.clone().filter(|b| b.margin == margin).count();
        aloud += of(Margin::Aloud);
        most = most.max(of(Margin::Aloud));
        quiet += of(Margin::Quiet);
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
