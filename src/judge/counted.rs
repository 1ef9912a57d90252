//! What counts on the date: words of today before the form, sides, sites, how far along.

use jiff::civil::Date;

use super::facts::{Counted, Person};
use super::weeks;
use crate::library::Library;
use crate::library::rule::{Limitation as Kind, LimitationKind, OfArea};
use crate::roster::{Limitation, Told, ToldSide};
use crate::words::{BodySide, Severity};

impl<'a> Person<'a> {
    /// Counts what was told: today's words outrank the form about the same thing, side by side.
    pub(super) fn count(&mut self, library: &'a Library, date: Date) {
        for (list, today) in [
            (&self.student.today, true),
            (&self.student.limitations, false),
        ] {
            for told in list {
                match told {
                    Told::Words { text, question, .. } => {
                        self.unrecognised.push((text, question.as_deref()));
                    }
                    Told::Limitation(told) => self.count_one(told, today, library, date),
                }
            }
        }
    }

    fn count_one(&mut self, told: &'a Limitation, today: bool, library: &'a Library, date: Date) {
        let Some(kind) = library.limitations.get(&told.what) else {
            return;
        };
        let of = sides(told.side);
        let mut sides = of;
        let mut severity = told.severity;
        let mut now = today;
        if !today {
            let said = self
                .told
                .iter()
                .filter(|said| said.today && is_same(said.told, told));
            for said in said {
                sides = [sides[0] && !said.sides[0], sides[1] && !said.sides[1]];
                if tells_more(told, said.told) {
                    // What today's words leave out still holds, and is as bad as it is today.
                    severity = Some(said.severity);
                    now = true;
                }
            }
            if now {
                sides = of;
            } else if sides == [false, false] {
                return;
            }
        }
        let recorded = if today {
            Some(date)
        } else {
            self.student.recorded
        };
        self.told.push(Counted {
            told,
            kind,
            severity: severity.unwrap_or(Severity::Moderate),
            age: weeks::age(told, kind.clock, recorded, date),
            today: now,
            sides,
            areas: areas(told, kind, library),
        });
    }
}

impl Counted<'_> {
    /// The site that its rules tell apart: a place of its own, or an area; none when nobody told one
    /// that means anything here.
    pub fn site(&self) -> Option<&str> {
        let words = self.told.site.as_deref()?;
        let area = || match (&self.kind.of_area, self.areas.as_slice()) {
            (Some(_), [area]) => Some(area.id.as_str()),
            _ => None,
        };
        self.kind.site_of(words).or_else(area)
    }

    /// Whether a side belongs to it: the area that is its site may have none.
    pub fn has_side(&self) -> bool {
        match self.areas.as_slice() {
            [area] => self.kind.sided && area.sided,
            _ => self.kind.sided,
        }
    }
}

/// Whether two entries speak of one thing, sides apart: a site that nobody told may be any.
fn is_same(one: &Limitation, other: &Limitation) -> bool {
    let site = one.site.is_none() || other.site.is_none() || one.site == other.site;
    one.what == other.what && site
}

/// Whether an entry of the form has a kind that today's words about it do not repeat: the eye disease of a
/// diabetes, a broken vertebra.
fn tells_more(form: &Limitation, today: &Limitation) -> bool {
    form.kind.iter().any(|kind| !today.kind.contains(kind))
}

/// The areas whose rules count for a limitation.
fn areas<'a>(told: &Limitation, kind: &'a Kind, library: &'a Library) -> Vec<&'a Kind> {
    let Some(how) = &kind.of_area else {
        return Vec::new();
    };
    let site = told.site.as_deref().and_then(|site| library.area_of(site));
    match (site, how) {
        (Some(area), _) => vec![area],
        (None, OfArea::Milder) => Vec::new(),
        (None, OfArea::Operated { .. }) => library
            .limitations
            .values()
            .filter(|limitation| limitation.kind == LimitationKind::Area)
            .collect(),
    }
}

/// Left and right; a side that nobody told counts for both.
pub(super) fn sides(told: Option<ToldSide>) -> [bool; 2] {
    match told {
        Some(ToldSide::One(BodySide::Left)) => [true, false],
        Some(ToldSide::One(BodySide::Right)) => [false, true],
        Some(ToldSide::Both) | None => [true, true],
    }
}
