//! The right edge: standard output, standard error, and files that are whole or not there.

use std::io::Write;
use std::path::Path;

use super::Stopped;
use super::args::{Common, Format, Paper};
use crate::library::Library;
use crate::problem::printable;
use crate::sheets::html::Print;
use crate::sheets::page::Document;
use crate::sheets::{page_csv, page_html, page_markdown, page_text};

/// Writes a result to the file asked for, or to standard output.
///
/// # Errors
/// [`Stopped::Output`] when it cannot be written; an old file is then as it was.
pub(super) fn result(text: &str, common: &Common) -> Result<(), Stopped> {
    match &common.output {
        Some(path) => told_file(path, text),
        None => screen(text),
    }
}

/// Writes a file as [`file`] does, and says so.
///
/// # Errors
/// [`Stopped::Output`] when it cannot be written or said.
pub(super) fn told_file(path: &Path, text: &str) -> Result<(), Stopped> {
    file(path, text)?;
    message(&format!("Written: {}", path.display()))
}

/// Writes to standard output.
///
/// # Errors
/// [`Stopped::Output`] when it cannot be written.
pub(super) fn screen(text: &str) -> Result<(), Stopped> {
    let mut out = std::io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    written.map_err(|cause| Stopped::Output {
        path: "standard output".into(),
        cause,
    })
}

/// Writes a whole file that only its owner can read: beside, flushed, then renamed. A pipe or a device
/// that stands there is written to and never replaced.
///
/// # Errors
/// [`Stopped::Output`] when it cannot be written; an old file is then as it was.
pub(super) fn file(path: &Path, text: &str) -> Result<(), Stopped> {
    let fault = |cause| Stopped::Output {
        path: path.display().to_string(),
        cause,
    };
    if std::fs::metadata(path).is_ok_and(|there| !there.is_file() && !there.is_dir()) {
        return write_into(path, text).map_err(fault);
    }
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned());
    let name = name.ok_or_else(|| fault(std::io::ErrorKind::InvalidInput.into()))?;
    // A run that was killed may have left its half beside the file, under the number of this process.
    let mut beside = (0..ATTEMPTS).map(|attempt| {
        path.with_file_name(format!(".{name}.{}.{attempt}.part", std::process::id()))
    });
    let taken = |error: &std::io::Error| error.kind() == std::io::ErrorKind::AlreadyExists;
    let (beside, written) = loop {
        let Some(beside) = beside.next() else {
            return Err(fault(std::io::ErrorKind::AlreadyExists.into()));
        };
        match write_new(&beside, text) {
            Err(error) if taken(&error) => {}
            written => break (beside, written),
        }
    };
    let renamed = written
        .and_then(|()| std::fs::rename(&beside, path))
        .and_then(|()| settle_folder(path));
    renamed.map_err(|cause| {
        // The half-written file must not stay; that it may never have been there is no matter.
        let _ = std::fs::remove_file(&beside);
        fault(cause)
    })
}

/// Makes a folder unless it is there.
///
/// # Errors
/// [`Stopped::Output`] when it cannot be made.
pub(super) fn folder(path: &Path) -> Result<(), Stopped> {
    match std::fs::create_dir(path) {
        Err(_) if path.is_dir() => Ok(()),
        made => made.map_err(|cause| Stopped::Output {
            path: path.display().to_string(),
            cause,
        }),
    }
}

/// Writes to a pipe or a device, which has no other state to keep.
fn write_into(path: &Path, text: &str) -> std::io::Result<()> {
    let mut there = std::fs::OpenOptions::new().write(true).open(path)?;
    there.write_all(text.as_bytes())?;
    there.flush()
}

/// Has the folder of a file remember its new name through a loss of power. A file system that cannot do
/// that for a folder has still written the file.
#[cfg(unix)]
fn settle_folder(path: &Path) -> std::io::Result<()> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    match std::fs::File::open(folder).and_then(|folder| folder.sync_all()) {
        Err(error) if error.kind() == std::io::ErrorKind::InvalidInput => Ok(()),
        // A folder that may be written but not read takes the file as any other does.
        Err(error) if error.kind() == std::io::ErrorKind::PermissionDenied => Ok(()),
        settled => settled,
    }
}

#[cfg(not(unix))]
fn settle_folder(_path: &Path) -> std::io::Result<()> {
    Ok(())
}

/// How many names are tried for the file beside.
const ATTEMPTS: u32 = 100;

/// A path as a screen may show it.
pub(super) fn shown(path: &Path) -> String {
    printable(&path.display().to_string())
}

/// Writes a new file that only its owner can read; gives back whether the name was free.
///
/// # Errors
/// [`Stopped::Output`] when it cannot be written.
pub(super) fn new_file(path: &Path, text: &str) -> Result<bool, Stopped> {
    match write_new(path, text) {
        Ok(()) => Ok(true),
        Err(cause) if cause.kind() == std::io::ErrorKind::AlreadyExists => Ok(false),
        Err(cause) => Err(Stopped::Output {
            path: path.display().to_string(),
            cause,
        }),
    }
}

fn write_new(path: &Path, text: &str) -> std::io::Result<()> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let mut file = options.open(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// Words for the person at the keyboard, on standard error, without a character that steers the screen.
///
/// # Errors
/// [`Stopped::Output`] when standard error is closed.
pub(super) fn message(text: &str) -> Result<(), Stopped> {
    let lines: Vec<String> = text.split('\n').map(printable).collect();
    let written = writeln!(std::io::stderr().lock(), "{}", lines.join("\n"));
    written.map_err(|cause| Stopped::Output {
        path: "standard error".into(),
        cause,
    })
}

/// Columns of text: as asked; else the terminal's own within 60 to 100; 80 when piped.
pub(super) fn width(common: &Common) -> usize {
    use std::io::IsTerminal;
    let own = std::io::stdout()
        .is_terminal()
        .then(terminal_size::terminal_size)
        .flatten();
    match (common.width, own) {
        (Some(asked), _) => usize::from(asked),
        (None, Some((terminal_size::Width(columns), _))) => usize::from(columns).clamp(60, 100),
        (None, None) => 80,
    }
}

/// The paper and the size of print asked for.
pub(super) fn print_of(common: &Common) -> Print {
    Print {
        large: common.large,
        letter: common.paper == Paper::Letter,
    }
}

/// A sheet in the form asked for. A sheet as JSON is its command's own: there is none here, and it is text.
pub(super) fn printed(document: &Document, library: &Library, common: &Common) -> String {
    match common.format {
        Format::Html => page_html::html(document, library, print_of(common)),
        Format::Markdown => page_markdown::markdown(document),
        Format::Csv => page_csv::csv(document),
        Format::Text | Format::Json => page_text::text(document, width(common)),
    }
}

/// JSON with a line for each value, and a line end.
///
/// # Errors
/// [`Stopped::Json`] for a value that JSON cannot hold.
pub(super) fn json<T: serde::Serialize>(value: &T) -> Result<String, Stopped> {
    Ok(serde_json::to_string_pretty(value)? + "\n")
}

/// Says that a command has no such form.
pub(super) fn no_such_form(command: &str, forms: &str) -> Stopped {
    Stopped::Usage(format!(
        "{command} can be written as {forms}. Choose one with --format."
    ))
}
