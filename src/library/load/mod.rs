//! One loader for the built-in files and for `--library DIR`.
//!
//! Takes the texts of `data/` and `rules/`; gives the [`Library`], or every problem of every file.
//! Invariant: a folder of one's own is added to the built-in files; where an id is there already it
//! replaces the old one and that is written down.

mod edges;
mod postures;
mod rules;
mod small;

use std::collections::BTreeMap;
use std::path::Path;

use include_dir::{Dir, include_dir};
use sha2::{Digest, Sha256};

pub(super) use postures::Entry;

use super::{Library, names, settled};
use crate::input::table::{Document, Field};
use crate::input::text::{Source, read_file};
use crate::problem::{Code, Place, Problem, Problems};

static DATA: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/data");
static RULES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/rules");

/// Folders and files of a library that are read, and how deep they lie.
const PLACES: [&str; 6] =
    ["data", "data/postures", "data/alternatives", "rules", "rules/limitations", "data/body"];

/// The files of a library, the built-in ones first.
pub(super) struct Files {
    documents: Vec<(String, Document)>,
    settled: Vec<String>,
    hash: String,
}

impl Library {
    /// The built-in library.
    ///
    /// # Errors
    /// The problems of its files: a fault of ours.
    pub fn built_in() -> Result<Self, Problems> {
        load(built_in_texts())
    }

    /// The built-in library with a folder's `data/` and `rules/` added to it.
    ///
    /// # Errors
    /// Every problem of every file; a link or a path that leaves the folder is one.
    pub fn with_folder(folder: &Path) -> Result<Self, Problems> {
        let mut texts = built_in_texts();
        let mut problems = Problems::default();
        let mut found = 0;
        for place in PLACES {
            match folder_texts(folder, place) {
                Ok(more) => {
                    found += more.len();
                    texts.extend(more);
                }
                Err(more) => problems.extend(more),
            }
        }
        if found == 0 && problems.is_empty() {
            problems.push(Problem::new(
                Code::FileMissing,
                Place::file(folder.display().to_string()),
                "there are no files of a library here",
                "A library is a folder with data/ or rules/ in it, as described in DEVELOPERS.md.",
            ));
        }
        problems.or(Some(()))?;
        load(texts)
    }
}

/// A file's place in the library, its name for messages, and its text.
type Text = (String, String, Vec<u8>);

fn built_in_texts() -> Vec<Text> {
    let files = |dir: &'static Dir<'_>, root: &str| {
        let mut files = Vec::new();
        let mut dirs = vec![dir];
        while let Some(dir) = dirs.pop() {
            dirs.extend(dir.dirs());
            for file in dir.files() {
                let place = format!("{root}/{}", file.path().display()).replace('\\', "/");
                files.push((place.clone(), place, file.contents().to_vec()));
            }
        }
        files.sort();
        files
    };
    let mut texts = files(&DATA, "data");
    texts.extend(files(&RULES, "rules"));
    texts
}

/// The YAML files of one folder of a library of one's own, in order of their names.
fn folder_texts(folder: &Path, place: &str) -> Result<Vec<Text>, Vec<Problem>> {
    let inside = folder.join(place);
    let is_link = |path: &Path| path.symlink_metadata().is_ok_and(|meta| meta.is_symlink());
    let linked = |path: &Path| {
        vec![Problem::new(
            Code::LinkedFile,
            Place::file(path.display().to_string()),
            "this is a link to somewhere else",
            "Put the file itself into the library’s folder.",
        )]
    };
    if is_link(&inside) {
        return Err(linked(&inside));
    }
    let Ok(entries) = std::fs::read_dir(&inside) else { return Ok(Vec::new()) };
    let mut paths: Vec<_> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.sort();
    let mut texts = Vec::new();
    for path in paths {
        let is_yaml = path.extension().is_some_and(|ending| ending == "yaml" || ending == "yml");
        if !is_yaml {
            continue;
        }
        if is_link(&path) {
            return Err(linked(&path));
        }
        let source = read_file(&path).map_err(|problem| vec![problem])?;
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
        let at = format!("{place}/{}", name.unwrap_or_default());
        texts.push((at, path.display().to_string(), source.text().as_bytes().to_vec()));
    }
    Ok(texts)
}

fn load(texts: Vec<Text>) -> Result<Library, Problems> {
    let mut problems = Problems::default();
    let mut hasher = Sha256::new();
    let mut files = Files { documents: Vec::new(), settled: Vec::new(), hash: String::new() };
    for (place, name, bytes) in texts {
        if place == "data/settled.json" {
            files.settled.push(String::from_utf8_lossy(&bytes).into_owned());
            continue;
        }
        let known = place.starts_with("data/body/") || place.starts_with("data/demo/");
        if known || !place.ends_with(".yaml") {
            continue;
        }
        hasher.update(place.as_bytes());
        hasher.update(&bytes);
        match Source::from_bytes(name, &bytes).map_err(|problem| vec![problem]).and_then(Document::read)
        {
            Ok(document) => files.documents.push((place, document)),
            Err(found) => problems.extend(found),
        }
    }
    files.hash = hasher.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    problems.or(Some(()))?;
    let library = assemble(&files);
    let mut problems = Problems::default();
    for (_, document) in files.documents {
        problems.extend(document.into_problems());
    }
    problems.or(Some(library))
}

/// Puts the library together; what is wrong is left with the files.
fn assemble(files: &Files) -> Library {
    let mut replaced = Vec::new();
    let demands = rules::demands(files, &mut replaced);
    let settled = settled::read(&files.settled);
    let purposes = small::purposes(files);
    let entries = postures::entries(files, &mut replaced);
    let postures = postures::read(&entries, &demands, &purposes, &settled);
    let known = |id: &str| postures.contains_key(id);
    let stances = rules::stances(files, &mut replaced);
    let sources = rules::sources(files, &mut replaced);
    let limitations =
        rules::limitations(files, &demands, &stances, &sources, &mut replaced);
    Library {
        alternatives: edges::alternatives(files, &known, &demands),
        links: edges::links(files, &demands, &mut replaced),
        rests: edges::rests(files, &known),
        budgets: small::budgets(files, &limitations),
        weights: small::weights(files),
        timing: small::timing(files),
        signs: small::signs(files),
        names: names::names(&entries),
        hash: files.hash.clone(),
        postures,
        purposes,
        demands,
        limitations,
        sources,
        stances,
        replaced,
    }
}

impl Files {
    /// The files at a place: one file, or all of a folder.
    fn at(&self, place: &str) -> impl Iterator<Item = &Document> {
        let folder = format!("{place}/");
        let wanted = move |known: &str| known == place || known.starts_with(&folder);
        self.documents.iter().filter(move |(known, _)| wanted(known)).map(|(_, document)| document)
    }

    /// Entries of tables by their keys, from all files at a place; a later file replaces.
    fn by_key<'f>(
        &'f self,
        place: &str,
        replaced: &mut Vec<String>,
    ) -> BTreeMap<String, Field<'f>> {
        let mut entries = BTreeMap::new();
        for document in self.at(place) {
            let Some(table) = document.root().table() else { continue };
            for (key, field) in table.into_entries() {
                if entries.insert(key.clone(), field).is_some() {
                    replaced.push(key);
                }
            }
        }
        entries
    }
}
