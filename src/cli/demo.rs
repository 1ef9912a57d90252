//! `kindfold demo`: the main job on the built-in class and room.

use super::args::{Common, Format, SheetName};
use super::meant::{Inputs, library};
use super::{Ended, Stopped, adapt, output};
use crate::group::solve::Limit;
use crate::input;
use crate::problem::Problems;

const CLASS: &str = include_str!("../../data/demo/class.yaml");
const ROSTER: &str = include_str!("../../data/demo/roster.yaml");
const PROPS: &str = include_str!("../../data/demo/props.yaml");

pub(super) fn run(common: &Common) -> Result<Ended, Stopped> {
    let library = library(common)?;
    let source = |name: &str, text: &str| {
        input::text::Source::from_bytes(name, text.as_bytes()).map_err(|problem| vec![problem])
    };
    let found = |problems| {
        let mut all = Problems::default();
        all.extend(problems);
        Stopped::Problems(all)
    };
    let class = source("demo/class.yaml", CLASS)
        .and_then(|source| input::class::read(source, &library))
        .map_err(found)?;
    let roster = source("demo/roster.yaml", ROSTER)
        .and_then(|source| input::roster::read(source, &library))
        .map_err(found)?;
    let stock = source("demo/props.yaml", PROPS)
        .and_then(input::props::read)
        .map_err(found)?;
    let date = class.date.unwrap_or(jiff::civil::date(2026, 12, 3));
    let inputs = Inputs {
        library,
        class,
        asks: Vec::new(),
        unread: Vec::new(),
        wrong: Vec::new(),
        roster,
        stock,
        settings: crate::settings::Settings::default(),
        date,
        date_is_today: false,
        max_options: 3,
        limit: Limit::default(),
    };
    let outcome = crate::adapt::adapt(&inputs.task(), &mut |_| {})?;
    output::result(
        &adapt::print(&outcome.adapted, &inputs, SheetName::Teacher, None, common)?,
        common,
    )?;
    if common.format == Format::Text && common.output.is_none() {
        output::message(
            "\nThe people and the class are invented. Your own: kindfold adapt --help",
        )?;
    }
    Ok(Ended::Done)
}
