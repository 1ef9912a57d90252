//! Which of the teacher's files a file is, told by its keys.
//!
//! Takes a document; gives back its table when it is the file that is wanted. Invariant: a file
//! that is plainly another one gives one problem that says so, not one for each of its keys.

use super::table::{Document, Table};
use crate::problem::Code;
use crate::words::Prop;

/// The files that a teacher writes, and the one that this program writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FileKind {
    /// A class plan.
    Class,
    /// Who is coming.
    Roster,
    /// What is in the cupboard.
    Props,
    /// The teacher's settings.
    Settings,
    /// A result of `adapt --format json`.
    Adapted,
}

impl FileKind {
    /// What it is called, with its article.
    const fn noun(self) -> &'static str {
        match self {
            Self::Class => "a class plan",
            Self::Roster => "a roster",
            Self::Props => "a list of props",
            Self::Settings => "a file of settings",
            Self::Adapted => "a class that was adapted already",
        }
    }

    /// Where on the command line it goes.
    const fn belongs(self) -> &'static str {
        match self {
            Self::Class => "The class plan stands first, without an option before it.",
            Self::Roster => "A roster goes after --roster.",
            Self::Props => "Props go after --props.",
            Self::Settings => "Settings go after --settings.",
            Self::Adapted => "Name the file that it was made from.",
        }
    }

    /// The key that stands above everything else in it, if it has one, and the word that
    /// `kindfold new` knows it by.
    const fn top(self) -> (Option<&'static str>, &'static str) {
        match self {
            Self::Class | Self::Adapted => (Some("sections"), "class"),
            Self::Roster => (Some("students"), "roster"),
            Self::Props => (None, "props"),
            Self::Settings => (None, "settings"),
        }
    }
}

/// The table of a document of the kind that is wanted; a problem when it is no table, or plainly
/// another kind of file.
pub(super) fn root(document: &Document, wanted: FileKind) -> Option<Table<'_>> {
    let field = document.root();
    let (top, word) = wanted.top();
    if !field.is_table() {
        // Nothing of it is shown: it may be a page of notes on somebody.
        let help = match top {
            Some(top) if field.is_list() => {
                format!("Write “{top}:” on a line of its own above it.")
            }
            _ => format!("“kindfold new {word}” writes a file that shows how."),
        };
        let found = if field.is_list() {
            "this file is a list without a key above it"
        } else {
            "this file has no keys and values"
        };
        field.hidden_problem(Code::WrongType, found, help);
        return None;
    }
    let table = field.table()?;
    match kind(&table) {
        Some(found) if found != wanted && !top.is_some_and(|top| table.has(top)) => {
            let message = format!(
                "this is {}, and {} is wanted here",
                found.noun(),
                wanted.noun()
            );
            table.problem(Code::WrongFile, message, found.belongs());
            None
        }
        _ => Some(table),
    }
}

/// What a file plainly is.
fn kind(table: &Table<'_>) -> Option<FileKind> {
    let has = |keys: &[&str]| keys.iter().any(|key| table.has(key));
    if has(&["schema"]) && has(&["made_with"]) {
        Some(FileKind::Adapted)
    } else if has(&["sections"]) {
        Some(FileKind::Class)
    } else if has(&["students"]) {
        Some(FileKind::Roster)
    } else if has(&["props"]) || is_all_props(table) {
        Some(FileKind::Props)
    } else if has(&[
        "stances",
        "weights",
        "timing",
        "option_order",
        "spoken",
        "rest_signal",
    ]) {
        Some(FileKind::Settings)
    } else {
        None
    }
}

/// Whether every key is a prop, and there is one.
fn is_all_props(table: &Table<'_>) -> bool {
    let mut keys = table.keys().peekable();
    keys.peek().is_some() && keys.all(|key| Prop::parse(&key).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::text::Source;
    use rstest::rstest;

    /// What is said of a text where a kind of file is wanted; nothing when it is taken.
    fn said(text: &str, wanted: FileKind) -> Option<String> {
        let source =
            Source::from_bytes("f.yaml", text.as_bytes()).expect("the test's text is a good file");
        let document = Document::read(source).expect("the test's text is good YAML");
        let taken = root(&document, wanted).is_some();
        let problems = document.problems();
        assert_eq!(problems.len(), usize::from(!taken));
        let problem = problems.first()?;
        Some(format!("{} | {}", problem.message, problem.help))
    }

    #[rstest]
    #[case("sections: []\n", FileKind::Class)]
    #[case("students: []\n", FileKind::Roster)]
    #[case("block: 2\n", FileKind::Props)]
    #[case("spoken: few\n", FileKind::Settings)]
    // Its own key at the top settles it.
    #[case("sections: []\nstudents: []\n", FileKind::Roster)]
    // Not plainly anything: its keys are told one by one.
    #[case("foo: 1\n", FileKind::Class)]
    #[case("block: 2\nfoo: 1\n", FileKind::Class)]
    #[case("{}\n", FileKind::Class)]
    fn a_file_is_taken(#[case] text: &str, #[case] wanted: FileKind) {
        assert_eq!(said(text, wanted), None);
    }

    #[rstest]
    #[case(
        "students: []\n",
        FileKind::Class,
        "this is a roster, and a class plan is wanted here | A roster goes after --roster."
    )]
    // A word about the make of a file is no sign of an adapted class.
    #[case(
        "schema: 1\nstudents: []\n",
        FileKind::Class,
        "this is a roster, and a class plan is wanted here | A roster goes after --roster."
    )]
    #[case(
        "schema: 1\nmade_with: x\n",
        FileKind::Class,
        "this is a class that was adapted already, and a class plan is wanted here | \
         Name the file that it was made from."
    )]
    #[case(
        "sections: []\n",
        FileKind::Roster,
        "this is a class plan, and a roster is wanted here | \
         The class plan stands first, without an option before it."
    )]
    #[case(
        "block: 2\n",
        FileKind::Roster,
        "this is a list of props, and a roster is wanted here | Props go after --props."
    )]
    #[case(
        "props: {block: 2}\n",
        FileKind::Settings,
        "this is a list of props, and a file of settings is wanted here | \
         Props go after --props."
    )]
    #[case(
        "spoken: few\n",
        FileKind::Props,
        "this is a file of settings, and a list of props is wanted here | \
         Settings go after --settings."
    )]
    #[case(
        "- name: x\n",
        FileKind::Roster,
        "this file is a list without a key above it | \
         Write “students:” on a line of its own above it."
    )]
    #[case(
        "- name: x\n",
        FileKind::Class,
        "this file is a list without a key above it | \
         Write “sections:” on a line of its own above it."
    )]
    #[case(
        "- block\n",
        FileKind::Props,
        "this file is a list without a key above it | \
         “kindfold new props” writes a file that shows how."
    )]
    #[case(
        "a page of notes\n",
        FileKind::Roster,
        "this file has no keys and values | “kindfold new roster” writes a file that shows how."
    )]
    #[case(
        "a page of notes\n",
        FileKind::Settings,
        "this file has no keys and values | “kindfold new settings” writes a file that shows how."
    )]
    fn another_file_is_refused_in_one_sentence(
        #[case] text: &str,
        #[case] wanted: FileKind,
        #[case] message: &str,
    ) {
        assert_eq!(said(text, wanted).as_deref(), Some(message));
    }
}
