//! Where time could be had back when a class runs over: a round, or holds in the middle, on both sides
//! alike; neither the arrival nor the winding down, and never the rest at the end.

use super::Scene;
use crate::sheets::words::{lower, minutes};
use crate::timetable::TimedLine;

/// A hold keeps at least this, and gives up at most a third (common practice, no source).
const LEAST_HOLD_S: u32 = 30;

/// Holds are shortened in steps of this.
const GRAIN_S: u32 = 5;

/// Lines that are named at most: a teacher has to remember them.
const MOST_LINES: usize = 4;

/// A shorter hold for a line, everywhere it is taught.
struct Cut {
    place: usize,
    /// One pass then.
    hold_s: u32,
    /// What all passes save together.
    saved_s: u32,
}

impl Scene<'_> {
    /// What to shorten to get `over` seconds back, in words; the rest at the end is never touched.
    pub(super) fn trim(&self, over: u32) -> String {
        let rest = "The rest at the end stays as it is.";
        if let Some(words) = self.fewer_rounds(over) {
            return format!("{words}. {rest}");
        }
        let mut cuts: Vec<Cut> = (0..self.table.lines.len())
            .filter_map(|place| self.cut(place))
            .collect();
        // What saves most first; of equals the later, when the class knows itself late.
        cuts.sort_by_key(|cut| (std::cmp::Reverse(cut.saved_s), std::cmp::Reverse(cut.place)));
        let mut saved = 0;
        let mut chosen = Vec::new();
        for cut in cuts.into_iter().take(MOST_LINES) {
            if saved >= over {
                break;
            }
            saved += cut.saved_s;
            chosen.push(cut);
        }
        chosen.sort_by_key(|cut| cut.place);
        let each: Vec<String> = chosen
            .iter()
            .map(|cut| {
                let timed = &self.table.lines[cut.place];
                let sided = self.table.blocks[timed.block].is_sided();
                let name = timed
                    .posture
                    .and_then(|id| self.task.library.postures.get(id))
                    .map_or(String::new(), |posture| {
                        format!(", {}", lower(posture.name()))
                    });
                format!(
                    "step {}{name}, to {}{}",
                    timed.line.number,
                    held(cut.hold_s),
                    if sided { " a side" } else { "" }
                )
            })
            .collect();
        match each.as_slice() {
            [] => format!("No hold is long enough to shorten: leave a step out. {rest}"),
            each if saved >= over => format!("Shorten {}. {rest}", each.join("; ")),
            each => format!(
                "Shorten {}: that gives back {}; leave a step out for the remaining {}. {rest}",
                each.join("; "),
                minutes(saved),
                minutes(over - saved)
            ),
        }
    }

    /// The longest run of several steps taught in rounds, when a round less gives back enough: what was taught
    /// once already is missed least (common practice, no source).
    fn fewer_rounds(&self, over: u32) -> Option<String> {
        let in_rounds = self.table.blocks.iter().enumerate();
        let in_rounds = in_rounds.filter(|(_, block)| block.repeats > 1 && block.lines.len() > 1);
        let lasts = |place: usize| -> u32 {
            let passes = self.table.passes.iter();
            let own = passes.filter(|pass| self.table.lines[pass.line].block == place);
            own.map(|pass| pass.seconds).sum()
        };
        let (place, block) = in_rounds.max_by_key(|(place, _)| lasts(*place))?;
        let back = lasts(place) / block.repeats;
        let number = |line: usize| self.table.lines.get(line).map(|timed| timed.line.number);
        let (first, last) = (number(block.lines.start)?, number(block.lines.end - 1)?);
        let rounds = match block.repeats - 1 {
            1 => "once".to_owned(),
            rounds => format!("{rounds} times"),
        };
        let sides = if block.is_sided() { " a side" } else { "" };
        (back >= over).then(|| {
            format!(
                "Teach steps {first} to {last} {rounds}{sides}: that gives back {}",
                minutes(back)
            )
        })
    }

    /// Whether a line stands between the first and the last section, where a class has a middle.
    fn is_middle(&self, place: usize) -> bool {
        let section = |timed: &TimedLine<'_>| timed.section.0;
        let lines = &self.table.lines;
        let (first, last) = (lines.first().map(section), lines.last().map(section));
        let here = lines.get(place).map(section);
        let has_middle = lines
            .iter()
            .map(section)
            .any(|at| Some(at) != first && Some(at) != last);
        !has_middle || (here != first && here != last)
    }

    /// The most that a line can give back.
    fn cut(&self, place: usize) -> Option<Cut> {
        let rest = self.table.final_rest(self.task.library);
        let rest = rest.map(|at| self.table.passes[at].line);
        let passes = u32::try_from(self.table.passes_of(place).count()).ok()?;
        let hold_s = self.table.lines[place].pass_s;
        let least = (hold_s - hold_s / 3)
            .max(LEAST_HOLD_S)
            .next_multiple_of(GRAIN_S);
        (rest != Some(place) && self.is_middle(place) && hold_s > least).then(|| Cut {
            place,
            hold_s: least,
            saved_s: (hold_s - least) * passes,
        })
    }
}

/// A hold in words: whole and half minutes as such.
fn held(seconds: u32) -> String {
    if seconds.is_multiple_of(30) {
        minutes(seconds)
    } else {
        format!("{seconds} s")
    }
}
