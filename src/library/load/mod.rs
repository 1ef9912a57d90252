//! One loader for the built-in files and for `--library DIR`.
//!
//! Takes the texts of `data/` and `rules/`; gives the [`Library`], or every problem of every file.
//! Invariant: a folder of one's own is added to the built-in files; where an id is there already it
//! replaces the old one and that is written down. Inside one library an id stands once.

mod blankets;
mod edges;
mod inherit;
mod lexicon;
mod limitations;
mod needs;
mod postures;
mod rule_reader;
mod rules;
mod short_names;
mod small;

use std::collections::BTreeMap;
use std::path::Path;

use include_dir::{Dir, include_dir};
use sha2::{Digest, Sha256};

pub(super) use inherit::Entry;

use super::cores::{on_every_core, side_by_side};
use super::graph::{Alternative, Rest};
use super::posture::{Names, Posture};
use super::rule::{Budgets, Limitation, Reference, Stance};
use super::{Library, Written, names, settled};
use crate::input::folder::read_folders;
use crate::input::suggest::nearest;
use crate::input::table::{Document, Field, Whereabouts};
use crate::input::text::Source;
use crate::lexicon::Book;
use crate::problem::{Code, Place, Problem, Problems};
use crate::words::{LimitationId, PostureId, PurposeId, RuleId, SourceId, StanceId};

static DATA: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/data");
static RULES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/rules");

/// Files of a library; a name that ends in a slash is a folder of such files.
const PLACES: [&str; 16] = [
    "data/alternatives/",
    "data/links.yaml",
    "data/postures/",
    "data/purposes.yaml",
    "data/rests.yaml",
    "data/short-names.yaml",
    "data/timing.yaml",
    "rules/blankets.yaml",
    "rules/budgets.yaml",
    "rules/demands.yaml",
    "rules/lexicon.yaml",
    "rules/limitations/",
    "rules/signs.yaml",
    "rules/sources.yaml",
    "rules/stances.yaml",
    "rules/weights.yaml",
];

impl Library {
    /// The built-in library.
    ///
    /// # Errors
    /// The problems of its files: a fault of ours.
    pub fn built_in() -> Result<Self, Problems> {
        load(Vec::new())
    }

    /// The built-in library with a folder's `data/` and `rules/` added to it.
    ///
    /// # Errors
    /// Every problem of every file; a link, and a file that is no part of a library, is one.
    pub fn with_folder(folder: &Path) -> Result<Self, Problems> {
        let mut problems = Problems::default();
        let found = match read_folders(folder, &["data", "rules"]) {
            Ok(found) => found,
            Err(wrong) => {
                problems.extend(wrong);
                return Err(problems);
            }
        };
        for file in found.iter().filter(|file| !is_place(&file.place)) {
            let help = match nearest(&file.place, PLACES) {
                Some(near) => format!("Did you mean “{near}”?"),
                None => format!("The places of a library are {}.", PLACES.join(", ")),
            };
            let place = Place::file(file.source.name());
            let message = "this file is no part of a library";
            problems.push(Problem::new(Code::StrayFile, place, message, help));
        }
        if found.is_empty() {
            problems.push(Problem::new(
                Code::FileMissing,
                Place::file(folder.display().to_string()),
                "there are no files of a library here",
                "A library is a folder with data/ or rules/ in it, as described in DEVELOPERS.md.",
            ));
        }
        problems.or(Some(()))?;
        load(
            found
                .into_iter()
                .map(|file| (file.place, file.source))
                .collect(),
        )
    }
}

fn is_place(place: &str) -> bool {
    PLACES.iter().any(|known| match known.strip_suffix('/') {
        Some(_) => place.starts_with(known),
        None => place == *known,
    })
}

/// The built-in files with their places, in order.
fn built_in_files() -> Vec<(String, &'static [u8])> {
    let mut files = Vec::new();
    for (dir, root) in [(&DATA, "data"), (&RULES, "rules")] {
        let mut dirs = vec![dir];
        while let Some(dir) = dirs.pop() {
            dirs.extend(dir.dirs());
            for file in dir.files() {
                let place = format!("{root}/{}", file.path().display()).replace('\\', "/");
                files.push((place, file.contents()));
            }
        }
    }
    files.sort();
    files
}

/// A file of the library.
struct LibraryFile {
    place: String,
    document: Document,
    /// Whether it is one of the built-in files.
    built_in: bool,
}

/// The files of a library, the built-in ones first.
pub(super) struct Files {
    files: Vec<LibraryFile>,
}

/// A file before its values are read.
struct Unread {
    place: String,
    source: Source,
    built_in: bool,
}

fn load(own: Vec<(String, Source)>) -> Result<Library, Problems> {
    let mut problems = Problems::default();
    let mut settled_json: &[u8] = &[];
    let mut unread = Vec::new();
    for (place, bytes) in built_in_files() {
        if place == "data/settled.json" {
            settled_json = bytes;
        } else if is_place(&place) {
            match Source::from_bytes(place.as_str(), bytes) {
                Ok(source) => unread.push(Unread {
                    place,
                    source,
                    built_in: true,
                }),
                Err(problem) => problems.push(problem),
            }
        }
    }
    unread.extend(own.into_iter().map(|(place, source)| Unread {
        place,
        source,
        built_in: false,
    }));
    let mut hasher = Sha256::new();
    for Unread { place, source, .. } in &unread {
        hasher.update(place.as_bytes());
        hasher.update(source.text().as_bytes());
    }
    let (kept, read) = side_by_side(
        || settled::read(settled_json),
        || on_every_core(unread, Unread::read),
    );
    let mut files = Files { files: Vec::new() };
    for file in read {
        match file {
            Ok(file) => files.files.push(file),
            Err(found) => problems.extend(found),
        }
    }
    problems.or(Some(()))?;
    let mut library = assemble(&files, &kept);
    library.hash = hasher
        .finalize()
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let mut problems = Problems::default();
    for found in on_every_core(files.files, |file| file.document.into_problems()) {
        problems.extend(found);
    }
    problems.or(Some(library))
}

impl Unread {
    fn read(self) -> Result<LibraryFile, Vec<Problem>> {
        let document = if self.built_in {
            Document::read_built_in(self.source)
        } else {
            Document::read(self.source)
        }?;
        Ok(LibraryFile {
            place: self.place,
            document,
            built_in: self.built_in,
        })
    }
}

/// Puts the library together; what is wrong is left with the files. The rules and the shapes know
/// nothing of each other but the demands, and are read at once.
fn assemble(files: &Files, settled: &settled::Kept) -> Library {
    let mut replaced = Vec::new();
    let demands = rules::demands(files, &mut replaced);
    let (ruled, shaped) = side_by_side(
        || Ruled::read(files, &demands),
        || Shaped::read(files, &demands, settled),
    );
    replaced.extend(shaped.replaced);
    replaced.extend(ruled.replaced);
    Library {
        alternatives: shaped.alternatives,
        blankets: blankets::blankets(files, &demands, &mut replaced),
        links: edges::links(files, &demands, &mut replaced),
        rests: shaped.rests,
        budgets: ruled.budgets,
        weights: small::weights(files, &mut replaced),
        timing: small::timing(files, &mut replaced),
        names: shaped.names,
        lexicon: ruled.lexicon,
        hash: String::new(),
        postures: shaped.postures,
        purposes: shaped.purposes,
        demands,
        limitations: ruled.limitations,
        sources: ruled.sources,
        stances: ruled.stances,
        signs: ruled.signs,
        replaced,
        written: Written {
            rules: ruled.written,
            ..shaped.written
        },
    }
}

/// Limitations with their rules, and what stands around them.
struct Ruled {
    stances: BTreeMap<StanceId, Stance>,
    sources: BTreeMap<SourceId, Reference>,
    signs: BTreeMap<String, String>,
    limitations: BTreeMap<LimitationId, Limitation>,
    budgets: Budgets,
    lexicon: Book,
    written: BTreeMap<RuleId, Whereabouts>,
    replaced: Vec<String>,
}

impl Ruled {
    fn read(files: &Files, demands: &rules::Demands) -> Self {
        let mut replaced = Vec::new();
        let mut written = BTreeMap::new();
        let stances = rules::stances(files, &mut replaced);
        let sources = rules::sources(files, &mut replaced);
        let signs = small::signs(files, &mut replaced);
        let basis = limitations::Basis {
            demands,
            stances: &stances,
            sources: &sources,
            signs: &signs,
        };
        let limitations = limitations::limitations(files, &basis, &mut replaced, &mut written);
        Self {
            budgets: small::budgets(files, &limitations, &stances, &mut replaced),
            lexicon: lexicon::book(files, demands, &limitations, &mut replaced),
            stances,
            sources,
            signs,
            limitations,
            written,
            replaced,
        }
    }
}

/// Postures, their names, and the ways from one to another.
struct Shaped {
    purposes: BTreeMap<PurposeId, String>,
    postures: BTreeMap<PostureId, Posture>,
    names: Names,
    alternatives: BTreeMap<PostureId, Vec<Alternative>>,
    rests: Vec<Rest>,
    written: Written,
    replaced: Vec<String>,
}

impl Shaped {
    fn read(files: &Files, demands: &rules::Demands, settled: &settled::Kept) -> Self {
        let mut replaced = Vec::new();
        let purposes = small::purposes(files, &mut replaced);
        let entries = inherit::entries(files, &mut replaced);
        let postures = postures::read(&entries, demands, &purposes, settled);
        let mut written = Written::default();
        for (id, entry) in &entries {
            let place = entry.field.whereabouts();
            written.postures.insert(id.as_str().into(), place);
        }
        let all_names = || {
            let mut replaced = Vec::new();
            let mut names = names::names(&entries, &postures);
            short_names::add(files, &postures, &mut names, &mut replaced);
            (names, replaced)
        };
        let ways = || {
            let mut replaced = Vec::new();
            let written = &mut written.alternatives;
            let ways = edges::alternatives(files, &entries, demands, &mut replaced, written);
            let rests = edges::rests(files, &entries, &mut replaced);
            (ways, rests, replaced)
        };
        let ((names, of_names), (alternatives, rests, of_ways)) = side_by_side(all_names, ways);
        replaced.extend(of_names);
        replaced.extend(of_ways);
        Self {
            purposes,
            postures,
            names,
            alternatives,
            rests,
            written,
            replaced,
        }
    }
}

/// An entry that a file makes under an id.
struct Made<'f, T> {
    value: T,
    field: Field<'f>,
    built_in: bool,
}

impl Files {
    /// The files at a place (one file, or all of a folder), and whether each is built in.
    fn at(&self, place: &str) -> impl Iterator<Item = (&Document, bool)> {
        let wanted = move |known: &str| match place.strip_suffix('/') {
            Some(_) => known.starts_with(place),
            None => known == place,
        };
        let files = self.files.iter().filter(move |file| wanted(&file.place));
        files.map(|file| (&file.document, file.built_in))
    }

    /// Entries of tables by their keys, from all files at a place, in the order written; a file of
    /// one's own replaces what is built in.
    fn by_key<'f>(&'f self, place: &str, replaced: &mut Vec<String>) -> Vec<(String, Field<'f>)> {
        let mut entries = ById::default();
        for (document, built_in) in self.at(place) {
            let Some(table) = document.root().table() else {
                continue;
            };
            for (key, field) in table.into_entries() {
                entries.add(key, field.clone(), field, built_in, replaced);
            }
        }
        entries.in_order()
    }
}

/// Values by id: inside one library an id stands once, one's own replace the built-in ones.
struct ById<'f, T> {
    made: BTreeMap<String, Made<'f, T>>,
    order: Vec<String>,
}

impl<T> Default for ById<'_, T> {
    fn default() -> Self {
        Self {
            made: BTreeMap::new(),
            order: Vec::new(),
        }
    }
}

impl<'f, T> ById<'f, T> {
    /// Adds a value that stands at a field.
    fn add(
        &mut self,
        id: String,
        value: T,
        field: Field<'f>,
        built_in: bool,
        replaced: &mut Vec<String>,
    ) {
        match self.made.get(&id) {
            Some(old) if old.built_in == built_in => {
                field.key_problem(
                    Code::IdTwice,
                    format!("“{id}” is there already, at {}", old.field.whereabouts()),
                    "Keep one of the two.",
                );
                return;
            }
            Some(_) => replaced.push(id.clone()),
            None => self.order.push(id.clone()),
        }
        self.made.insert(
            id,
            Made {
                value,
                field,
                built_in,
            },
        );
    }

    /// The values, by the order in which their ids were first written.
    fn in_order(mut self) -> Vec<(String, T)> {
        let order = std::mem::take(&mut self.order);
        let mut take = |id: String| self.made.remove(&id).map(|made| (id, made.value));
        order.into_iter().filter_map(&mut take).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The built-in files are loaded without a look at their places; here each is read as a file of one's own.
    #[test]
    fn every_built_in_file_reads_as_ones_own() {
        for (place, bytes) in built_in_files()
            .into_iter()
            .filter(|(place, _)| is_place(place))
        {
            let source = Source::from_bytes(place.as_str(), bytes).expect("it is text");
            assert!(Document::read(source).is_ok(), "{place}");
        }
    }
}
