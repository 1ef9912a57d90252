//! The names of mistakes, one list for the whole program.
//!
//! Invariant: a code says one thing and never changes its word.

use std::fmt;

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $text:literal),+ $(,)?) => {
        /// Which kind of mistake a problem is; printed in brackets at the end of its message.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $($(#[$doc])* $name),+ }

        impl Code {
            /// Every code.
            pub const ALL: &'static [Code] = &[$(Code::$name),+];

            /// The code as printed.
            pub const fn as_str(self) -> &'static str {
                match self { $(Code::$name => $text),+ }
            }
        }
    };
}

codes! {
    // The file as a whole.
    /// There is no such file.
    FileMissing = "file-missing",
    /// A folder was named where a file is wanted.
    FileIsFolder = "file-is-folder",
    /// The system would not let the file be read.
    FileUnreadable = "file-unreadable",
    /// The bytes are not UTF-8 text.
    NotUtf8 = "not-utf8",
    /// Nothing is written in the file.
    FileEmpty = "file-empty",
    /// The file is over 1 MiB.
    FileTooLarge = "file-too-large",
    /// A file that is no sign-up sheet: a PDF, a picture, an old or a broken spreadsheet.
    NotASheet = "not-a-sheet",
    /// A spreadsheet behind a password.
    SheetLocked = "sheet-locked",
    /// A sheet in which no column looks like names.
    NoNames = "no-names",
    /// A roster where a class is wanted, or the like.
    WrongFile = "wrong-file",

    // How it is written.
    /// The text stops making sense as YAML.
    NotYaml = "not-yaml",
    /// A bracket or a quotation mark is opened and never closed: often a file that was cut off.
    NotClosed = "not-closed",
    /// A tab where spaces belong.
    Tab = "tab",
    /// A hard space where a plain one belongs.
    HardSpace = "hard-space",
    /// Curly quotation marks, which YAML takes for letters.
    CurlyQuotes = "curly-quotes",
    /// Brackets or indentation over 32 levels deep.
    TooDeep = "too-deep",
    /// A key that stands twice in one place.
    RepeatedKey = "repeated-key",
    /// An anchor, an alias or a tag: parts of YAML that this program does not take.
    FancyYaml = "fancy-yaml",
    /// A second document after `---`.
    SecondDocument = "second-document",

    // Keys and kinds of values.
    /// A key that means nothing here.
    UnknownKey = "unknown-key",
    /// A key that has to be there.
    MissingKey = "missing-key",
    /// A key with nothing after it.
    EmptyValue = "empty-value",
    /// Words for a number, a list for a text, and so on.
    WrongType = "wrong-type",
    /// Two keys that shut each other out.
    ClashingKeys = "clashing-keys",
    /// A number outside what can be meant.
    OutOfRange = "out-of-range",
    /// A word that is not one of the words possible here.
    UnknownWord = "unknown-word",
    /// A word that is not mild, moderate or acute.
    UnknownSeverity = "unknown-severity",
    /// A word that is not where a body is.
    UnknownLevel = "unknown-level",
    /// A word that is not a prop.
    UnknownProp = "unknown-prop",
    /// A name that no posture has.
    UnknownPosture = "unknown-posture",
    /// Words of an outline that are no posture and nothing else that is known.
    NotUnderstood = "not-understood",
    /// An id that the library has not.
    UnknownId = "unknown-id",
    /// A shape that cannot be read: an unknown hinge, patch or surface.
    WrongShape = "wrong-shape",
    /// A condition over measures that cannot be read.
    WrongCondition = "wrong-condition",
    /// A name that two postures have.
    NameTwice = "name-twice",
    /// A name that a comma has cut in two.
    NameCut = "name-cut",
    /// An id that stands in two files, or twice in one.
    IdTwice = "id-twice",
    /// A variation that is based on itself by a detour.
    BasedInACircle = "based-in-a-circle",
    /// A rule whose strength needs a source, and that names none.
    SourceMissing = "source-missing",
    /// A rule without a posture that it must catch and one that it must not.
    ProofMissing = "proof-missing",
    /// A rule that catches what it must not, or misses what it must catch.
    ProofFails = "proof-fails",
    /// An alternative that lowers none of the demands it is offered for.
    GentlerLowersNothing = "gentler-lowers-nothing",
    /// A shape that does not stand as it is written.
    NotSettled = "not-settled",
    /// A shape whose level says other than what carries it.
    LevelDiffers = "level-differs",
    /// A posture that lacks what a sheet needs to say of it.
    PostureUnfinished = "posture-unfinished",
    /// Two levels without a way between them.
    NoWay = "no-way",
    /// No resting shape that asks nothing.
    NoPause = "no-pause",
    /// A file of a library that is a link, or lies outside its folder.
    LinkedFile = "linked-file",
    /// A file that is no part of a library.
    StrayFile = "stray-file",
    /// A word in `what` that is no area, condition or need.
    UnknownLimitation = "unknown-limitation",
    /// A day that is not in the calendar, or not written year first.
    BadDate = "bad-date",
    /// A day that cannot be meant: an operation after the class, a due date years away.
    ImpossibleDate = "impossible-date",
    /// Weeks that cannot be meant.
    BadWeeks = "bad-weeks",
    /// A side for a shape that has none.
    NoSides = "no-sides",
    /// A hold in two units, or in none.
    BadHold = "bad-hold",
    /// A health note on somebody who gave no leave to keep one.
    NoteWithoutLeave = "note-without-leave",
    /// JSON that is not an adapted class.
    NotAdapted = "not-adapted",
    /// A clock time that is not one.
    BadClock = "bad-clock",
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}
