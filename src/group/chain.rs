//! A student's chain of nodes: what the class asks one person to decide, in order.
//!
//! Takes the blocks of an [`Instance`] and one [`Student`] and gives the nodes of their path and
//! how the path unrolls on the clock. Invariant: nodes stand in the order of the timeline, and a
//! tied student decides once for both sides.

use std::collections::BTreeMap;
use std::ops::Range;

use super::problem::{Instance, Student};

/// Which costs of a line a node stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Run {
    /// A line without sides.
    Whole,
    /// Both sides of a line, decided together.
    Both,
    /// The right side alone.
    Right,
    /// The left side alone.
    Left,
}

/// One decision of one student.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Node {
    /// The line that is decided.
    pub line: usize,
    /// Which of its sides.
    pub run: Run,
    /// How often the change from this node to the next one counts.
    pub link_times: u32,
}

/// A stretch of nodes that is taught several times on end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// Positions in [`Chain::nodes`].
    pub nodes: Range<usize>,
    /// How often the stretch is taught.
    pub passes: u32,
    /// A stretch within it that is taught several times in each pass.
    pub inner: Option<(Range<usize>, u32)>,
}

/// All decisions of one student and their timeline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chain {
    /// The decisions in order.
    pub nodes: Vec<Node>,
    /// The timeline, segment by segment.
    pub segments: Vec<Segment>,
}

impl Chain {
    /// The chain of a student of a checked instance.
    pub fn of(instance: &Instance, student: &Student) -> Self {
        let mut chain = Self {
            nodes: Vec::new(),
            segments: Vec::new(),
        };
        for (block, &tied) in instance.blocks.iter().zip(&student.tied) {
            let (runs, passes, times): (&[Run], u32, u32) = match (block.sided, tied) {
                (false, _) => (&[Run::Whole], block.repeats, 1),
                (true, true) => (&[Run::Both], 2 * block.repeats, 2),
                (true, false) => (&[Run::Right, Run::Left], block.repeats, 1),
            };
            for (r, &run) in runs.iter().enumerate() {
                let start = chain.nodes.len();
                for &line in &block.lines {
                    chain.nodes.push(Node {
                        line,
                        run,
                        link_times: times,
                    });
                }
                let end = chain.nodes.len();
                // From one block to the next once; the whole class turns over between two runs.
                chain.nodes[end - 1].link_times = if r + 1 < runs.len() { 0 } else { 1 };
                let inner = block.inner.as_ref().map(|inner| {
                    let from = start + inner.first - block.lines[0];
                    (from..from + inner.last - inner.first + 1, inner.repeats)
                });
                chain.segments.push(Segment {
                    nodes: start..end,
                    passes,
                    inner,
                });
            }
        }
        chain
    }

    /// Positions of nodes as they follow each other on the clock.
    pub fn timeline(&self) -> Vec<usize> {
        let mut order = Vec::new();
        for segment in &self.segments {
            for _ in 0..segment.passes {
                match &segment.inner {
                    None => order.extend(segment.nodes.clone()),
                    Some((inner, repeats)) => {
                        order.extend(segment.nodes.start..inner.start);
                        for _ in 0..*repeats {
                            order.extend(inner.clone());
                        }
                        order.extend(inner.end..segment.nodes.end);
                    }
                }
            }
        }
        order
    }
}

impl Node {
    /// How many own-rests a rest at this node counts as.
    pub fn sides(&self) -> u32 {
        if self.run == Run::Both { 2 } else { 1 }
    }

    /// Candidates that the student may take at this node, with their stray.
    pub fn strays(&self, student: &Student) -> BTreeMap<usize, u64> {
        let sides = &student.stray[self.line];
        let side = if self.run == Run::Left {
            &sides.l
        } else {
            &sides.r
        };
        let sum = |(&candidate, &stray): (&usize, &u32)| {
            (candidate, u64::from(stray) * u64::from(self.sides()))
        };
        side.iter().map(sum).collect()
    }
}

/// What changing from one candidate to another costs, as such: level and props.
///
/// `from` and `to` are `(line, candidate)` of a checked instance.
pub fn change(instance: &Instance, from: (usize, usize), to: (usize, usize)) -> i64 {
    let a = &instance.lines[from.0].candidates[from.1];
    let b = &instance.lines[to.0].candidates[to.1];
    let held = |props: &BTreeMap<String, u32>, name: &String| {
        i64::from(props.get(name).copied().unwrap_or(0))
    };
    let left: i64 = a
        .props
        .keys()
        .map(|name| (held(&a.props, name) - held(&b.props, name)).abs())
        .sum();
    let taken: i64 = b
        .props
        .keys()
        .filter(|name| !a.props.contains_key(*name))
        .map(|name| held(&b.props, name))
        .sum();
    i64::from(instance.level_change[a.level][b.level])
        + i64::from(instance.weights.prop_change) * (left + taken)
}

/// What changing from one candidate to another costs beyond the change that the class makes.
pub fn relative_change(instance: &Instance, from: (usize, usize), to: (usize, usize)) -> i64 {
    let class = change(
        instance,
        (from.0, instance.lines[from.0].taught),
        (to.0, instance.lines[to.0].taught),
    );
    (change(instance, from, to) - class).max(0)
}
