//! The props sheet: for whoever lays out.
//!
//! Invariant: no name and no short name; the numbers are those of the teacher's sheet, but what a
//! confidential person uses beyond the class is not counted here (their line on the own page says it), and a
//! number so small that it points to somebody is printed as "up to 3".

use std::collections::BTreeMap;

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::reading::Reading;
use super::teacher::{does_as_well, who_bring};
use super::words::{capital, counted, lower, on_choice, plural, prop_words};
use crate::adapted::{Adapted, Fetch, Short, StudentPlan};
use crate::laying::{self, FEWEST};
use crate::library::Library;
use crate::settings::Settings;
use crate::words::Prop;

/// Puts the sheet together.
pub fn props(adapted: &Adapted, settings: &Settings, library: &Library) -> Document {
    let reading = Reading::new(adapted, settings, library);
    let mut blocks = vec![Block::Field(
        "Open the room at".to_owned(),
        settings
            .doors_open
            .map(|time| time.strftime("%H:%M").to_string()),
    )];
    let needs: Vec<Need> = reading.needs();
    if needs.is_empty() {
        let but = match reading.goes_to_the_floor() {
            true => " but the mats",
            false => "",
        };
        blocks.push(Block::Line(match reading.on_choice() {
            None => format!("This class needs no props{but}."),
            Some(choice) => format!("The plan needs no props{but}. Have ready {choice}."),
        }));
    } else {
        part(
            &mut blocks,
            "Carry in",
            table(
                "carry",
                &["What", "Needed", "There", "Short, and what stands in"],
                reading.carry(&needs),
            ),
        );
        part(
            &mut blocks,
            "What lies where",
            table("where", &["Place", "Lay down"], reading.places(&needs)),
        );
        part(
            &mut blocks,
            "Fetch and put away",
            table(
                "fetch",
                &["Clock", "For", "Bring", "Then"],
                reading.fetched(),
            ),
        );
    }
    let few = blocks.iter().any(|block| {
        let Block::Table(table) = block else {
            return false;
        };
        let mut cells = table.groups.iter().flat_map(|group| &group.rows).flatten();
        cells.any(|cell| cell.words().contains("up to "))
    });
    if few {
        let words = "“Up to” stands for so few that the teacher’s own sheet alone counts them.";
        blocks.push(Block::Line(words.to_owned()));
    }
    Document {
        title: adapted.class.title.clone(),
        kind: "props",
        style: "props",
        pages: vec![Page {
            title: "Props".to_owned(),
            when: format!("{}, {}", adapted.class.title, reading.when()),
            blocks,
        }],
    }
}

fn table(style: &'static str, heads: &[&'static str], rows: Vec<Vec<Cell>>) -> Table {
    Table {
        style,
        heads: heads.to_vec(),
        groups: vec![Group {
            rows,
            ..Group::default()
        }],
    }
}

fn part(blocks: &mut Vec<Block>, heading: &str, table: Table) {
    if table.groups.iter().any(|group| !group.rows.is_empty()) {
        blocks.push(Block::Heading(heading.to_owned()));
        blocks.push(Block::Table(table));
    }
}

/// How much of a prop the room needs.
struct Need {
    prop: Prop,
    /// The most in use at once, the teacher's included.
    needed: u32,
    stock: Option<u32>,
    /// Places at which it is laid out: the teacher's, and of everyone who brings none.
    places: u32,
}

impl Need {
    /// What there is of it, up to the need.
    fn most(&self) -> u32 {
        self.stock
            .map_or(self.needed, |stock| self.needed.min(stock))
    }
}

impl Reading<'_> {
    fn in_room(&self) -> impl Iterator<Item = &StudentPlan> {
        let students = self.adapted.students.iter();
        students.filter(|student| student.place == "room")
    }

    /// A version of the class, of which nobody knows how many come: everything is for one.
    fn is_for_one(&self) -> bool {
        self.adapted.students.is_empty()
    }

    /// Places to lay out: everyone's in the room, and the teacher's.
    fn place_count(&self) -> u32 {
        u32::try_from(self.in_room().count()).unwrap_or(0) + 1
    }

    /// What to lay by for choices that anyone may take, though nobody is planned on them.
    fn on_choice(&self) -> Option<String> {
        let props = self.adapted.on_choice().into_iter();
        on_choice(props.filter(|_| !self.is_for_one()))
    }

    fn needs(&self) -> Vec<Need> {
        let used = self.adapted.props.iter();
        let needs = used.map(|(&prop, used)| {
            let (needed, places) = match self.is_for_one() {
                true => (used.needed, 1),
                false => (used.laid.number, used.laid.places),
            };
            Need {
                prop,
                needed,
                stock: used.stock,
                places,
            }
        });
        let mut needs: Vec<Need> = needs.filter(|need| need.needed > 0).collect();
        if let Some(lain) = &self.adapted.foot_steps {
            match needs.iter_mut().find(|need| need.prop == lain.prop) {
                Some(need) => need.needed = need.needed.max(lain.together),
                None => needs.push(Need {
                    prop: lain.prop,
                    needed: lain.together,
                    stock: lain.stock,
                    places: self.place_count(),
                }),
            }
            needs.sort_by_key(|need| need.prop);
        }
        needs
    }

    /// Foot steps, and the chairs with arms to rise from: whose they are is not for this sheet.
    fn foot_steps(&self) -> Vec<String> {
        let Some(lain) = &self.adapted.foot_steps else {
            return Vec::new();
        };
        let steps = some(lain.number, lain.prop, lain.stock);
        let folded = if lain.prop == Prop::Blanket {
            " folded"
        } else {
            ""
        };
        let at = |step: usize| {
            let step = self.adapted.steps.get(step - 1);
            step.map_or_else(String::new, |step| self.at(step.start_s))
        };
        let away = lain
            .away
            .map_or_else(String::new, |step| format!("; away before {}", at(step)));
        let back = lain
            .back
            .map_or_else(String::new, |step| format!(", back at {}", at(step)));
        let arms = (lain.with_arms > 0).then(|| "for who rises by their arms".to_owned());
        let lain = format!("{steps}{folded} under feet that do not reach the floor{away}{back}");
        std::iter::once(lain).chain(arms).collect()
    }

    fn short_of(&self, prop: Prop) -> Option<&Short> {
        self.adapted.short.iter().find(|short| short.prop == prop)
    }

    fn carry(&self, needs: &[Need]) -> Vec<Vec<Cell>> {
        let mut rows = Vec::new();
        for need in needs {
            if self.is_for_one() {
                rows.push(for_one(need));
                continue;
            }
            let there = need
                .stock
                .map_or_else(|| "as many as needed".to_owned(), |n| n.to_string());
            let spare = need.stock.map(|stock| {
                match stock.saturating_sub(need.needed.max(FEWEST.min(stock))) {
                    0 => "none spare".to_owned(),
                    1 => "one spare".to_owned(),
                    spare => format!("{spare} spare"),
                }
            });
            // The plan has enough; what everyone would want beyond it is nothing to look for before class.
            let untouched = self.short_of(need.prop).map(|short| {
                let other = short.others.iter().find(|other| other.step == short.step);
                let instead = other.map_or_else(|| short.stand_in.clone(), does_as_well);
                let wanting = short.needed.saturating_sub(short.stock);
                let bring = who_bring(short);
                format!("{wanting} short if all did as taught{bring}: {instead}")
            });
            let rest: Vec<String> = spare.into_iter().chain(untouched).collect();
            let (one, _) = prop_words(need.prop);
            rows.push(vec![
                Cell::strong(capital(one)),
                Cell::of(up_to(need.needed, need.stock)),
                Cell::of(there),
                Cell::of(rest.join("; ")),
            ]);
        }
        rows
    }

    /// The same at every place first; what is left stands along the wall, for anyone.
    fn places(&self, needs: &[Need]) -> Vec<Vec<Cell>> {
        let places = self.place_count();
        let (mut each, mut wall, mut clear) = (Vec::new(), Vec::new(), None);
        let foot_steps = self.adapted.foot_steps.as_ref();
        for need in needs {
            // Foot steps have a line of their own.
            let lain = foot_steps.filter(|lain| lain.prop == need.prop);
            let most = need
                .most()
                .saturating_sub(lain.map_or(0, |lain| lain.number));
            if self.is_for_one() && need.prop != Prop::Wall {
                each.push(counted(need.needed, need.prop));
                continue;
            }
            if self.is_for_one() {
                clear = Some("keep a place clear for everyone, one metre each".to_owned());
                continue;
            }
            if need.prop == Prop::Wall {
                let offered = self.short_of(need.prop);
                let number = up_to(offered.map_or(most, |short| short.stock), need.stock);
                let noun = if number == "1" { "place" } else { "places" };
                clear = Some(format!("keep {number} {noun} clear, one metre each"));
                continue;
            }
            let (share, rest) = laying::shared(most, need.places);
            if share > 0 && need.places < places {
                let all = share * need.places;
                each.push(format!("{}, {all} in all", counted(share, need.prop)));
            } else if share > 0 {
                each.push(counted(share, need.prop));
            }
            if rest > 0 {
                wall.push(some(rest, need.prop, need.stock));
            }
        }
        let mut rows = Vec::new();
        if !each.is_empty() {
            let places = usize::try_from(places).unwrap_or(0);
            let place = match (self.is_for_one(), self.goes_to_the_floor()) {
                (true, _) => "Every place".to_owned(),
                (false, true) => format!("Every place, {}", plural(places, "mat", "mats")),
                (false, false) => format!("Every place, {places} in all"),
            };
            rows.push(vec![
                Cell::strong(format!("{place}, yours too")),
                Cell::of(each.join(", ")),
            ]);
        }
        if !wall.is_empty() {
            let text = format!("{}, for anyone", wall.join(", "));
            rows.push(vec![Cell::strong("Along the wall"), Cell::of(text)]);
        }
        if let Some(clear) = clear {
            rows.push(vec![Cell::strong("At the wall"), Cell::of(clear)]);
        }
        if let Some(choice) = self.on_choice() {
            rows.push(vec![Cell::strong("Ready"), Cell::of(choice)]);
        }
        for (place, words) in ["At a chair", "Chairs with arms"]
            .into_iter()
            .zip(self.foot_steps())
        {
            rows.push(vec![Cell::strong(place), Cell::of(words)]);
        }
        if self
            .adapted
            .students
            .iter()
            .any(|student| student.place == "video")
        {
            rows.push(vec![
                Cell::strong("Video, to have by you"),
                Cell::of(self.at_home()),
            ]);
        }
        rows
    }

    /// Whatever the class or one of its open choices uses.
    fn at_home(&self) -> String {
        let mut used: Vec<Prop> = Vec::new();
        for step in &self.adapted.steps {
            let open = step.options.iter().filter(|option| option.for_anyone);
            let props = open.flat_map(|option| option.props.keys());
            used.extend(step.props.keys().chain(props));
        }
        used.push(Prop::Chair);
        used.sort();
        used.dedup();
        household(&used)
    }

    /// What is fetched that does not stand at the place already, and what is brought for ways between levels:
    /// what stays by the mat in a row of its own, what is put away in another. In a version of which nobody
    /// knows how many come there is enough at every place.
    fn fetched(&self) -> Vec<Vec<Cell>> {
        let mut rows: BTreeMap<(usize, Then), Vec<String>> = BTreeMap::new();
        let shared = self.adapted.fetch.iter().filter(|_| !self.is_for_one());
        for fetch in shared.filter(|fetch| fetch.number > 0) {
            let then = match fetch.then.as_str() {
                "keep it by you" => Then::Leave,
                _ => Then::PutAway,
            };
            let words = format!(
                "{}{}{}",
                some(fetch.number, fetch.prop, self.stock(fetch.prop)),
                if fetch.yours { ", yours too" } else { "" },
                from_others(fetch),
            );
            rows.entry((fetch.step, then)).or_default().push(words);
        }
        for step in &self.adapted.steps {
            let named = self.in_room().filter(|student| !student.confidential);
            let brought = named.flat_map(|student| student.brought_for_way(step.index));
            let mut ways: BTreeMap<Prop, u32> = BTreeMap::new();
            // A place at the wall is kept clear, not fetched.
            for (prop, number) in brought.filter(|(prop, _)| *prop != Prop::Wall) {
                *ways.entry(prop).or_insert(0) += number;
            }
            for (prop, number) in ways {
                let words = some(number, prop, self.stock(prop));
                let row = rows.entry((step.index, Then::Leave)).or_default();
                row.push(format!("{words} more, for the way"));
            }
        }
        rows.into_iter()
            .filter_map(|((index, then), bring)| {
                let step = self.adapted.steps.get(index - 1)?;
                Some(vec![
                    Cell::strong(self.at(step.start_s)),
                    Cell::of(lower(&step.lead.name)),
                    Cell::of(bring.join("; ")),
                    Cell::of(then.words()),
                ])
            })
            .collect()
    }

    fn stock(&self, prop: Prop) -> Option<u32> {
        let used = self.adapted.props.get(&prop);
        used.and_then(|used| used.stock)
    }
}

/// Where props come from when none is left along the wall.
fn from_others(fetch: &Fetch) -> &'static str {
    match (fetch.spared, fetch.number) {
        (0, _) => "",
        (1, 1) => ", from another place",
        (some, all) if some < all => ", some from other places",
        _ => ", from other places",
    }
}

/// What becomes of what was fetched.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Then {
    /// It is used again.
    Leave,
    /// It is not.
    PutAway,
}

impl Then {
    const fn words(self) -> &'static str {
        match self {
            Self::Leave => "leave by the mat",
            Self::PutAway => "put away",
        }
    }
}

/// What stands for props at home, each once.
pub(super) fn household(props: &[Prop]) -> String {
    let words = props.iter().map(|&prop| match prop {
        Prop::Chair | Prop::ChairWithArms => "a steady chair without wheels",
        Prop::Blanket => "a blanket or towel",
        Prop::Strap => "a dressing-gown cord or belt",
        Prop::Block => "two thick books",
        Prop::Bolster => "a sofa cushion",
        Prop::Wall => "a clear wall",
        other => prop_words(other).0,
    });
    words.collect::<Vec<_>>().join(", ")
}

/// What everyone needs of a prop, where nobody knows how many come.
fn for_one(need: &Need) -> Vec<Cell> {
    let there = need
        .stock
        .map_or_else(|| "as many as needed".to_owned(), |n| n.to_string());
    let reaches = need.stock.map_or_else(String::new, |stock| {
        let people = usize::try_from(stock / need.needed.max(1)).unwrap_or(0);
        let people = plural(people, "person", "people");
        format!("enough for {people}, you among them")
    });
    vec![
        Cell::strong(capital(prop_words(need.prop).0)),
        Cell::of(format!("{} each", need.needed)),
        Cell::of(there),
        Cell::of(reaches),
    ]
}

/// A number that does not point to one or two people, where there is more to carry.
fn up_to(number: u32, stock: Option<u32>) -> String {
    let most = stock.map_or(FEWEST, |stock| FEWEST.min(stock));
    if number < FEWEST && number < most {
        format!("up to {most}")
    } else {
        number.to_string()
    }
}

fn some(number: u32, prop: Prop, stock: Option<u32>) -> String {
    let (one, many) = prop_words(prop);
    match up_to(number, stock).as_str() {
        "1" => format!("1 {one}"),
        number => format!("{number} {many}"),
    }
}
