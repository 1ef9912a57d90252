//! All YAML files below a folder, for a library of one's own.
//!
//! Takes a folder; gives back every file with its place below it. Invariant: nothing outside the
//! folder is ever read: a symbolic link is refused, wherever it points.

use std::path::{Path, PathBuf};

use super::text::{Source, read_file};
use crate::problem::{Code, Place, Problem};

/// How deep folders may lie below the one that is read, and how many files there may be at most.
const MOST_DEPTH: usize = 4;
const MOST_FILES: usize = 2000;

/// A file below a folder.
#[derive(Clone, Debug)]
pub struct Found {
    /// Its place below the folder, with slashes: `data/links.yaml`.
    pub place: String,
    /// Its text.
    pub source: Source,
}

/// The YAML files of some folders below a root, in order of their places.
///
/// # Errors
/// The problem of every file and folder that is a link, lies too deep or cannot be read.
pub fn read_folders(root: &Path, folders: &[&str]) -> Result<Vec<Found>, Vec<Problem>> {
    let mut walk = Walk {
        files: Vec::new(),
        problems: Vec::new(),
        full: false,
    };
    for folder in folders {
        let path = root.join(folder);
        if path.symlink_metadata().is_ok() {
            walk.enter(&path, folder, 1);
        }
    }
    let Walk {
        files,
        mut problems,
        ..
    } = walk;
    let mut found = Vec::new();
    for (place, path) in files {
        match read_file(&path) {
            Ok(source) => found.push(Found { place, source }),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() {
        Ok(found)
    } else {
        Err(problems)
    }
}

struct Walk {
    files: Vec<(String, PathBuf)>,
    problems: Vec<Problem>,
    /// There were more files than are read, and that was said.
    full: bool,
}

impl Walk {
    fn refuse(&mut self, path: &Path, code: Code, message: &str, help: &str) {
        let place = Place::file(path.display().to_string());
        self.problems.push(Problem::new(code, place, message, help));
    }

    fn too_much(&mut self, path: &Path) {
        self.refuse(
            path,
            Code::TooDeep,
            "there is too much below this folder for a library",
            "A library is a folder with data/ and rules/ in it.",
        );
    }

    fn enter(&mut self, path: &Path, place: &str, depth: usize) {
        let is_link = path.symlink_metadata().is_ok_and(|meta| meta.is_symlink());
        if is_link {
            self.refuse(
                path,
                Code::LinkedFile,
                "this is a link to somewhere else",
                "Put the file itself into the library’s folder.",
            );
        } else if !path.is_dir() {
            let ending = path
                .extension()
                .map(|ending| ending.to_string_lossy().to_lowercase());
            let is_yaml = matches!(ending.as_deref(), Some("yaml" | "yml"));
            if is_yaml && self.files.len() < MOST_FILES {
                self.files.push((place.to_owned(), path.to_owned()));
            } else if is_yaml && !self.full {
                // Said once, not for each file beyond the last.
                self.full = true;
                self.too_much(path);
            }
        } else if depth > MOST_DEPTH {
            self.too_much(path);
        } else {
            let Ok(entries) = std::fs::read_dir(path) else {
                self.refuse(
                    path,
                    Code::FileUnreadable,
                    "the system does not let this folder be read",
                    "Check that you may open it.",
                );
                return;
            };
            let mut names: Vec<_> = entries
                .filter_map(|entry| Some(entry.ok()?.file_name()))
                .collect();
            names.sort();
            for name in names {
                let below = format!("{place}/{}", name.to_string_lossy());
                self.enter(&path.join(&name), &below, depth + 1);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_found_with_their_places() {
        let root = tempfile::tempdir().expect("a folder for the test");
        let inside = root.path().join("rules/limitations");
        std::fs::create_dir_all(&inside).expect("a folder for the test");
        std::fs::write(inside.join("knee.yaml"), "id: knee\n").expect("a file for the test");
        std::fs::write(inside.join("notes.txt"), "not read\n").expect("a file for the test");
        let found = read_folders(root.path(), &["data", "rules"]).expect("nothing is wrong");
        let places: Vec<_> = found.iter().map(|file| file.place.as_str()).collect();
        assert_eq!(places, ["rules/limitations/knee.yaml"]);
    }

    #[cfg(unix)]
    #[test]
    fn links_are_refused() {
        let root = tempfile::tempdir().expect("a folder for the test");
        let outside = tempfile::tempdir().expect("a folder for the test");
        std::fs::write(outside.path().join("x.yaml"), "id: x\n").expect("a file for the test");
        std::fs::create_dir(root.path().join("data")).expect("a folder for the test");
        let link = |to: &Path, from: &str| {
            std::os::unix::fs::symlink(to, root.path().join(from)).expect("a link for the test");
        };
        link(outside.path(), "data/postures");
        link(&outside.path().join("x.yaml"), "data/y.yaml");
        let problems = read_folders(root.path(), &["data"]).expect_err("links are refused");
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [Code::LinkedFile, Code::LinkedFile]);
    }

    #[test]
    fn folders_lie_four_deep_at_most() {
        let root = tempfile::tempdir().expect("a folder for the test");
        let fourth = root.path().join("data/a/b/c");
        std::fs::create_dir_all(&fourth).expect("a folder for the test");
        std::fs::write(fourth.join("x.yaml"), "id: x\n").expect("a file for the test");
        let found = read_folders(root.path(), &["data"]).expect("nothing is wrong");
        let places: Vec<_> = found.iter().map(|file| file.place.as_str()).collect();
        assert_eq!(places, ["data/a/b/c/x.yaml"]);
        std::fs::create_dir(fourth.join("d")).expect("a folder for the test");
        let problems = read_folders(root.path(), &["data"]).expect_err("it lies too deep");
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [Code::TooDeep]);
    }

    /// However many files there are beyond the last that is read, it is said once.
    #[test]
    fn files_are_2000_at_most() {
        let root = tempfile::tempdir().expect("a folder for the test");
        let data = root.path().join("data");
        std::fs::create_dir(&data).expect("a folder for the test");
        let write = |number: usize| {
            let path = data.join(format!("{number}.yaml"));
            std::fs::write(path, "id: x\n").expect("a file for the test");
        };
        (1..=2000).for_each(write);
        let found = read_folders(root.path(), &["data"]).expect("nothing is wrong");
        assert_eq!(found.len(), 2000);
        (2001..=2002).for_each(write);
        let problems = read_folders(root.path(), &["data"]).expect_err("there are too many");
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [Code::TooDeep]);
    }
}
