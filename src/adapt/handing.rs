//! Minutes to hand out props: whether the time set aside before a step is enough for what is carried there.

use super::Scene;
use crate::adapted::{Adapted, Advice, AdviceKind, EventKind};
use crate::sheets::words::minutes;
use crate::words::Prop;

/// Less than this beyond what is set aside is not worth a word.
const GRAIN_S: u32 = 30;

/// Nor is carrying that is done within this.
const SOON_S: u32 = 60;

impl Scene<'_> {
    /// The step at which carrying takes longest beyond what is set aside for it; with more such steps, how many.
    pub(super) fn handing_out(&self, adapted: &Adapted) -> Option<Advice> {
        let mut tight: Vec<(usize, u32, u32, u32)> = Vec::new();
        for block in &self.table.blocks {
            let own = |at: usize| block.lines.contains(&self.table.passes[at].line);
            let carried = adapted.fetch.iter();
            let carried = carried.filter(|fetch| fetch.prop != Prop::Wall && own(fetch.step - 1));
            let things: u32 = carried.map(|fetch| fetch.number).sum();
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
            "Step {}: handing out {things} props takes about {}; {} set aside.",
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
        text += &self.at_the_start(adapted);
        let first = |line: usize| self.table.passes_of(line).next().map(|(at, _)| at + 1);
        Some(Advice {
            kind: AdviceKind::OverTime,
            text,
            steps: tight.iter().filter_map(|(line, ..)| first(*line)).collect(),
            students: 0,
        })
    }

    /// What handing out everything at the start would take of the welcome.
    fn at_the_start(&self, adapted: &Adapted) -> String {
        let movable = adapted
            .props
            .iter()
            .filter(|(prop, _)| **prop != Prop::Wall);
        let things = movable.map(|(_, used)| {
            used.stock
                .map_or(used.needed, |stock| used.needed.min(stock))
        });
        let all = self.carrying_s(things.sum());
        let before = "Lay a set at every place before the doors open, or have two people help.";
        match self.opening_s(adapted) {
            0 => format!(" {before}"),
            opening => format!(
                " All of them at the start would take about {} of the {} of welcome. {before}",
                minutes(all),
                minutes(opening)
            ),
        }
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
