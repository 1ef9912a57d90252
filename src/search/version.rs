//! What a version of the whole class leaves open, whoever comes.
//!
//! Invariant: without a version nothing here changes anything.

use super::candidate::{Candidate, What};
use super::candidates::Room;
use crate::group::problem::Budget;
use crate::judge::facts::Person;
use crate::judge::verdict::Form;
use crate::library::graph::Link;
use crate::library::posture::Posture;
use crate::timetable::TimedLine;
use crate::words::{Level, Prop, PropCounts, Side};

/// The use of being on the feet, standing or at the wall: counted in versions only.
const STANDING: &str = "on-the-feet";

impl Room<'_> {
    /// The form in which a shape may be taught to everybody, if it may: what the judge left of it,
    /// held no longer than the version says.
    pub(super) fn for_all(
        &self,
        line: &TimedLine<'_>,
        what: &What,
        (posture, side): (&Posture, Side),
        form: Form,
    ) -> Option<Form> {
        let Some(version) = self.version else {
            return Some(form);
        };
        // A run has one order of sides for all its lines.
        let block = &self.table.blocks[line.block];
        let swapped = matches!(what, What::Posture { swapped: true, .. });
        if swapped && block.is_sided() && block.lines.len() > 1 {
            return None;
        }
        let most_s = version.hold_s().filter(|_| !self.is_final_rest(line));
        let short_s = most_s.filter(|&most_s| line.line.hold_s > most_s);
        let form = Form {
            short_s: short_s.or(form.short_s),
            ..form
        };
        let hold_s = form.short_s.unwrap_or(line.line.hold_s);
        let padded = line.line.padded || form.padded;
        version
            .allows(self.library, posture, (side, hold_s, padded))
            .then_some(form)
    }

    /// Whether a line is the rest at the end, which no version makes shorter.
    fn is_final_rest(&self, line: &TimedLine<'_>) -> bool {
        let rest = self.table.final_rest(self.library);
        rest.is_some_and(|at| {
            std::ptr::eq(
                &raw const self.table.lines[self.table.passes[at].line],
                line,
            )
        })
    }

    /// Whether a version leaves all these props in use.
    pub(super) fn props_are_open(&self, props: &PropCounts) -> bool {
        let open = |prop: &Prop| self.version.is_none_or(|one| one.allows_prop(*prop));
        props.keys().all(open)
    }

    /// Whether somebody may pause at a level.
    pub(super) fn level_is_open(&self, level: Level) -> bool {
        self.version.is_none_or(|version| {
            let levels = |levels: &[Level]| levels.is_empty() || levels.contains(&level);
            version.blankets.iter().all(|one| levels(&one.levels))
        })
    }

    /// What lies under the knees where kneeling is padded for everyone.
    pub(super) fn padding(&self) -> Prop {
        self.version.map_or(Prop::Blanket, |one| one.padding())
    }

    /// Whether everybody may go a way between two levels.
    pub(super) fn way_is_open(&self, link: &Link, from: Level, to: Level) -> bool {
        self.version
            .is_none_or(|version| version.allows_link(link, from, to))
    }

    /// Seconds of one pass of a line. Where standing has a share of the class, talk and props
    /// count with the shape that they belong to.
    pub(super) fn pass_s(&self, line: usize) -> u32 {
        let hold_s = self.table.lines[line].pass_s;
        if self.standing_budget().is_none() {
            return hold_s;
        }
        let passes = self.table.passes_of(line).count();
        let number = u32::try_from(passes).unwrap_or(u32::MAX);
        let takes_s = self.table.takes_s(line);
        takes_s.div_ceil(number.max(1)).max(hold_s)
    }

    /// The use of being on the feet, where a version counts it.
    pub(super) fn stands(&self, candidate: &Candidate, line: Level) -> Option<String> {
        // The pause that is always there is taken wherever somebody is.
        let level = candidate.level(self.library, line);
        let on_the_feet =
            matches!(level, Level::Standing | Level::Wall) && candidate.what != What::LastPause;
        self.standing_budget()
            .filter(|_| on_the_feet)
            .map(|budget| budget.what)
    }

    /// How much of the class may be spent on the feet, where a version says so.
    pub(super) fn standing_budget(&self) -> Option<Budget> {
        let share = self.version?.standing_share_pct()?;
        Some(Budget {
            what: STANDING.to_owned(),
            bout_s: None,
            class_s: Some(self.table.planned_s * share / 100),
        })
    }

    /// The level at which a person begins: a chair for those who stay in one.
    pub fn start_level(&self, person: &Person<'_>) -> Level {
        if let Some(version) = self.version {
            return version.start();
        }
        let stays = ["wheelchair", "stays-in-chair"];
        let in_chair = person
            .rules
            .iter()
            .any(|rule| stays.contains(&rule.limitation.as_str()));
        if in_chair {
            Level::Chair
        } else {
            Level::Standing
        }
    }
}
