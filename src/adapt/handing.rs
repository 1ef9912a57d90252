//! Minutes to hand out props: whether the time set aside before a step is enough for what is carried there.

use std::collections::BTreeMap;

use super::{Scene, teachers_props};
use crate::adapted::{Adapted, Advice, AdviceKind, EventKind};
use crate::sheets::words::minutes;
use crate::words::Prop;

/// Less than this beyond what is set aside is not worth a word.
const GRAIN_S: u32 = 30;

/// Nor is carrying that is done within this.
const SOON_S: u32 = 60;

impl Scene<'_> {
    /// The step at which carrying what everyone needs for the taught shape takes longest beyond what is set
    /// aside for it; what was carried before stays by the mats.
    pub(super) fn handing_out(&self, adapted: &Adapted) -> Option<Advice> {
        let in_room = self.number_in_room();
        let mut carried: BTreeMap<Prop, u32> = BTreeMap::new();
        let mut tight: Vec<(usize, u32, u32, u32)> = Vec::new();
        for block in &self.table.blocks {
            let before: u32 = carried.values().sum();
            for line in block.lines.clone() {
                for (prop, each) in teachers_props(self.table, line, self.task.library) {
                    let stock = self.room.stock.as_ref();
                    let there =
                        stock.map_or(u32::MAX, |stock| stock.get(&prop).copied().unwrap_or(0));
                    let by_the_mats = carried.entry(prop).or_insert(0);
                    if prop != Prop::Wall {
                        *by_the_mats = (*by_the_mats).max((each * in_room).min(there));
                    }
                }
            }
            let things = carried.values().sum::<u32>() - before;
            let passes = self.table.passes.iter();
            let spare = passes
                .filter(|pass| block.lines.contains(&pass.line))
                .map(|pass| {
                    pass.seconds
                        .saturating_sub(self.table.lines[pass.line].pass_s)
                });
            // What is carried before the first step is carried while the teacher welcomes.
            let opening = if block.lines.start == 0 {
                self.opening_s(adapted)
            } else {
                0
            };
            let (needs, there) = (self.carrying_s(things), spare.sum::<u32>() + opening);
            if needs > SOON_S && needs >= there + GRAIN_S {
                tight.push((block.lines.start, things, needs, there));
            }
        }
        let &(line, things, needs, there) = tight
            .iter()
            .max_by_key(|(_, _, needs, there)| needs - there)?;
        let number = |line: usize| self.table.lines[line].line.number;
        let mut text = format!(
            "Step {}: handing out {things} props, as taught, takes about {}; {} set aside.",
            number(line),
            minutes(needs),
            match there {
                0..GRAIN_S => "none is".to_owned(),
                there => format!("{} are", minutes(there)),
            }
        );
        let others: Vec<String> = tight
            .iter()
            .filter(|(other, ..)| *other != line)
            .map(|(other, ..)| number(*other).to_string())
            .collect();
        if !others.is_empty() {
            text += &format!(" Tight too at {}.", others.join(", "));
        }
        let opening = self.opening_s(adapted);
        if opening > 0 {
            text += &format!(
                " All at the start would take about {} of the {} of welcome.",
                minutes(self.carrying_s(carried.values().sum())),
                minutes(opening)
            );
        }
        text += " Lay out what you can before the doors open, or have two people help.";
        Some(Advice {
            kind: AdviceKind::OverTime,
            text,
            steps: tight
                .iter()
                .filter_map(|(line, ..)| self.table.first_step(*line))
                .collect(),
            students: 0,
        })
    }

    fn carrying_s(&self, things: u32) -> u32 {
        let timing = self.task.timing();
        timing.props_s + things * timing.thing_s
    }

    /// Talk before the first step.
    fn opening_s(&self, adapted: &Adapted) -> u32 {
        let first = self.table.passes.first().map_or(0, |pass| pass.start_s);
        let talk = adapted.events.iter();
        let talk = talk.filter(|event| event.kind == EventKind::Talk && event.start_s < first);
        talk.map(|event| event.seconds).sum()
    }
}
