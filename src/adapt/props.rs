//! Props: the most in use at once, what to fetch when, what changes hands, what runs short.

use std::collections::BTreeMap;

use super::{Scene, teachers_props, with_arms_counted};
use crate::adapted::{
    Adapted, Fetch, Handover, PropUse, Short, ShortAgain, ShortOther, Step, StudentPlan,
};
use crate::body::Surface;
use crate::class::{Choice, Line};
use crate::judge::verdict::asks;
use crate::laying::FEWEST;
use crate::library::condition::Grade;
use crate::library::posture::{Posture, PostureBody};
use crate::roster::Where;
use crate::sheets::words::{clock, counted, listed, lower, on_choice};
use crate::words::{Level, Prop, PropCounts, StudentId, Way};

/// What everyone draws from the cupboard at a step.
pub(super) type Drawn<'a> = Vec<(&'a StudentId, PropCounts)>;

impl Scene<'_> {
    /// Need, stock and peak of every prop in use; what to fetch; what runs short.
    pub(super) fn props(
        &self,
        steps: &[Step],
        students: &[StudentPlan],
    ) -> (BTreeMap<Prop, PropUse>, Vec<Fetch>, Vec<Short>) {
        let drawn: Vec<Drawn<'_>> = (0..self.table.passes.len())
            .map(|at| self.drawn_at(at))
            .collect();
        let teachers: Vec<PropCounts> = (0..self.table.lines.len())
            .map(|line| teachers_props(self.table, line, self.task.library))
            .collect();
        let total = |at: usize, prop: Prop| -> u32 {
            let students: u32 = drawn[at]
                .iter()
                .filter_map(|(_, theirs)| theirs.get(&prop))
                .sum();
            let teacher = teachers[self.table.passes[at].line]
                .get(&prop)
                .copied()
                .unwrap_or(0);
            students + teacher
        };
        let mut uses = BTreeMap::new();
        let mut fetch = Vec::new();
        for &prop in Prop::ALL.iter().filter(|prop| **prop != Prop::Mat) {
            let totals: Vec<u32> = (0..drawn.len()).map(|at| total(at, prop)).collect();
            let needed = totals.iter().copied().max().unwrap_or(0);
            let with_ways = (0..drawn.len())
                .map(|at| totals[at] + brought(students, at + 1, prop))
                .max()
                .unwrap_or(0);
            let peak = totals
                .iter()
                .position(|&total| total == needed)
                .unwrap_or(0);
            let stock = self.task.stock.counts.as_ref().map(with_arms_counted);
            let stock = stock.map(|counts| counts.get(&prop).copied().unwrap_or(0));
            let (laid, fetched) = self.laid(prop, (steps, students), &drawn, stock);
            if with_ways == 0 && laid.number == 0 {
                continue;
            }
            let used = PropUse {
                needed,
                with_ways: (with_ways > needed).then_some(with_ways),
                stock,
                peak_step: peak + 1,
                handovers: handovers(&drawn, prop, stock),
                laid,
                none_spare_at: self.none_spare_at(prop),
            };
            // A place at the wall is kept clear, not fetched.
            if prop != Prop::Wall {
                fetch.extend(fetched);
            }
            uses.insert(prop, used);
        }
        fetch.sort_by_key(|fetch: &Fetch| (fetch.step, fetch.prop));
        (uses, fetch, self.short())
    }

    pub(super) fn drawn_at(&self, at: usize) -> Drawn<'_> {
        self.people
            .iter()
            .enumerate()
            .filter(|(_, person)| person.student.place == Where::Room)
            .map(|(place, person)| {
                let pass = &self.table.passes[at];
                let candidate = &self.lines[pass.line].list[self.choices[place][at]];
                let mut drawn = candidate.drawn.clone();
                // A place that is kept for somebody is one of the room's all the same.
                let held = self.held(candidate, pass.line);
                let stands = held.get(&Prop::Wall).copied().unwrap_or(0);
                let own = person.student.has.get(&Prop::Wall).copied().unwrap_or(0);
                if stands > own {
                    drawn.insert(Prop::Wall, stands - own);
                }
                (&person.student.id, drawn)
            })
            .collect()
    }

    /// Props that would not reach round if everyone in the room did the class as taught.
    fn short(&self) -> Vec<Short> {
        let Some(stock) = self.task.stock.counts.as_ref().map(with_arms_counted) else {
            return Vec::new();
        };
        // Each prop once, where it runs shortest first.
        let mut found: BTreeMap<Prop, Short> = BTreeMap::new();
        for line in 0..self.table.lines.len() {
            let Some((at, _)) = self.table.passes_of(line).next() else {
                continue;
            };
            for Wanted {
                prop,
                each,
                needed,
                bring,
            } in self.wanted(line)
            {
                let there = stock.get(&prop).copied().unwrap_or(0);
                if needed <= there {
                    continue;
                }
                let short = found.entry(prop).or_insert_with(|| Short {
                    prop,
                    needed: 0,
                    stock: there,
                    step: at + 1,
                    bring: 0,
                    again: Vec::new(),
                    stand_in: String::new(),
                    others: Vec::new(),
                });
                short.bring = short.bring.max(bring);
                let people = needed / each;
                let other =
                    self.other_form(line, (prop, people - (there / each).min(people)), &stock);
                short.others.extend(other);
                let step = at + 1;
                match short.needed {
                    0 => short.needed = needed,
                    most if most < needed => {
                        let (step_before, needed_before) = (short.step, most);
                        short.again.push(ShortAgain {
                            step: step_before,
                            needed: needed_before,
                        });
                        (short.needed, short.step) = (needed, step);
                    }
                    _ => short.again.push(ShortAgain { step, needed }),
                }
            }
        }
        let mut found: Vec<Short> = found.into_values().collect();
        for short in &mut found {
            let line = &self.table.lines[self.table.passes[short.step - 1].line];
            let posture = line
                .posture
                .and_then(|id| self.task.library.postures.get(id));
            short.stand_in = stand_in(short.prop, posture).to_owned();
        }
        found.sort_by_key(|short| short.step);
        found
    }

    /// What everyone in the room would need at a line as taught, prop by prop; who brings their own needs none.
    fn wanted(&self, line: usize) -> Vec<Wanted> {
        let teacher = teachers_props(self.table, line, self.task.library);
        let shown_at_the_wall = teacher.contains_key(&Prop::Wall);
        let mut wanted = teacher;
        if offers_the_wall(self.table.lines[line].line) {
            wanted.entry(Prop::Wall).or_insert(1);
        }
        let wanted = wanted.into_iter().map(|(prop, each)| {
            let bring = self
                .people
                .iter()
                .filter(|person| person.student.place == Where::Room)
                .filter(|person| person.student.has.get(&prop).is_some_and(|&n| n >= each));
            let bring = u32::try_from(bring.count()).unwrap_or(0);
            // The teacher's own and everybody's who brought none; nobody keeps a place at the wall for
            // showing what is shown in the middle.
            let teachers = u32::from(prop != Prop::Wall || shown_at_the_wall);
            Wanted {
                prop,
                each,
                needed: each * (self.number_in_room().saturating_sub(bring) + teachers),
                bring,
            }
        });
        wanted.collect()
    }

    /// Steps at which everyone in the room as taught would take all there are of a prop, and no more.
    fn none_spare_at(&self, prop: Prop) -> Vec<usize> {
        let stock = self.task.stock.counts.as_ref().map(with_arms_counted);
        let there = stock.map(|counts| counts.get(&prop).copied().unwrap_or(0));
        let takes_all = |line: &usize| {
            let mut wanted = self.wanted(*line).into_iter();
            wanted.any(|wanted| wanted.prop == prop && Some(wanted.needed) == there)
        };
        let lines = (0..self.table.lines.len()).filter(takes_all);
        lines
            .filter_map(|line| self.table.first_step(line))
            .collect()
    }

    /// Another form of the taught shape of a line that does without a prop of which it runs short alone: one of
    /// the teacher's own choices, else the nearest on other props. `without` people are left without the prop.
    fn other_form(
        &self,
        line: usize,
        (prop, without): (Prop, u32),
        stock: &PropCounts,
    ) -> Option<ShortOther> {
        let library = self.task.library;
        let timed = &self.table.lines[line];
        let taught = library.postures.get(timed.posture?)?;
        let chosen = timed.line.or.iter().filter_map(|choice| match choice {
            Choice::Posture(id) => Some(id),
            Choice::Words(_) => None,
        });
        let edges = library.alternatives.get(&taught.id).into_iter().flatten();
        let mut propped: Vec<_> = edges
            .filter(|edge| edge.way == Way::Propped && edge.cost <= NEAR)
            .collect();
        propped.sort_by_key(|edge| edge.cost);
        let forms = chosen.chain(propped.into_iter().map(|edge| &edge.to));
        let mut postures = forms.filter_map(|id| library.postures.get(id));
        let there = |of: Prop| stock.get(&of).copied().unwrap_or(0);
        let mine = teachers_props(self.table, line, library);
        mine.get(&prop)?;
        let on_another = |posture: &&Posture| {
            let mut props = posture.props.keys();
            !posture.props.contains_key(&prop)
                && serves_the_same(prop, posture)
                && props.any(|of| *of != Prop::Mat && !mine.contains_key(of))
        };
        let form = postures.find(on_another)?;
        let mut props = form.props.iter();
        let (&other, &each) = props.find(|(of, _)| **of != Prop::Mat && !mine.contains_key(of))?;
        let serves = (there(other) / each).min(without);
        (serves > 0).then(|| ShortOther {
            step: self.table.first_step(line).unwrap_or(1),
            words: lower(&form.choice),
            prop: other,
            there: there(other),
            without: without - serves,
            all_taken: serves * each == there(other),
        })
    }

    /// How many are in the room, the teacher aside.
    pub(super) fn number_in_room(&self) -> u32 {
        let people = self.people.iter();
        let in_room = people.filter(|person| person.student.place == Where::Room);
        u32::try_from(in_room.count()).unwrap_or(u32::MAX)
    }

    /// What to set out before anyone comes: the same at every place first; then what is under the feet of who
    /// does not reach the floor.
    pub(super) fn set_out(&self, adapted: &Adapted) -> Vec<String> {
        let foot_steps = adapted.foot_steps.as_ref();
        let foot_steps = foot_steps.map(|lain| self.foot_step_words(lain));
        let used = adapted.props.iter();
        let lie = used.filter_map(|(&prop, used)| self.lies_where(adapted, prop, used));
        let unplanned = adapted.on_choice().into_iter();
        let unplanned = unplanned.filter(|(prop, _)| {
            let used = adapted.props.get(prop);
            used.is_none_or(|used| used.laid.private == 0)
        });
        lie.chain(foot_steps.into_iter().flatten())
            .chain(on_choice(unplanned))
            .collect()
    }

    /// Where a prop lies, in words for the teacher alone.
    fn lies_where(&self, adapted: &Adapted, prop: Prop, used: &PropUse) -> Option<String> {
        let laid = &used.laid;
        let all = laid.number + laid.private;
        if all == 0 {
            return None;
        }
        let short = adapted.short.iter().find(|short| short.prop == prop);
        if prop == Prop::Wall {
            let clear = short.map_or(all, |short| short.stock);
            return Some(format!("keep {} clear at the wall", places_words(clear)));
        }
        let but = if laid.bring == 0 {
            ""
        } else {
            ", but for who brings one"
        };
        let at_places = (laid.each > 0).then(|| {
            format!(
                "{} at every place, yours too{but}",
                counted(laid.each, prop)
            )
        });
        let open = laid.along_the_wall();
        let along = open + laid.private;
        // What the props sheet does not count is said here, where it says another number.
        let apart = match (laid.private, open) {
            (0, _) => String::new(),
            (private, 0) => format!(" ({private} not on the props sheet)"),
            (_, open) if open < FEWEST && along <= FEWEST => String::new(),
            (_, open) => format!(" ({open} on the props sheet)"),
        };
        let along = (along > 0).then(|| match &at_places {
            None => format!("{} along the wall, for anyone{apart}", counted(along, prop)),
            Some(_) => format!("{along} more along the wall, for anyone{apart}"),
        });
        let at = |&step: &usize| {
            let pass = self.table.passes.get(step - 1)?;
            Some(clock(self.task.class.start, pass.start_s))
        };
        let times: Vec<String> = used.none_spare_at.iter().filter_map(at).collect();
        let spare = match (used.stock == Some(all), times.is_empty(), short) {
            // Beside what runs short it says itself at which step all are just enough.
            (_, false, None) => Some(format!("none spare at {}", listed(&times))),
            (true, ..) => Some("none spare".to_owned()),
            (false, ..) => None,
        };
        let parts: Vec<String> = at_places.into_iter().chain(along).chain(spare).collect();
        Some(parts.join("; "))
    }
}

/// What everyone would need of a prop at a line as taught.
struct Wanted {
    prop: Prop,
    /// How many each.
    each: u32,
    /// How many in all, the teacher's included.
    needed: u32,
    /// How many people bring enough of their own.
    bring: u32,
}

/// Whether a form on other props can serve for what a prop does in the taught shape: a hand laid on
/// something is no help to who sits, kneels or lies on a soft prop.
fn serves_the_same(prop: Prop, form: &Posture) -> bool {
    let soft = matches!(
        prop,
        Prop::Blanket | Prop::Bolster | Prop::Pillow | Prop::Cushion | Prop::Towel
    );
    let PostureBody::Shape { shape, .. } = &form.body else {
        return true;
    };
    let arm = ["hand", "fingers", "fist", "forearm", "elbow", "wrist"];
    let contacts = shape.contacts.iter();
    let floor = Surface::Named("floor".to_owned());
    let mut raised = contacts.filter(|contact| contact.surface != floor);
    !soft || !raised.all(|contact| arm.contains(&contact.patch.as_str()))
}

/// How many of a prop are brought to people in the room for their way to a step.
fn brought(students: &[StudentPlan], step: usize, prop: Prop) -> u32 {
    let in_room = students.iter().filter(|student| student.place == "room");
    let brought = in_room.filter_map(|student| student.brought_for_way(step).remove(&prop));
    brought.sum()
}

fn places_words(number: u32) -> String {
    if number == 1 {
        "1 place".to_owned()
    } else {
        format!("{number} places")
    }
}

/// Whether the teacher's own words offer the wall to everybody: “wall free”, “or at the wall”.
fn offers_the_wall(line: &Line) -> bool {
    let choices = line.or.iter().filter_map(|choice| match choice {
        Choice::Words(words) => Some(words.as_str()),
        Choice::Posture(_) => None,
    });
    let own = line.note.iter().chain(&line.cue).map(String::as_str);
    let mut words = own.chain(choices).flat_map(|text| {
        let letters = |letter: char| !letter.is_alphabetic();
        text.split(letters).map(str::to_lowercase)
    });
    words.any(|word| word == "wall")
}

/// How far a form on other props may lie from the taught shape to do as well as it: a step (our choice).
const NEAR: u32 = 2;

/// What stands in for a prop in a shape (common practice, no source; job.md 4.1).
fn stand_in(prop: Prop, posture: Option<&Posture>) -> &'static str {
    let level = posture.map(|posture| posture.level);
    let upright = matches!(level, None | Some(Level::Standing | Level::Wall));
    let asks_for =
        |demand: &str| posture.is_none_or(|posture| asks(posture, &demand.into(), Grade::Some));
    match prop {
        Prop::Mat => "a rug that does not slip",
        Prop::Block if upright => "a thick book, or hands on the thighs",
        Prop::Block => "a thick book, or a blanket folded small",
        Prop::Blanket => "a towel, or the mat folded",
        Prop::Bolster => "rolled blankets or a sofa cushion",
        Prop::Strap if asks_for("straight-leg-stretch") => {
            "a belt or scarf, or hands behind the thigh"
        }
        Prop::Strap => "a belt or scarf, or none",
        Prop::Chair | Prop::ChairWithArms => "a steady dining chair without wheels",
        Prop::Stool => "a low chair",
        Prop::Table => "a second chair",
        Prop::Pillow | Prop::Cushion => "a folded blanket",
        Prop::Wedge => "the mat’s edge rolled up",
        Prop::Towel => "a folded jumper",
        Prop::Wall if level == Some(Level::Supine) => "a shut door",
        Prop::Wall => "a steady chair that stands on the mat, or a shut door",
    }
}

/// Props that must pass from one to another because there are too few to leave them lying: what
/// everyone keeps by them, against what is left in the cupboard.
fn handovers(drawn: &[Drawn<'_>], prop: Prop, stock: Option<u32>) -> Vec<Handover> {
    let Some(stock) = stock else {
        return Vec::new();
    };
    let mut left = stock;
    let mut kept: BTreeMap<&StudentId, u32> = BTreeMap::new();
    let mut found = Vec::new();
    for (at, step) in drawn.iter().enumerate() {
        let wants = |id: &StudentId| {
            step.iter()
                .find(|(other, _)| *other == id)
                .map_or(0, |(_, theirs)| theirs.get(&prop).copied().unwrap_or(0))
        };
        for (id, theirs) in step {
            let wanted = theirs.get(&prop).copied().unwrap_or(0);
            let has = kept.get(id).copied().unwrap_or(0);
            for _ in has..wanted {
                if left > 0 {
                    left -= 1;
                } else {
                    let idle = kept
                        .iter()
                        .find(|(other, n)| **n > wants(other))
                        .map(|(o, _)| *o);
                    let Some(giver) = idle else { break };
                    kept.entry(giver).and_modify(|n| *n -= 1);
                    found.push(Handover {
                        from: giver.clone(),
                        to: (*id).clone(),
                        before_step: at + 1,
                    });
                }
                *kept.entry(id).or_insert(0) += 1;
            }
        }
    }
    found
}
