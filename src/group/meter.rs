//! How long something lasts along a student's timeline, read as the path grows.
//!
//! Takes uses node by node and gives running totals and the runs at both ends of a stretch that
//! is going to be repeated. Invariant: a meter never lets a run or a total pass its limit.

/// The limits of one budget; what is not limited has the largest number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Limits {
    pub(super) bout_s: u32,
    pub(super) class_s: u32,
}

/// Where a node stands in its segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    /// Within a stretch that is repeated inside a pass.
    pub(super) inner: bool,
    /// The segment is taught more than once or has an inner stretch.
    pub(super) folded: bool,
    /// The node ends the inner stretch, which is taught so often.
    pub(super) ends_inner: Option<u32>,
    /// The node ends the segment, which is taught so often.
    pub(super) ends_segment: Option<u32>,
}

/// The runs of a stretch: at its start, at its end, and whether they are one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stretch {
    first: u32,
    last: u32,
    whole: bool,
}

impl Stretch {
    const EMPTY: Self = Self {
        first: 0,
        last: 0,
        whole: true,
    };

    fn add(self, seconds: u32, used: bool) -> Self {
        match (used, self.whole) {
            (true, true) => Self {
                first: self.first + seconds,
                last: self.last + seconds,
                whole: true,
            },
            (true, false) => Self {
                last: self.last + seconds,
                ..self
            },
            (false, _) => Self {
                last: 0,
                whole: false,
                ..self
            },
        }
    }

    fn repeat(self, times: u32, most: u32) -> Option<Self> {
        if self.whole {
            let run = self.first * times;
            (run <= most).then_some(Self {
                first: run,
                last: run,
                whole: true,
            })
        } else {
            (times < 2 || self.last + self.first <= most).then_some(self)
        }
    }

    fn join(self, next: Self, most: u32) -> Option<Self> {
        if self.last + next.first > most {
            return None;
        }
        Some(Self {
            first: if self.whole {
                self.first + next.first
            } else {
                self.first
            },
            last: if next.whole {
                self.last + next.last
            } else {
                next.last
            },
            whole: self.whole && next.whole,
        })
    }

    fn no_worse(self, other: Self) -> bool {
        self.first <= other.first && self.last <= other.last && (!self.whole || other.whole)
    }
}

/// One budget's reading at a node of a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Meter {
    total: u32,
    carried: u32,
    pass: Stretch,
    inner: Stretch,
}

impl Meter {
    /// The reading before the first node.
    pub(super) const START: Self = Self {
        total: 0,
        carried: 0,
        pass: Stretch::EMPTY,
        inner: Stretch::EMPTY,
    };

    /// The reading after a node of `seconds` that is visited `visits` times in the class, or none
    /// when a limit is passed. What has no limit is not read.
    pub(super) fn after(
        self,
        used: bool,
        seconds: u32,
        visits: u32,
        place: Place,
        limits: Limits,
    ) -> Option<Self> {
        let mut next = self;
        if used && limits.class_s != u32::MAX {
            next.total = self.total.checked_add(seconds.checked_mul(visits)?)?;
            if next.total > limits.class_s {
                return None;
            }
        }
        if limits.bout_s == u32::MAX {
            return Some(next);
        }
        if !place.folded {
            next.carried = if used { self.carried + seconds } else { 0 };
            return (next.carried <= limits.bout_s).then_some(next);
        }
        if place.inner {
            next.inner = self.inner.add(seconds, used);
            if next.inner.last > limits.bout_s {
                return None;
            }
        } else {
            next.pass = self.pass.add(seconds, used);
            if next.pass.last > limits.bout_s {
                return None;
            }
        }
        if let Some(times) = place.ends_inner {
            next.pass = next
                .pass
                .join(next.inner.repeat(times, limits.bout_s)?, limits.bout_s)?;
            next.inner = Stretch::EMPTY;
        }
        if let Some(times) = place.ends_segment {
            let all = next.pass.repeat(times, limits.bout_s)?;
            let carried = Stretch {
                first: self.carried,
                last: self.carried,
                whole: true,
            };
            next.carried = carried.join(all, limits.bout_s)?.last;
            next.pass = Stretch::EMPTY;
        }
        Some(next)
    }

    /// Whether whatever can follow `other` can follow this reading too.
    pub(super) fn no_worse(self, other: Self) -> bool {
        self.total <= other.total
            && self.carried <= other.carried
            && self.pass.no_worse(other.pass)
            && self.inner.no_worse(other.inner)
    }
}
