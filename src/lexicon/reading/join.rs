//! What belongs together: operations and arthritis with their places, one thing said twice, and
//! operations that have not been yet.

use super::{Found, Reader};
use crate::words::LimitationId;

/// Operations that have rules of their own: "operated" beside them says nothing more.
const OPERATIONS: [&str; 8] = [
    "hip-replacement",
    "knee-replacement",
    "eye-surgery",
    "caesarean",
    "abdominal-surgery",
    "hernia",
    "stoma",
    "device",
];

/// Where an operation on a condition was.
const PLACES: [(&str, &str); 4] = [
    ("rotator-cuff", "shoulder"),
    ("frozen-shoulder", "shoulder"),
    ("carpal-tunnel", "wrist"),
    ("disc", "low-back"),
];

impl Reader<'_> {
    /// "Operated" and "arthritis" take the area of their clause as their site.
    pub(super) fn join_sites(&mut self) {
        let mut gone: Vec<usize> = Vec::new();
        let mut added: Vec<Found> = Vec::new();
        for place in 0..self.found.len() {
            let Some(whole) = self.found.get(place).cloned() else {
                continue;
            };
            let operation = whole.id.as_str() == "surgery";
            if !operation && whole.id.as_str() != "arthritis" {
                continue;
            }
            if operation && self.is_said_elsewhere(&whole) {
                gone.push(place);
                continue;
            }
            if operation && self.is_of_an_eye(&whole) {
                if let Some(found) = self.found.get_mut(place) {
                    found.id = LimitationId::from("eye-surgery");
                    found.side = None;
                }
                continue;
            }
            let areas = self.areas_of(&whole, &gone);
            if areas.is_empty() {
                if let Some((one, before)) = self.area_before(&whole) {
                    // "Right shoulder, operated 5 weeks ago": sore, and operated.
                    gone.extend(before.fine.then_some(one));
                    if let Some(first) = self.found.get_mut(place) {
                        *first = joined(&whole, &before);
                    }
                    continue;
                }
                self.place_alone(place, &whole, &mut gone);
            }
            for (nth, &one) in areas.iter().enumerate() {
                let Some(area) = self.found.get(one) else {
                    continue;
                };
                let joined = joined(&whole, area);
                gone.push(one);
                if nth == 0 {
                    if let Some(first) = self.found.get_mut(place) {
                        *first = joined;
                    }
                } else {
                    added.push(joined);
                }
            }
        }
        let mut place = 0;
        self.found.retain(|_| {
            place += 1;
            !gone.contains(&(place - 1))
        });
        self.found.extend(added);
        self.let_sites_go();
    }

    /// Areas of the clause of an operation or of arthritis; places that count only as a site may stand in the
    /// next clause as well: "arthritis, both hands".
    fn areas_of(&self, whole: &Found, gone: &[usize]) -> Vec<usize> {
        let within = |reach: usize| -> Vec<usize> {
            (0..self.found.len())
                .filter(|one| !gone.contains(one))
                .filter(|&one| {
                    self.found.get(one).is_some_and(|found| {
                        let beside = found.clause == whole.clause;
                        let after = found.site_only && found.clause == whole.clause + reach;
                        (beside || after) && found.is_area(self.book)
                    })
                })
                .collect()
        };
        Some(within(0))
            .filter(|areas| !areas.is_empty())
            .unwrap_or_else(|| within(1))
    }

    /// The one area of the clause before an operation of which nothing else was said.
    fn area_before(&self, whole: &Found) -> Option<(usize, Found)> {
        let open = whole.to_come || whole.replaced || !whole.kinds.is_empty();
        let asked = self.unread.iter().any(|(place, _)| *place == whole.clause);
        let alone = self
            .found
            .iter()
            .all(|found| found.clause != whole.clause || found.id == whole.id);
        if whole.id.as_str() != "surgery" || open || asked || !alone {
            return None;
        }
        let before = whole.clause.checked_sub(1)?;
        let areas = self.found.iter().enumerate();
        let mut areas = areas.filter(|(_, found)| found.clause == before);
        let (one, area) = areas.next().filter(|(_, found)| found.is_area(self.book))?;
        areas.next().is_none().then(|| (one, area.clone()))
    }

    /// Whether an operation of the clause has rules of its own; it takes up the time.
    fn is_said_elsewhere(&mut self, whole: &Found) -> bool {
        let recorded = self.recorded;
        let beside =
            |found: &&mut Found| found.clause == whole.clause && found.id.as_str() != "surgery";
        let known = self.found.iter_mut().filter(beside);
        let mut said = false;
        for found in known.filter(|found| OPERATIONS.contains(&found.id.as_str())) {
            found.tell(whole.on, whole.weeks, recorded);
            found.to_come |= whole.to_come;
            said = true;
        }
        said
    }

    /// Whether an operation was on an eye that has glaucoma.
    fn is_of_an_eye(&self, whole: &Found) -> bool {
        let mut beside = self
            .found
            .iter()
            .filter(|found| found.clause == whole.clause);
        beside.any(|found| found.id.as_str() == "glaucoma")
    }

    /// An operation without an area: on a condition of its clause, on the cuff, or of a part that is not
    /// known. "Replaced" without a joint is said of a valve, or asked about.
    fn place_alone(&mut self, place: usize, whole: &Found, gone: &mut Vec<usize>) {
        let recorded = self.recorded;
        if whole.id.as_str() != "surgery" {
            return;
        }
        let cuff = whole.kinds.iter().any(|kind| kind == "cuff-repair");
        let beside = |found: &Found| found.clause == whole.clause;
        let on = self.found.iter().enumerate().find_map(|(nth, found)| {
            let (_, site) = PLACES
                .iter()
                .find(|(id, _)| *id == found.id.as_str())
                .filter(|_| beside(found))?;
            Some((nth, found.clone(), LimitationId::from(*site)))
        });
        if whole.replaced && on.is_none() {
            gone.push(place);
            let dated = self
                .found
                .iter_mut()
                .find(|found| beside(found) && found.is_dated(self.book) && !found.replaced);
            match dated {
                Some(found) => found.tell(whole.on, whole.weeks, recorded),
                None => self.unread.push((whole.clause, None)),
            }
            return;
        }
        let Some(operated) = self.found.get_mut(place) else {
            return;
        };
        if let Some((nth, condition, site)) = on {
            operated.site = Some(site);
            operated.side = operated.side.or(condition.side);
            if condition.id.as_str() == "rotator-cuff" {
                operated.add_kind("cuff-repair");
                gone.push(nth);
            }
        } else if cuff {
            operated.site = Some(LimitationId::from("shoulder"));
        }
    }

    /// A hand that is the site of nothing is asked about.
    fn let_sites_go(&mut self) {
        for found in &self.found {
            if found.site_only && !self.unread.iter().any(|(place, _)| *place == found.clause) {
                self.unread.push((found.clause, None));
            }
        }
        self.found.retain(|found| !found.site_only);
    }

    /// One thing said twice is one thing.
    pub(super) fn join_same(&mut self) {
        let recorded = self.recorded;
        let mut kept: Vec<Found> = Vec::new();
        for found in std::mem::take(&mut self.found) {
            let same = |other: &&mut Found| {
                let sides =
                    other.side == found.side || other.side.is_none() || found.side.is_none();
                other.id == found.id && other.site == found.site && sides
            };
            match kept.iter_mut().find(same) {
                Some(known) => {
                    known.side = known.side.or(found.side);
                    known.severity = known.severity.max(found.severity);
                    known.torn |= found.torn;
                    if known.id.as_str() == "pregnancy" {
                        known.tell_due(found.due, found.weeks, recorded);
                    } else {
                        known.tell(found.on, found.weeks, recorded);
                    }
                    known.to_come |= found.to_come;
                    known.fine &= found.fine;
                    known.history &= found.history;
                    for kind in found.kinds {
                        known.add_kind(&kind);
                    }
                }
                None => kept.push(found),
            }
        }
        self.found = kept;
    }

    /// An operation that has not been yet is a sore place, and asked about.
    pub(super) fn take_back_what_is_to_come(&mut self) {
        let mut asked: Vec<usize> = Vec::new();
        let is_expected = |found: &Found| found.id.as_str() == "pregnancy";
        let expected = self.found.iter().any(is_expected);
        for mut found in std::mem::take(&mut self.found) {
            let past = found.on.is_some() || found.weeks.is_some();
            if found.to_come {
                asked.push(found.clause);
            }
            if found.to_come && !past {
                let site = found.site.take();
                let area = match found.id.as_str() {
                    "hip-replacement" => Some(LimitationId::from("hip")),
                    "knee-replacement" => Some(LimitationId::from("knee")),
                    "surgery" => site,
                    "hernia" | "heart" => Some(found.id.clone()),
                    "caesarean" if !expected => Some(LimitationId::from("pregnancy")),
                    _ => None,
                };
                let Some(area) = area else { continue };
                found.id = area;
                found.approach = None;
                found.kinds.clear();
            }
            self.found.push(found);
        }
        for place in asked {
            self.ask(
                place,
                "an operation to come: when is it, and what may be done until then",
            );
        }
    }
}

/// An operation or arthritis of an area. A hip or a knee that was replaced is a new one.
fn joined(whole: &Found, area: &Found) -> Found {
    let mut joined = whole.clone();
    joined.side = area.side.or(whole.side);
    joined.severity = area.severity.max(whole.severity);
    joined.history |= area.history;
    joined.fine |= area.fine;
    // The area says which joint it was.
    let new = match area.id.as_str() {
        "hip" => Some("hip-replacement"),
        "knee" => Some("knee-replacement"),
        _ => None,
    };
    match new.filter(|_| whole.replaced) {
        Some(new) => joined.id = LimitationId::from(new),
        None => joined.site = Some(area.id.clone()),
    }
    joined
}
