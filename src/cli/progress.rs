//! How far a long plan has come, on standard error, when that is a terminal.
//!
//! Nothing is shown in the first second, and nothing when standard error goes elsewhere.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::group::solve::Progress;

/// A plan that takes no longer than this shows nothing.
const QUIET: Duration = Duration::from_secs(1);

/// Shows the gap between the plan in hand and the bound, as it shrinks.
pub(super) struct Gap {
    begun: Instant,
    bar: ProgressBar,
}

impl Gap {
    pub(super) fn new() -> Self {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
        bar.set_style(
            ProgressStyle::with_template("{msg}").unwrap_or(ProgressStyle::default_bar()),
        );
        Self {
            begun: Instant::now(),
            bar,
        }
    }

    /// Takes in how far the search has come.
    pub(super) fn show(&mut self, progress: Progress) {
        if self.begun.elapsed() >= QUIET {
            self.bar.set_message(words(progress));
            self.bar.tick();
        }
    }
}

impl Drop for Gap {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

/// A plan in hand in one line.
fn words(progress: Progress) -> String {
    let gap = (progress.best - progress.bound).max(0);
    let tenths = (gap * 1000).checked_div(progress.best).unwrap_or(0);
    format!(
        "Planning: a plan is in hand, at most {}.{} % from the least change.",
        tenths / 10,
        tenths % 10
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gap_is_told_in_tenths_of_a_percent() {
        let told = |best, bound| words(Progress { best, bound });
        assert!(told(1000, 985).contains("at most 1.5 %"));
        assert!(told(1000, 1000).contains("at most 0.0 %"));
        assert!(told(0, 0).contains("at most 0.0 %"));
    }
}
