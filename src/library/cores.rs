//! Work on many things that know nothing of each other, on every core.

use std::sync::{Mutex, PoisonError};

/// What `work` makes of every item, in the order of the items: each core takes the next one.
pub(super) fn on_every_core<T: Send, R: Send>(
    items: Vec<T>,
    work: impl Fn(T) -> R + Sync,
) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let others = cores.min(items.len()).saturating_sub(1);
    let waiting = Mutex::new(items.into_iter().enumerate());
    let take = || {
        let mut waiting = waiting.lock().unwrap_or_else(PoisonError::into_inner);
        waiting.next()
    };
    let run = || {
        let mut done = Vec::new();
        while let Some((index, item)) = take() {
            done.push((index, work(item)));
        }
        done
    };
    let mut done = std::thread::scope(|scope| {
        let others: Vec<_> = (0..others).map(|_| scope.spawn(run)).collect();
        let mut done = run();
        for other in others {
            match other.join() {
                Ok(theirs) => done.extend(theirs),
                Err(fault) => std::panic::resume_unwind(fault),
            }
        }
        done
    });
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, made)| made).collect()
}

/// Two pieces of work that know nothing of each other, at once.
pub(super) fn side_by_side<A: Send, B>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B,
) -> (A, B) {
    std::thread::scope(|scope| {
        let one = scope.spawn(one);
        let other = other();
        match one.join() {
            Ok(one) => (one, other),
            Err(fault) => std::panic::resume_unwind(fault),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_comes_back_in_order() {
        let doubled = on_every_core((0..1000).collect(), |n: u32| n * 2);
        assert!(
            doubled
                .iter()
                .enumerate()
                .all(|(i, n)| *n as usize == 2 * i)
        );
        assert_eq!(doubled.len(), 1000);
        assert!(on_every_core(Vec::new(), |n: u32| n).is_empty());
    }
}
