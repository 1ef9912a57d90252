//! The ways between levels: which one a person takes, what the rules say of it, and what kept them from the
//! class's.

use super::Scene;
use crate::adapted::{Finding, LinkTaken};
use crate::judge::facts::{InForce, Person};
use crate::judge::verdict::{bars, eased_on_fists};
use crate::library::graph::Link;
use crate::library::rule::EaseBy;
use crate::search::instance::ways;
use crate::words::{BodySide, Level, Verdict};

/// The measure of a finding about a way: no number decides it.
pub const WAY: &str = "way";

/// What eases a way for sore wrists (rules.md, wrist: fist; common practice, no source).
const ON_FISTS: &str = "on fists, wrists straight";

impl<'a> Scene<'a> {
    /// The way that a person takes to a pass: the taught one if it is open to them, else the nearest.
    pub(super) fn link(
        &self,
        person: &Person<'_>,
        at: usize,
        from: Level,
        to: Level,
    ) -> Option<LinkTaken> {
        let open = ways(self.room, person, from, to)?;
        let by = self.table.lines[self.table.passes[at].line].moved_by;
        let is_taught = |link: &&&Link| by.is_some_and(|by| link.by.iter().any(|name| name == by));
        let taken = open.iter().find(is_taught).or(open.first())?;
        let with_class = match self.of_class(person, at) {
            Some((levels, link)) if levels == (from, to) => link.id == taken.id,
            _ => taken.usual,
        };
        Some(LinkTaken {
            id: taken.id.to_string(),
            seconds: taken.seconds,
            props: taken.props.clone(),
            apart: !with_class,
            verdicts: self.said_of(person, taken),
        })
    }

    /// What keeps a person from the class's way to a pass, and from the usual one of their own levels.
    pub(super) fn way_kept(
        &self,
        person: &Person<'_>,
        at: usize,
        from: Level,
        to: Level,
    ) -> Vec<Finding> {
        let class = self.of_class(person, at).map(|(_, link)| link);
        let own = (from != to).then(|| self.way(from, to, None)).flatten();
        let mut found: Vec<Finding> = Vec::new();
        for link in class.into_iter().chain(own) {
            for finding in self.said_of(person, link) {
                let barring = matches!(finding.verdict, Verdict::Avoid | Verdict::AskFirst);
                if barring && !found.contains(&finding) {
                    found.push(finding);
                }
            }
        }
        found
    }

    /// The levels between which the class goes before a pass, from where this person begins, and its way.
    fn of_class(&self, person: &Person<'_>, at: usize) -> Option<((Level, Level), &'a Link)> {
        let level = |at: usize| {
            let pass = self.table.passes.get(at)?;
            Some(self.table.lines[pass.line].level)
        };
        let to = level(at)?;
        let from = match at.checked_sub(1) {
            Some(before) => level(before)?,
            None => self.room.start_level(person),
        };
        let by = self.table.lines[self.table.passes[at].line].moved_by;
        let link = (from != to).then(|| self.way(from, to, by)).flatten()?;
        Some(((from, to), link))
    }

    /// The way between two levels by its name, else the usual one.
    fn way(&self, from: Level, to: Level, by: Option<&str>) -> Option<&'a Link> {
        let links = self.task.library.links.values();
        let joining = links.filter(|link| link.from.contains(&from) && link.to.contains(&to));
        let named = |link: &&Link| by.is_some_and(|by| link.by.iter().any(|name| name == by));
        joining
            .clone()
            .find(named)
            .or_else(|| joining.clone().find(|link| link.usual))
    }

    /// What the rules in force say of a way, the strictest of each demand and side.
    fn said_of(&self, person: &Person<'_>, link: &Link) -> Vec<Finding> {
        let mut found: Vec<Finding> = Vec::new();
        let asked = |rule: &&InForce<'_>| !rule.silent && link.asks(rule.demand, rule.grade);
        for finding in person
            .rules
            .iter()
            .filter(asked)
            .map(|rule| self.finding(rule, link))
        {
            let same =
                |old: &&mut Finding| (&old.demand, old.side) == (&finding.demand, finding.side);
            match found.iter_mut().find(same) {
                Some(old) if finding.verdict > old.verdict => *old = finding,
                Some(_) => {}
                None => found.push(finding),
            }
        }
        found
    }

    fn finding(&self, rule: &InForce<'_>, link: &Link) -> Finding {
        let demand = self.task.library.demands.get(rule.demand);
        let side = match rule.sides {
            [true, false] => Some(BodySide::Left),
            [false, true] => Some(BodySide::Right),
            _ => None,
        };
        // What eases a shape eases a way only where it can be had on the way: padding, a hand-hold, a pause.
        let by_prop = rule
            .easing
            .by
            .iter()
            .any(|by| matches!(by, EaseBy::Padded | EaseBy::Support));
        let of_ways = matches!(rule.demand.as_str(), "getting-down" | "quick-level-change");
        let eases = rule.verdict == Verdict::Ease && (by_prop || of_ways);
        let on_fists = bars(rule, link) && eased_on_fists(rule, link);
        let easing = match on_fists {
            true => Some(ON_FISTS.to_owned()),
            false => eases.then(|| rule.easing.words.clone()),
        };
        Finding {
            rule: rule.rule.clone(),
            limitation: rule.limitation.clone(),
            demand: rule.demand.clone(),
            verdict: if on_fists {
                Verdict::Ease
            } else {
                rule.verdict
            },
            measure: WAY.to_owned(),
            value: None,
            limit: None,
            strength: rule.strength,
            source: rule.source.cloned(),
            side: side.filter(|_| demand.is_some_and(|demand| demand.sided)),
            easing,
        }
    }
}
