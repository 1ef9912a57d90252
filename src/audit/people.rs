//! Everyone's path held against their own rules: shapes, ways, budgets, cautions.

use std::collections::{BTreeMap, BTreeSet};

use super::told::{Ban, Holds, holds};
use super::{Basis, Kind, Reading};
use crate::adapted::{Assignment, CautionKind, StudentPlan};
use crate::body::Measure;
use crate::library::condition::{Fact, Grade, Quantity};
use crate::library::graph::Link;
use crate::library::posture::{Posture, PostureBody};
use crate::library::rule::EaseBy;
use crate::library::scene::{Scene, evaluate};
use crate::roster::{Asked, Student, Where};
use crate::words::{
    BodySide, DemandId, Level, LimitationId, Prop, PropCounts, Side, StudentId, Use, Verdict,
};

/// How a pause is written where a posture's id is wanted.
const PAUSE: &str = "pause-as-you-are";

/// How the teacher's own shape is written when it is like nothing in the library.
pub(super) const OWN_SHAPE: &str = "own-shape";

/// What keeps taught shapes away: the demand and the side, with the limitations that do.
type Met = BTreeMap<(DemandId, BodySide), BTreeSet<LimitationId>>;

impl Holds<'_> {
    /// Where a person is when the class begins.
    pub(super) fn start_level(&self) -> Level {
        let stays = ["wheelchair", "stays-in-chair"];
        let in_chair = |ban: &Ban<'_>| stays.contains(&ban.limitation.as_str());
        if self.bans.iter().any(in_chair) {
            Level::Chair
        } else {
            Level::Standing
        }
    }
}

/// Who stays in a chair and needs one of the room's: no wheels, no chair of their own.
pub(super) fn seated<'a>(basis: &Basis<'a>) -> BTreeSet<&'a StudentId> {
    let seated = basis.roster.students.iter().filter(|student| {
        let holds = holds(student, basis);
        let wheels = |ban: &Ban<'_>| ban.limitation.as_str() == "wheelchair";
        student.place == Where::Room
            && holds.start_level() == Level::Chair
            && !has_a_chair(&student.has)
            && !holds.bans.iter().any(wheels)
    });
    seated.map(|student| &student.id).collect()
}

fn has_a_chair(props: &PropCounts) -> bool {
    props.get(&Prop::Chair).is_some_and(|&number| number > 0)
}

impl Reading<'_> {
    /// Whether somebody who stays in a chair of the room's has none at a step: not even a pause is left to them.
    pub(super) fn is_nowhere(&self, plan: &StudentPlan, at: usize) -> bool {
        let pause = &plan.assignments[at];
        let seated = self.seated.contains(&plan.id);
        seated && pause.posture.as_str() == PAUSE && !has_a_chair(&pause.props)
    }

    /// Reads everyone's path.
    pub(super) fn people(&mut self) {
        for place in 0..self.adapted.students.len() {
            let plan = &self.adapted.students[place];
            let student = self.basis.roster.student(&plan.id);
            let Some(student) = student else { continue };
            let holds = holds(student, self.basis);
            let met = self.path(plan, student, &holds, place);
            self.budgets(plan, &holds, place);
            self.cautions(plan, student, &holds, &met, place);
        }
    }

    /// Shapes and ways; gives back the limitations that something in the class met.
    fn path(
        &mut self,
        plan: &StudentPlan,
        student: &Student,
        holds: &Holds<'_>,
        place: usize,
    ) -> Met {
        let library = self.basis.library;
        let mut met = Met::new();
        let mut level = holds.start_level();
        let mut nowhere = false;
        for assignment in &plan.assignments {
            let here = Some(assignment.step);
            let taught = self.taught[assignment.step - 1].clone();
            let next = match library.postures.get(&assignment.posture) {
                Some(posture) => {
                    self.shape(assignment, posture, holds, place);
                    posture.level
                }
                None if self.is_nowhere(plan, assignment.step - 1) => taught.level,
                None if assignment.posture.as_str() == PAUSE => level,
                None if assignment.posture.as_str() == OWN_SHAPE && taught.posture.is_none() => {
                    if holds.rest_only || !holds.bans.is_empty() {
                        let text = format!("person {}: nobody can judge this shape", place + 1);
                        self.find(Kind::Avoided, here, text);
                    }
                    taught.level
                }
                None => {
                    self.find(Kind::UnknownShape, here, "the library knows no such shape");
                    level
                }
            };
            self.hold(assignment, taught.line.hold_s, holds);
            if assignment.posture.as_str() != PAUSE && !nowhere {
                self.way(assignment, level, next, holds, place);
            }
            level = next;
            // From where nobody can be there is no way to look at.
            nowhere = self.is_nowhere(plan, assignment.step - 1);
            if let Some(posture) = taught.posture.and_then(|id| library.postures.get(id)) {
                let scene = Scene::held(posture, taught.side, f64::from(taught.line.hold_s));
                let keeping = holds.bans.iter().filter(|ban| {
                    !ban.silent && matches!(ban.verdict, Verdict::Avoid | Verdict::AskFirst)
                });
                for ban in keeping {
                    // What is known too roughly keeps nobody from a shape: at most it is watched.
                    let counts =
                        |&(_, firm): &(BodySide, bool)| firm || ban.verdict == Verdict::AskFirst;
                    for (side, _) in self.fired(ban, &scene).into_iter().filter(counts) {
                        let place = met.entry((ban.demand.clone(), side)).or_default();
                        place.insert(ban.limitation.clone());
                    }
                }
            }
            let fixed = student
                .fixed
                .iter()
                .find(|fixed| fixed.line == taught.line.number);
            let shape = fixed.and_then(|fixed| library.postures.get(&fixed.posture));
            if let Some(shape) = shape
                && shape.id != assignment.posture
                && !assignment.sit_out
                && !self.is_refused(shape, f64::from(taught.line.hold_s), (student, holds))
            {
                self.find(
                    Kind::Menu,
                    here,
                    format!("person {} is fixed to another shape", place + 1),
                );
            }
        }
        met
    }

    /// Whether bans keep a shape away on every side of it.
    fn is_refused(
        &self,
        posture: &Posture,
        hold_s: f64,
        (student, holds): (&Student, &Holds<'_>),
    ) -> bool {
        let steady = self.may_be_steadied(student);
        let sides: &[Side] = match posture.lead.is_some() {
            true => &[Side::Right, Side::Left],
            false => &[Side::None],
        };
        sides.iter().all(|&side| {
            let scene = Scene::held(posture, side, hold_s);
            holds.bans.iter().any(|ban| match ban.verdict {
                Verdict::Avoid => self.fires(ban, &scene) == Some(true),
                Verdict::AskFirst => self.fires(ban, &scene).is_some(),
                Verdict::Ease => {
                    let helps = |by: &EaseBy| match by {
                        EaseBy::Shape => false,
                        EaseBy::Support => steady || posture.facts.contains(&Fact::Supported),
                        EaseBy::Words | EaseBy::Padded | EaseBy::HoldS(_) => true,
                    };
                    !ban.by.iter().any(helps) && self.fires(ban, &scene).is_some()
                }
                Verdict::Watch => false,
            })
        })
    }

    /// Whether there is a wall or a chair that a person could hold on to.
    fn may_be_steadied(&self, student: &Student) -> bool {
        let some = |props: &PropCounts| {
            [Prop::Wall, Prop::Chair]
                .iter()
                .any(|prop| props.get(prop).is_some_and(|&number| number > 0))
        };
        let in_room = student.place == Where::Room;
        some(&student.has) || in_room && self.basis.stock.counts.as_ref().is_none_or(some)
    }

    /// Whether a ban fires on a shape, and whether what decided is known well enough to bar it.
    fn fires(&self, ban: &Ban<'_>, scene: &Scene<'_>) -> Option<bool> {
        let fired = self.fired(ban, scene);
        (!fired.is_empty()).then(|| fired.iter().any(|(_, firm)| *firm))
    }

    /// The sides on which a ban fires, each with whether what decided is known well enough to bar the shape.
    fn fired(&self, ban: &Ban<'_>, scene: &Scene<'_>) -> Vec<(BodySide, bool)> {
        let sided = self
            .basis
            .library
            .demands
            .get(ban.demand)
            .is_some_and(|demand| demand.sided);
        let sides: Vec<BodySide> = match sided {
            true => BodySide::ALL
                .iter()
                .copied()
                .filter(|side| ban.on[*side as usize])
                .collect(),
            false => vec![BodySide::Left],
        };
        let looked = sides.into_iter();
        looked
            .filter_map(|side| Some((side, !evaluate(&ban.when, scene, side)?.rough)))
            .collect()
    }

    fn shape(
        &mut self,
        assignment: &Assignment,
        posture: &Posture,
        holds: &Holds<'_>,
        place: usize,
    ) {
        let here = Some(assignment.step);
        if posture.lead.is_some() == (assignment.side == crate::words::Side::None) {
            self.find(
                Kind::UnknownShape,
                here,
                format!("person {}: a side that the shape has not", place + 1),
            );
        }
        if holds.rest_only && !assignment.sit_out {
            self.find(
                Kind::Avoided,
                here,
                format!("person {}: only rests until a word is recorded", place + 1),
            );
        }
        let mut scene = Scene::held(posture, assignment.side, f64::from(assignment.hold_s));
        scene.padded = assignment.padded;
        for ban in &holds.bans {
            let Some(firm) = self.fires(ban, &scene) else {
                continue;
            };
            match ban.verdict {
                Verdict::Avoid if !firm => {}
                Verdict::Avoid | Verdict::AskFirst => {
                    let text = format!("person {}: this shape is kept from them", place + 1);
                    self.find(Kind::Avoided, here, text);
                }
                Verdict::Ease if !self.is_eased(ban, assignment, posture) => {
                    let text = format!("person {}: nothing eases this shape for them", place + 1);
                    self.find(Kind::NotEased, here, text);
                }
                Verdict::Ease | Verdict::Watch => {}
            }
        }
    }

    /// Whether something given with the shape meets an `ease`.
    fn is_eased(&self, ban: &Ban<'_>, assignment: &Assignment, posture: &Posture) -> bool {
        let given = |prop: Prop| {
            let own = posture.props.get(&prop).copied().unwrap_or(0);
            assignment.props.get(&prop).copied().unwrap_or(0) > own
        };
        ban.by.iter().any(|way| match way {
            EaseBy::Words => true,
            EaseBy::Shape => false,
            EaseBy::Padded => assignment.padded || posture.facts.contains(&Fact::KneePadded),
            EaseBy::Support => {
                posture.facts.contains(&Fact::Supported) || given(Prop::Wall) || given(Prop::Chair)
            }
            EaseBy::HoldS(most) => assignment.hold_s <= *most,
        })
    }

    /// A hold is the one taught, unless a rule of theirs asks for so short a one.
    fn hold(&mut self, assignment: &Assignment, taught_s: u32, holds: &Holds<'_>) {
        let asked = holds
            .bans
            .iter()
            .flat_map(|ban| ban.by)
            .any(|way| matches!(way, EaseBy::HoldS(most) if *most == assignment.hold_s));
        let shorter = assignment.hold_s < taught_s && asked;
        if assignment.hold_s != taught_s && !shorter {
            self.find(
                Kind::Hold,
                Some(assignment.step),
                "a hold is not the one taught",
            );
        }
    }

    /// The way from one level to the next is there, and nothing keeps it from them.
    fn way(
        &mut self,
        assignment: &Assignment,
        from: Level,
        to: Level,
        holds: &Holds<'_>,
        place: usize,
    ) {
        let here = Some(assignment.step);
        let joins = |link: &&Link| link.from.contains(&from) && link.to.contains(&to);
        let needs_one = from != to && self.basis.library.links.values().any(|link| joins(&link));
        let Some(taken) = &assignment.link else {
            if needs_one {
                self.find(
                    Kind::Link,
                    here,
                    format!("person {}: no way to this level", place + 1),
                );
            }
            return;
        };
        let link = self
            .basis
            .library
            .links
            .values()
            .find(|link| link.id.as_str() == taken.id);
        let Some(link) = link.filter(joins) else {
            self.find(
                Kind::Link,
                here,
                format!("person {}: this way leads elsewhere", place + 1),
            );
            return;
        };
        let barred = holds.bans.iter().any(|ban| {
            let asked = link.demands.get(ban.demand);
            let bent = ban
                .when
                .comparisons()
                .iter()
                .any(|(quantity, ..)| *quantity == Quantity::Measure(Measure::WristExtension));
            // Fists keep the wrists straight.
            let straight = bent && link.on_fists;
            !straight
                && matches!(ban.verdict, Verdict::Avoid | Verdict::AskFirst)
                && asked.is_some_and(|asked| *asked >= ban.grade.unwrap_or(Grade::Much))
        });
        if barred {
            self.find(
                Kind::Link,
                here,
                format!("person {}: this way is kept from them", place + 1),
            );
        }
    }

    /// Runs and totals of what is budgeted, by the holds of the class.
    fn budgets(&mut self, plan: &StudentPlan, holds: &Holds<'_>, place: usize) {
        // A change of shape ends a stand: standing still is judged by each shape's own hold.
        for (of, limit) in holds
            .budgets
            .iter()
            .filter(|(of, _)| *of != Use::StandingStill)
        {
            let (mut run, mut total) = (0, 0);
            for assignment in &plan.assignments {
                let posture = self.basis.library.postures.get(&assignment.posture);
                if posture.is_some_and(|posture| uses(posture, *of)) {
                    run += assignment.hold_s;
                    total += assignment.hold_s;
                } else {
                    run = 0;
                }
                let passed = limit.bout_s.is_some_and(|most| run > most)
                    || limit.class_s.is_some_and(|most| total > most);
                if passed {
                    let text = format!("person {}: too long of {of}", place + 1);
                    self.find(Kind::Budget, Some(assignment.step), text);
                    break;
                }
            }
        }
    }

    /// Cautions that are owed: what was met, what was said, who is unknown.
    fn cautions(
        &mut self,
        plan: &StudentPlan,
        student: &Student,
        holds: &Holds<'_>,
        met: &Met,
        place: usize,
    ) {
        let has = |kind: CautionKind| {
            let theirs = self.adapted.cautions.iter();
            theirs
                .filter(|c| c.student.as_ref() == Some(&plan.id) && c.kind == kind)
                .count()
        };
        let mut owed: Vec<(CautionKind, usize)> = vec![
            (CautionKind::Today, student.today.len()),
            (CautionKind::Guidance, student.guidance.len()),
            (CautionKind::Access, student.access.len()),
            (CautionKind::Late, usize::from(student.late_min > 0)),
            (CautionKind::Unrecognised, plan.unrecognised.len()),
        ];
        let silent = student.place == Where::Recording;
        if student.asked != Asked::Yes && !silent {
            owed.push((CautionKind::NotAsked, 1));
        }
        // Where several keep the same shape away for the same, one of them says so.
        let alone = met.values().filter(|limitations| limitations.len() == 1);
        let alone: BTreeSet<&LimitationId> = alone.flatten().collect();
        let kept = holds
            .bans
            .iter()
            .filter(|ban| ban.verdict == Verdict::Avoid && alone.contains(ban.limitation));
        let kept: BTreeSet<&LimitationId> = kept.map(|ban| ban.limitation).collect();
        if !met.is_empty() {
            let there = has(CautionKind::Watch) + has(CautionKind::AskFirst);
            if there < kept.len().max(1) {
                self.find(
                    Kind::Caution,
                    None,
                    format!("person {}: a caution is missing", place + 1),
                );
            }
        }
        for (kind, number) in owed {
            if has(kind) < number {
                self.find(
                    Kind::Caution,
                    None,
                    format!("person {}: a caution is missing", place + 1),
                );
            }
        }
    }
}

/// Whether a shape uses something that lasts. Standing still is judged by each shape's own hold, and is not asked
/// for here.
pub(super) fn uses(posture: &Posture, of: Use) -> bool {
    let asked = |grade: Grade| {
        posture.demands.get(of.as_str()).is_some_and(|asks| {
            asks.left.is_some_and(|left| left >= grade)
                || asks.right.is_some_and(|right| right >= grade)
        })
    };
    match of {
        Use::ArmsOverhead => {
            let lying = [Level::Supine, Level::Prone, Level::SideLying].contains(&posture.level);
            let held = matches!(posture.body, PostureBody::Shape { .. });
            !lying && held && asked(Grade::Much)
        }
        _ => asked(Grade::Some),
    }
}
