//! What the teacher has fixed for a person, judged like anything else.

use super::candidates::Room;
use crate::judge::facts::Person;
use crate::judge::verdict::{At, Judged, judge};
use crate::library::posture::Posture;
use crate::timetable::TimedLine;

impl Room<'_> {
    /// The shape that is fixed for a person at a line, if one is and rules leave it to them on some side.
    pub(crate) fn fixed(&self, line: &TimedLine<'_>, person: &Person<'_>) -> Option<&Posture> {
        let (posture, judged) = self.judged_as_fixed(line, person)?;
        judged.form.is_some().then_some(posture)
    }

    /// The shape that is fixed for a person at a line, with what rules say of it where they leave most.
    pub(crate) fn judged_as_fixed(
        &self,
        line: &TimedLine<'_>,
        person: &Person<'_>,
    ) -> Option<(&Posture, Judged)> {
        let mut fixed = person.student.fixed.iter();
        let fixed = fixed.find(|fixed| fixed.line == line.line.number)?;
        let posture = self.library.postures.get(&fixed.posture)?;
        let judged = posture.sides().iter().map(|&side| {
            let at = At::taught(posture, side, line.line);
            judge(person, at, self.support(person))
        });
        let kindest = judged.min_by_key(|judged| judged.form.is_none())?;
        Some((posture, kindest))
    }
}
