//! Random planning instances, invented: a class of a shape that could be taught, students with
//! limitations that close shapes on one side or both, and a cupboard that may be too small.
//!
//! The same [`Size`] gives the same instance everywhere: the generator is its own and uses whole
//! numbers only.

use std::collections::{BTreeMap, BTreeSet};

use kindfold::group::problem::{
    Block, Budget, Candidate, Inner, Instance, Line, SCHEMA, SideStray, Student, Weights,
};
use kindfold::words::StudentId;

/// What to make.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Size {
    pub lines: usize,
    pub students: usize,
    /// Share of students with limitations, in percent.
    pub limited: u64,
    /// How many of the six props can run short.
    pub short: usize,
    pub budgets: bool,
    pub barred: bool,
    pub max_options: u32,
    pub seed: u64,
}

impl Size {
    /// A room with every kind of limit.
    pub(crate) fn new(lines: usize, students: usize, short: usize, seed: u64) -> Self {
        Self {
            lines,
            students,
            limited: 60,
            short,
            budgets: true,
            barred: true,
            max_options: 3,
            seed,
        }
    }
}

const PROPS: [&str; 6] = ["block", "blanket", "bolster", "strap", "chair", "wall"];
const USES: [&str; 3] = ["kneeling", "hands", "lying-flat"];
/// Levels by name, with twice their height in the order of the trade: standing highest.
const LEVELS: [(&str, u32); 5] = [
    ("standing", 12),
    ("chair", 8),
    ("kneeling", 4),
    ("seated", 2),
    ("lying", 0),
];

/// A small generator of whole numbers (splitmix64).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from `low` to `high`, both included.
    pub(crate) fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.next() % (high - low + 1)
    }

    pub(crate) fn chance(&mut self, percent: u64) -> bool {
        self.next() % 100 < percent
    }

    /// One of a list that is not empty.
    pub(crate) fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[(self.next() % list.len() as u64) as usize]
    }
}

/// What each candidate asks of a body, a bit a demand.
type Asks = Vec<Vec<u32>>;

/// An instance of a size.
pub(crate) fn instance(size: Size) -> Instance {
    let mut dice = Dice::new(size.seed);
    let (blocks, levels) = blocks(&mut dice, size.lines);
    let mut asks: Asks = Vec::new();
    let lines: Vec<Line> = (0..size.lines)
        .map(|t| line(&mut dice, t, levels[t], &mut asks))
        .collect();
    let mut stock = BTreeMap::new();
    for (p, prop) in PROPS.iter().enumerate() {
        if p < size.short {
            stock.insert(
                (*prop).to_owned(),
                dice.between(0, 1 + size.students as u64 / 3) as u32,
            );
        } else if dice.chance(50) {
            stock.insert((*prop).to_owned(), 4 * size.students as u32);
        }
    }
    let students = (0..size.students)
        .map(|s| student(&mut dice, &size, s, &blocks, &lines, &asks))
        .collect();
    let change = |a: u32, b: u32| if a == b { 0 } else { 1 + a.abs_diff(b) / 4 };
    Instance {
        schema: SCHEMA.to_owned(),
        max_options: size.max_options,
        weights: Weights {
            option: 6,
            excess: 60,
            lead: 6,
            rest: 200,
            prop_change: 1,
        },
        levels: LEVELS.iter().map(|(name, _)| (*name).to_owned()).collect(),
        level_change: LEVELS
            .iter()
            .map(|(_, a)| LEVELS.iter().map(|(_, b)| change(*a, *b)).collect())
            .collect(),
        blocks,
        lines,
        students,
        stock,
    }
}

/// Runs of one to four lines, and the level of every line.
fn blocks(dice: &mut Dice, lines: usize) -> (Vec<Block>, Vec<usize>) {
    let (mut blocks, mut levels) = (Vec::new(), Vec::new());
    while levels.len() < lines {
        let first = levels.len();
        let len = (dice.between(1, 4) as usize).min(lines - first);
        let level = *dice.of(&[0, 0, 2, 3, 4]);
        for _ in 0..len {
            levels.push(if dice.chance(80) {
                level
            } else {
                *dice.of(&[0, 2, 3, 4])
            });
        }
        let inner = (len >= 3 && dice.chance(25)).then(|| Inner {
            first: first + 1,
            last: first + len - 1 - usize::from(dice.chance(50)),
            repeats: dice.between(2, 3) as u32,
        });
        blocks.push(Block {
            lines: (first..first + len).collect(),
            sided: dice.chance(45),
            repeats: if dice.chance(30) {
                dice.between(2, 3) as u32
            } else {
                1
            },
            inner,
        });
    }
    (blocks, levels)
}

fn line(dice: &mut Dice, t: usize, level: usize, asks: &mut Asks) -> Line {
    let mut candidates = Vec::new();
    let mut asked = Vec::new();
    let uses = |dice: &mut Dice, level: usize| {
        let mut uses = Vec::new();
        if level == 2 {
            uses.push(USES[0].to_owned());
        }
        if dice.chance(25) {
            uses.push(USES[1].to_owned());
        }
        if level == 4 {
            uses.push(USES[2].to_owned());
        }
        uses
    };
    let props = |dice: &mut Dice, percent: u64| {
        let mut props = BTreeMap::new();
        if dice.chance(percent) {
            props.insert((*dice.of(&PROPS)).to_owned(), dice.between(1, 2) as u32);
        }
        props
    };
    let taught_asks =
        (dice.between(0, 255) & dice.between(0, 255)) as u32 | 1 << dice.between(0, 7);
    candidates.push(Candidate {
        shape: format!("taught {t}"),
        level,
        props: props(dice, 15),
        uses: uses(dice, level),
        rest: 0,
    });
    asked.push(taught_asks);
    for a in 0..dice.between(2, 5) {
        let level = match dice.between(0, 9) {
            0..=5 => level,
            6..=7 => 1,
            _ => dice.between(0, 4) as usize,
        };
        let shape = format!("shape {t}.{a}");
        let asks = taught_asks & dice.between(0, 255) as u32 & dice.between(0, 255) as u32
            | u32::from(dice.chance(12)) << dice.between(0, 7);
        let mut held = props(dice, 50);
        if level == 1 {
            held.insert("chair".to_owned(), 1);
        }
        let used = uses(dice, level);
        candidates.push(Candidate {
            shape: shape.clone(),
            level,
            props: held.clone(),
            uses: used.clone(),
            rest: 0,
        });
        asked.push(asks);
        if dice.chance(25) {
            // The same shape with something under it asks a little less.
            *held.entry("blanket".to_owned()).or_default() += 1;
            candidates.push(Candidate {
                shape,
                level,
                props: held,
                uses: used,
                rest: 0,
            });
            asked.push(asks & dice.between(0, 255) as u32);
        }
    }
    let shapes = candidates.len();
    candidates.push(Candidate {
        shape: "rest on a chair".to_owned(),
        level: 1,
        props: BTreeMap::from([("chair".to_owned(), 1)]),
        uses: Vec::new(),
        rest: 1,
    });
    candidates.push(Candidate {
        shape: "pause".to_owned(),
        level,
        props: BTreeMap::new(),
        uses: Vec::new(),
        rest: 1,
    });
    asked.extend([0, 0]);
    asks.push(asked);
    let mut some = |percent: u64| {
        if dice.chance(percent) {
            vec![dice.between(1, shapes as u64 - 1) as usize]
        } else {
            Vec::new()
        }
    };
    let (kinder, free) = (some(10), some(6));
    Line {
        id: format!("line {t}"),
        taught: 0,
        keep: dice.chance(10),
        seconds: dice.between(2, 15) as u32 * 6,
        kinder,
        free,
        never_lead: Vec::new(),
        candidates,
    }
}

fn student(
    dice: &mut Dice,
    size: &Size,
    s: usize,
    blocks: &[Block],
    lines: &[Line],
    asks: &Asks,
) -> Student {
    let limited = dice.chance(size.limited);
    // What the right and the left side may not do.
    let (mut right, mut left) = (0u32, 0u32);
    if limited {
        for _ in 0..dice.between(1, 2) {
            let demand = 1 << dice.between(0, 7);
            match dice.between(0, 5) {
                0 => right |= demand,
                1 => left |= demand,
                _ => (right, left) = (right | demand, left | demand),
            }
        }
    }
    let own = if limited {
        dice.between(0, u64::MAX - 1)
    } else {
        0
    };
    let side = |t: usize, closed: u32| {
        let mut strays = BTreeMap::new();
        for (c, candidate) in lines[t].candidates.iter().enumerate() {
            if candidate.rest == 1 {
                strays.insert(c, 0);
            } else if asks[t][c] & closed == 0 {
                // The same for everybody but for those with limitations, who lean one way or another.
                let mut taste = Dice::new(own ^ (t as u64) << 8 ^ c as u64);
                let base = if c == 0 {
                    0
                } else {
                    Dice::new((t as u64) << 20 ^ (c as u64) << 4 ^ size.seed).between(2, 8)
                };
                let halved = limited && c > 0 && taste.chance(20);
                strays.insert(c, if halved { base.div_ceil(2) } else { base } as u32);
            }
        }
        strays
    };
    let mut stray = Vec::new();
    let mut tied = Vec::new();
    for block in blocks {
        let mut equal = true;
        for &t in &block.lines {
            let sides = if block.sided {
                SideStray {
                    r: side(t, right),
                    l: side(t, left),
                }
            } else {
                SideStray {
                    r: side(t, right | left),
                    l: side(t, right | left),
                }
            };
            equal &= sides.r == sides.l;
            stray.push(sides);
        }
        tied.push(equal);
    }
    let mut budgets = Vec::new();
    if limited && size.budgets && dice.chance(35) {
        let total: u64 = lines.iter().map(|line| u64::from(line.seconds)).sum();
        budgets.push(Budget {
            what: (*dice.of(&USES)).to_owned(),
            bout_s: dice.chance(70).then(|| dice.between(60, 240) as u32),
            class_s: dice
                .chance(70)
                .then(|| dice.between(total / 6, total / 2) as u32),
        });
    }
    let mut barred = BTreeSet::new();
    if limited && size.barred && dice.chance(40) && lines.len() > 1 {
        for _ in 0..lines.len().div_ceil(2) {
            let t = dice.between(0, lines.len() as u64 - 2) as usize;
            // All but the last candidate, which is the pause.
            let a = dice.between(0, lines[t].candidates.len() as u64 - 2) as usize;
            let b = dice.between(0, lines[t + 1].candidates.len() as u64 - 2) as usize;
            barred.insert((t, a, t + 1, b));
        }
    }
    Student {
        id: StudentId::from(format!("student {s}")),
        tied,
        stray,
        budgets,
        barred: barred.into_iter().collect(),
    }
}
