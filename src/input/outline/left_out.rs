//! What was not understood, as problems with their places.

use super::decide::Settle;
use super::taught::{DraftLine, Unread, Why};
use crate::library::posture::Posture;
use crate::problem::{Code, Problem, quoted};

impl<'l> Settle<'l, '_, '_> {
    /// A name with several meanings that nothing decides.
    pub(super) fn undecided(&mut self, draft: DraftLine<'l>, postures: &[&Posture]) {
        let mut unread = Unread::new(draft.range, draft.written);
        unread.is_step = draft.told.is_a_step();
        unread.near = postures
            .iter()
            .map(|posture| posture.name().to_owned())
            .collect();
        unread.why = Why::Several;
        self.unread.push(unread);
    }

    /// What was not understood, as problems with their places; surely meant steps are problems of
    /// the file.
    pub(super) fn left_out(&mut self) -> Vec<Problem> {
        let mut unread = std::mem::take(&mut self.unread);
        unread.sort_by_key(|one| one.range.start);
        let mut left = Vec::new();
        for one in unread {
            let message = if one.why == Why::Several {
                format!("{} has more than one meaning", quoted(&one.written))
            } else if one.is_step {
                format!("no posture is called {}", quoted(&one.written))
            } else {
                format!("{} was not understood", quoted(&one.written))
            };
            let near = one.near.join("”, “");
            let help = match (one.why, one.near.len()) {
                (Why::Talk, _) => {
                    "Say how long the talk is, as in “talk 2 min”, or write “note:” before it."
                        .to_owned()
                }
                (Why::Salutation, _) => {
                    "A salutation is a run of steps: write “3 times:” and its postures below, each \
                     line a little further in."
                        .to_owned()
                }
                (Why::OtherSide, _) => {
                    "Write “each side” with the steps above, or “each side:” over them, and take \
                     this line out."
                        .to_owned()
                }
                (_, 0) if one.is_step => "“kindfold postures” lists every name; a shape of your \
                                          own is written “my reach (like triangle)”."
                    .to_owned(),
                (_, 0) => {
                    "If it is a remark, write “note:” or a dash before it; else name the posture, or take the line out."
                        .to_owned()
                }
                (_, 1) => format!("Did you mean “{near}”?"),
                _ => format!("Did you mean one of “{near}”?"),
            };
            let is_step = one.is_step;
            let problem = Problem::new(
                Code::UnknownPosture,
                self.pen.place(one.range),
                message,
                help,
            );
            if is_step {
                self.pen.problems.push(problem);
            } else {
                left.push(Problem {
                    code: Code::NotUnderstood,
                    ..problem
                });
            }
        }
        left
    }
}
