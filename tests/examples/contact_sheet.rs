//! Draws the figure of every posture on HTML pages of A4, large and at the size of a card, so that people can
//! look at them page by page.
//!
//! `contact_sheet FOLDER [LEVEL …]`: writes FOLDER/page-01.html and so on; levels (`standing`, `seated` …) choose.
//! `tests/outside/figures.sh` makes pictures of the pages.

use std::fmt::Write;
use std::path::Path;
use std::process::ExitCode;

use kindfold::library::Library;
use kindfold::library::posture::Posture;
use kindfold::sheets::figure::{Label, Size, figure};
use kindfold::words::Side;

const PER_PAGE: usize = 40;
const LARGE: Size = Size {
    width_mm: 34.0,
    height_mm: 22.0,
};
/// The least size of a figure on a sheet.
const SMALL: Size = Size {
    width_mm: 16.0,
    height_mm: 10.5,
};
const STYLE: &str = "@page{size:A4;margin:0}body{margin:6mm;font:8pt sans-serif}\
    main{display:grid;grid-template-columns:repeat(5,1fr);gap:2mm}\
    div{position:relative;height:33.6mm;overflow:hidden;border:.2mm solid #999;padding:.5mm;box-sizing:border-box}\
    span{position:absolute;right:.5mm;bottom:.5mm;width:21mm;text-align:right;font-size:6pt}\
    svg{display:block}";

fn main() -> ExitCode {
    match run() {
        Ok(told) => {
            println!("{told}");
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<String, String> {
    let mut words = std::env::args().skip(1);
    let folder = words
        .next()
        .ok_or("usage: contact_sheet FOLDER [LEVEL …]")?;
    let levels: Vec<String> = words.collect();
    let library = Library::built_in().map_err(|problems| problems.to_string())?;
    let mut postures: Vec<&Posture> = library
        .postures
        .values()
        .filter(|posture| !posture.is_part)
        .filter(|posture| levels.is_empty() || levels.contains(&posture.level.to_string()))
        .collect();
    postures.sort_by_key(|posture| (posture.level, posture.id.clone()));
    let mut undrawn = Vec::new();
    let pages = postures.chunks(PER_PAGE);
    let count = pages.len();
    for (index, page) in pages.enumerate() {
        let mut html = format!(
            "<!DOCTYPE html><meta charset=utf-8><title>Figures {}</title><style>{STYLE}</style><main>",
            index + 1
        );
        for posture in page {
            let side = if posture.is_sided() {
                Side::Right
            } else {
                Side::None
            };
            let draw = |size| figure(&library, posture, side, size, Label::Hidden);
            let (Some(large), Some(small)) = (draw(LARGE), draw(SMALL)) else {
                undrawn.push(posture.id.to_string());
                continue;
            };
            write!(html, "<div>{large}{small}<span>{}</span></div>", posture.id)
                .map_err(|fault| fault.to_string())?;
        }
        html.push_str("</main>");
        let path = Path::new(&folder).join(format!("page-{:02}.html", index + 1));
        std::fs::write(&path, html).map_err(|fault| format!("{}: {fault}", path.display()))?;
    }
    Ok(format!(
        "{} figures on {count} pages; without one: {}",
        postures.len() - undrawn.len(),
        if undrawn.is_empty() {
            "none".to_owned()
        } else {
            undrawn.join(", ")
        }
    ))
}
