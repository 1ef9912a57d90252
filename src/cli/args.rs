//! Arguments as typed. Help, completions and the manual page come from these definitions.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Adapts a planned yoga class to the people who come.
#[derive(Debug, Parser)]
#[command(
    name = "kindfold",
    version,
    about = "Adapts a planned yoga class to the people who come: one shape to show, the few \
             options beside it and for whom, what to lay out, how long it takes, and whom to ask \
             first. It never says that a shape is safe; you and their clinicians decide.",
    after_help = "Start here:\n  kindfold demo                              a small class and a small room, built in\n  \
                  kindfold adapt class.yaml --roster people.yaml --props props.yaml\n  \
                  kindfold why class.yaml --roster people.yaml --step 5 --student Kwame\n  \
                  kindfold posture \"child's pose\"             what one shape asks, and its kinder ways\n\n\
                  Your own files: kindfold new class, kindfold new roster. For a shell that completes words:\n  \
                  kindfold completions bash, zsh, fish, elvish or powershell; as a manual page: kindfold manual.\n\n\
                  Health facts stay on this machine and on the sheets that you ask for.",
    max_term_width = 96
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// What is common to all commands.
    #[command(flatten)]
    pub common: Common,
}

/// Options of every command.
#[derive(Clone, Debug, Args)]
pub struct Common {
    /// The form of the result
    #[arg(long, global = true, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Write the result to this file instead of the screen
    #[arg(short = 'o', long = "output", global = true, value_name = "PATH")]
    pub output: Option<PathBuf>,
    /// A folder whose data/ and rules/ are added to the built-in ones
    #[arg(long, global = true, value_name = "DIR")]
    pub library: Option<PathBuf>,
    /// Exit with 1 when something needs you
    #[arg(long, global = true)]
    pub strict: bool,
    /// Large print
    #[arg(long, global = true)]
    pub large: bool,
    /// Columns of text (the terminal's own within 60 to 100; 80 when piped)
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(40..=200))]
    pub width: Option<u16>,
    /// The paper
    #[arg(long, global = true, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
}

/// The form of a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text for a screen
    Text,
    /// Markdown
    Markdown,
    /// One HTML file to print
    Html,
    /// JSON for other programs
    Json,
    /// A table
    Csv,
}

/// Paper sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 210 by 297 mm
    A4,
    /// US letter
    Letter,
}

/// Options of every command that plans.
#[derive(Clone, Debug, Default, Args)]
pub struct Planning {
    /// Who is coming (without it: one person of whom nothing is known)
    #[arg(long, value_name = "FILE")]
    pub roster: Option<PathBuf>,
    /// What is in the cupboard (without it: unlimited, and the sheet says what is needed)
    #[arg(long, value_name = "FILE")]
    pub props: Option<PathBuf>,
    /// Your stances, words and first side
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// The class's date, year first (else the plan's, else today)
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<String>,
    /// The most shapes at one step, the one shown included
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u32).range(1..=20))]
    pub max_options: u32,
    /// Stop searching after so many seconds (else after a fixed amount of work)
    #[arg(long, value_name = "N", value_parser = seconds)]
    pub seconds: Option<f64>,
    /// Also write the planning instance, for another solver
    #[arg(long, value_name = "FILE")]
    pub instance: Option<PathBuf>,
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if seconds > 0.0 && seconds <= 86_400.0 => Ok(seconds),
        _ => Err("write a number of seconds above 0".to_owned()),
    }
}

/// The sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SheetName {
    /// Yours: an own page with names and reasons, and floor pages for beside the mat
    Teacher,
    /// For a cover teacher or a wall: the class and its choices, nobody named
    Room,
    /// One page for each person who does something otherwise: their own changes and no more
    Cards,
    /// For whoever lays out: what to carry in, what lies where, what to fetch when
    Props,
    /// Yours: whom to ask, what to look out for, how strongly it is backed
    Cautions,
    /// To fill in and sign after class: what was taught, who came
    Record,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// The class, adapted to the people who come
    #[command(
        after_help = "Examples:\n  kindfold adapt class.yaml --roster people.yaml --props props.yaml\n  \
                            kindfold adapt class.yaml --roster people.yaml --format html -o sheet.html\n  \
                            kindfold adapt class.yaml --roster people.yaml --sheet cards --format html -o cards.html\n  \
                            kindfold adapt class.yaml --roster people.yaml --all-sheets --format html -o tuesday\n  \
                            kindfold adapt class.yaml --roster people.yaml --format json -o adapted.json"
    )]
    Adapt {
        /// The class plan
        class: PathBuf,
        /// Which sheet
        #[arg(long, value_enum, default_value_t = SheetName::Teacher)]
        sheet: SheetName,
        /// Every sheet at once, each a file in the folder that -o names
        #[arg(long, conflicts_with_all = ["sheet", "student"])]
        all_sheets: bool,
        /// This person’s card alone (also of somebody confidential)
        #[arg(long, value_name = "NAME")]
        student: Option<String>,
        /// How to plan
        #[command(flatten)]
        planning: Planning,
    },
    /// Why a step is as it is, for the room or for one person
    Why {
        /// The class plan
        class: PathBuf,
        /// The small number beside the clock
        #[arg(long, value_name = "LINE")]
        step: usize,
        /// One person (their own eyes only)
        #[arg(long, value_name = "NAME")]
        student: Option<String>,
        /// How to plan
        #[command(flatten)]
        planning: Planning,
    },
    /// A version of a whole class, made without naming anyone: it may hang in the room
    #[command(after_help = "Versions, one or several with commas between:\n  \
                      padded-kneeling     knees on a blanket, never long\n  \
                      no-kneeling         no weight on the knees\n  \
                      wrist-free          no weight on bent wrists\n  \
                      arms-low            arms no higher than the shoulders\n  \
                      chair               on a chair, or standing with a hand on it\n  \
                      no-floor            standing, at the wall, on a chair\n  \
                      stay-down           once on the floor, nobody comes up before the end\n  \
                      head-level          the head never below the heart\n  \
                      not-flat-not-front  neither flat on the back nor on the front\n  \
                      open-belly          also nothing that presses or works the belly hard\n  \
                      small-range         nothing at the end of its range, holds of 30 seconds\n  \
                      neutral-spine       no rounding, no deep bend or turn of the back\n  \
                      quiet               little effort, little standing, a longer rest\n  \
                      no-props            the mat and a wall\n  \
                      household-props     with what stands in at home\n  \
                      words-only          every step said in words\n\n\
                      The class stays as long as it was. What cannot be kept is said.\n\n\
                      Examples:\n  kindfold vary class.yaml --for padded-kneeling\n  \
                      kindfold vary class.yaml --for padded-kneeling,wrist-free --format html -o version.html\n  \
                      kindfold vary class.yaml --for chair --sheet room\n  \
                      kindfold vary class.yaml --for chair -o chair-class.yaml      the version as a class plan")]
    Vary {
        /// The class plan
        class: PathBuf,
        /// Which version, or several with commas between
        #[arg(long = "for", value_name = "NAME[,NAME…]")]
        version: String,
        /// Another sheet of the version (left out: what changes)
        #[arg(long, value_enum)]
        sheet: Option<SheetName>,
        /// How to plan
        #[command(flatten)]
        planning: Planning,
    },
    /// From which day on which rule begins or ends for whom, and what goes out of date
    #[command(
        after_help = "A class is planned for its own date. Weeks of pregnancy and weeks since an operation or a \
                      birth go on, and what people told grows old: this says on which day that changes a rule, \
                      and which steps of the class it touches, so that you can ask and plan before.\n\n\
                      Example:\n  kindfold ahead class.yaml --roster people.yaml --until 2026-12-31"
    )]
    Ahead {
        /// The class plan
        class: PathBuf,
        /// The last day to look at
        #[arg(long, value_name = "YYYY-MM-DD")]
        until: String,
        /// Who comes, and how to plan
        #[command(flatten)]
        planning: Planning,
    },
    /// A few things of one person’s own class, to do alone at home
    #[command(
        long_about = "Three to six things of one person’s own class, to do alone at home: those that \
                      serve their aims and their class best in the minutes there are.\n\n\
                      Only what they did in class, in the shape that they did; both sides; a rest at \
                      the end. No weight on head or neck; balance only with a wall or a chair. Of \
                      somebody who was not asked there is no flow, only what to ask.",
        after_help = "Examples:\n  kindfold home class.yaml --roster people.yaml --student Odalys --minutes 12\n  \
                      kindfold home class.yaml --roster people.yaml --student Odalys --minutes 12 --days 4 --format html -o home.html\n  \
                      kindfold home class.yaml --roster people.yaml --student Odalys --minutes 12 --large --format html -o home.html"
    )]
    Home {
        /// The class plan
        class: PathBuf,
        /// Whom it is for
        #[arg(long, value_name = "NAME")]
        student: String,
        /// Minutes a day
        #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(5..=60))]
        minutes: u32,
        /// Days a week
        #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u32).range(1..=7))]
        days: u32,
        /// How to plan
        #[command(flatten)]
        planning: Planning,
    },
    /// A second, independent reading of an adapted class against the rules
    Audit {
        /// The adapted class, as JSON
        adapted: PathBuf,
        /// The class plan it came from
        class: PathBuf,
        /// The files it came from
        #[command(flatten)]
        planning: Planning,
    },
    /// Find postures
    Postures {
        /// Words of the name; all postures without any
        words: Vec<String>,
    },
    /// One posture: figure, measures, what it asks, kinder and stronger ways
    Posture {
        /// Its name, English or Sanskrit
        name: String,
        /// Which side leads
        #[arg(long, value_enum, default_value_t = LeadSide::Right)]
        side: LeadSide,
    },
    /// Read files, and the library, and say what is wrong or has to be asked
    #[command(
        long_about = "Reads files, and the library, and says what is wrong or has to be asked.\n\n\
                      A class may be a plan in YAML, or a plain outline in a file that ends in .md \
                      or .txt, written as you would jot it. check shows how each line was \
                      understood; behind a question mark stands what was read into it, for you to \
                      confirm. -o writes the class as a plan in YAML, in full.",
        after_help = "An outline, as a person could have typed it:\n\n  \
                      # Lantern-light unwind\n  \
                      3 December 2026, 19:15, 45 min, 7 second breaths\n\n  \
                      ## Arrive\n  \
                      - welcome, 2 min\n  \
                      - easy seat, 8 breaths - eyes open or closed\n\n  \
                      ## Stand\n  \
                      - low lunge, each side, 3 br, or hands on blocks\n  \
                      Each side, left first:\n    \
                      - warrior 2, 3 br\n    \
                      - 3 times:\n      \
                      - reverse warrior, 1 br\n      \
                      - side angle, 1 br\n  \
                      - savasana 6 min\n\n\
                      Examples:\n  kindfold check tuesday.md\n  \
                      kindfold check tuesday.md -o tuesday.yaml\n  \
                      kindfold check tuesday.yaml --roster people.yaml\n  \
                      kindfold check tuesday.yaml --format html -o asks.html   what it asks along the clock"
    )]
    Check {
        /// A class plan or an outline; the library alone without one
        class: Option<PathBuf>,
        /// How to plan
        #[command(flatten)]
        planning: Planning,
    },
    /// A sign-up sheet becomes a roster, with what has to be asked beside each person
    #[command(
        after_help = "The sheet is CSV, XLSX or ODS, with whatever columns it has: names, and what people said in\n\
                      one or several columns, in English, Spanish, French, German, Portuguese or Italian.\n\
                      What was not understood stays as it was written, under “ask”. Read the roster over\n\
                      before you plan from it.\n\n\
                      Examples:\n  kindfold intake signup.xlsx                    look at the roster first\n  \
                      kindfold intake signup.xlsx -o roster.yaml     write it\n  \
                      kindfold intake newer.csv --merge roster.yaml -o roster.yaml\n                                                 \
                      add what is new; your own remarks and keys stay\n  \
                      kindfold intake signup.csv --column F=words --column G=unused"
    )]
    Intake {
        /// The sign-up sheet
        sheet: PathBuf,
        /// A roster to merge the sheet into
        #[arg(long, value_name = "ROSTER")]
        merge: Option<PathBuf>,
        /// The day on which the answers were true (else the sheet’s own days, else today)
        #[arg(long, value_name = "YYYY-MM-DD")]
        recorded: Option<String>,
        /// What a column is, by its letter; may be given several times
        #[arg(long, value_name = "LETTER=WHAT")]
        column: Vec<String>,
        /// Which comes first in dates like 03/04/2026 (left out, they are asked about)
        #[arg(long, value_enum)]
        dates: Option<Dates>,
        /// The tab to read, of a spreadsheet with several
        #[arg(long, value_name = "NAME")]
        tab: Option<String>,
    },
    /// A commented file to begin from; never overwrites
    #[command(
        after_help = "Examples:\n  kindfold new class                  writes class.yaml here\n  \
                            kindfold new roster -o tuesday-people.yaml"
    )]
    New {
        /// Which file
        file: FileName,
    },
    /// The form of a file for editors and other programs: JSON Schema (draft 2020-12)
    #[command(
        after_help = "An editor that knows JSON Schema completes words and marks mistakes while you type:\n  \
                            kindfold schema class -o class.schema.json"
    )]
    Schema {
        /// Which file
        file: FileName,
    },
    /// The main job on the built-in class and room
    Demo,
    /// Completions for a shell, made from these definitions
    #[command(hide = true)]
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// The manual page, made from these definitions
    #[command(hide = true)]
    Manual,
}

/// The files that a teacher writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FileName {
    /// A class plan
    Class,
    /// Who is coming
    Roster,
    /// What is in the cupboard
    Props,
    /// Your own ways
    Settings,
}

/// Which comes first in a date of two numbers and a year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Dates {
    /// The day: 03/04 is the third of April
    DayFirst,
    /// The month: 03/04 is the fourth of March
    MonthFirst,
}

/// Which side leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LeadSide {
    /// The left
    Left,
    /// The right
    Right,
}
