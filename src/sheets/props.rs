//! The props sheet: for whoever lays out.
//!
//! Invariant: no name and no short name; what a confidential person uses beyond the class is not
//! counted here (their line on the own page says it), and a number so small that it points to
//! somebody is printed as "up to 3".

use std::collections::BTreeMap;

use super::page::{Block, Cell, Document, Group, Page, Table};
use super::reading::Reading;
use super::teacher::does_as_well;
use super::words::{capital, counted, lower, plural, prop_words};
use crate::adapted::{Adapted, Short, StudentPlan};
use crate::laying;
use crate::library::Library;
use crate::settings::Settings;
use crate::words::{Prop, PropCounts};

/// A count of people's props below this is not printed as it is.
const FEWEST: u32 = 3;

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
        blocks.push(Block::Line(match reading.goes_to_the_floor() {
            true => "This class needs no props but the mats.".to_owned(),
            false => "This class needs no props.".to_owned(),
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
                reading.fetched(&needs),
            ),
        );
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

    /// What each person uses of a prop at each step: as their path says, and with what a
    /// confidential person would use if they did as shown.
    fn uses(&self, prop: Prop) -> (Vec<Vec<u32>>, Vec<Vec<u32>>) {
        let of = |props: &PropCounts| props.get(&prop).copied().unwrap_or(0);
        let steps = self.adapted.steps.iter();
        if self.is_for_one() {
            let shown: Vec<Vec<u32>> = steps.map(|step| vec![of(&step.props)]).collect();
            return (shown.clone(), shown);
        }
        steps
            .map(|step| {
                let people = self.in_room().map(|student| {
                    let assignment = student.assignments.get(step.index - 1);
                    let told = assignment.map_or(0, |assignment| of(&assignment.props));
                    let shown = assignment.map_or(0, |_| of(&step.props));
                    (told, if student.confidential { shown } else { told })
                });
                people.unzip::<u32, u32, Vec<u32>, Vec<u32>>()
            })
            .unzip()
    }

    fn needs(&self) -> Vec<Need> {
        let mut needs = Vec::new();
        for (&prop, used) in &self.adapted.props {
            let most = |uses: &[Vec<u32>]| {
                let sums = uses.iter().map(|used| used.iter().sum::<u32>());
                sums.max().unwrap_or(0)
            };
            let (told, open) = self.uses(prop);
            // Where the class is shown as planned, what is used beyond the need is brought.
            let peak = self.adapted.steps.get(used.peak_step.saturating_sub(1));
            let brought = peak.filter(|peak| peak.lead.posture == peak.taught.posture);
            let brought = brought.map_or(0, |peak| {
                let theirs: u32 = told.get(peak.index - 1).map_or(0, |used| used.iter().sum());
                let teachers = peak.props.get(&prop).copied().unwrap_or(0);
                (theirs + teachers).saturating_sub(used.needed) / teachers.max(1)
            });
            let (told, open) = (most(&told), most(&open));
            let needed = (used.needed + open).saturating_sub(told);
            // On the way between two levels; a confidential person's is nobody's to see.
            let needed = needed.max(self.on_ways(prop));
            // What is planned never passes the stock.
            let needed = used
                .stock
                .map_or(needed, |stock| needed.min(stock.max(used.needed)));
            if needed > 0 {
                needs.push(Need {
                    prop,
                    needed,
                    stock: used.stock,
                    places: self.place_count().saturating_sub(brought).max(1),
                });
            }
        }
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

    /// The most of a prop at once at a step and on the ways to it.
    fn on_ways(&self, prop: Prop) -> u32 {
        let (_, open) = self.uses(prop);
        let steps = self.adapted.steps.iter().zip(&open);
        let at_once = steps.filter_map(|(step, open)| {
            let named = self.in_room().filter(|student| !student.confidential);
            let ways = named.filter_map(|one| one.brought_for_way(step.index).remove(&prop));
            let ways: u32 = ways.sum();
            let teachers = step.props.get(&prop).copied().unwrap_or(0);
            (ways > 0).then(|| open.iter().sum::<u32>() + teachers + ways)
        });
        at_once.max().unwrap_or(0)
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
            let short = self.short_of(need.prop);
            let needed = short.map_or(need.needed, |short| short.needed.max(need.needed));
            let there = need
                .stock
                .map_or_else(|| "as many as needed".to_owned(), |n| n.to_string());
            let rest = match (need.stock, short) {
                (Some(stock), Some(short)) if needed > stock => {
                    let other = short.others.iter().find(|other| other.step == short.step);
                    let instead = other.map_or_else(|| short.stand_in.clone(), does_as_well);
                    format!("{} short: {instead}", needed - stock)
                }
                (Some(stock), _) => match stock.saturating_sub(needed.max(FEWEST.min(stock))) {
                    0 => "none spare".to_owned(),
                    1 => "one spare".to_owned(),
                    spare => format!("{spare} spare"),
                },
                (None, _) => String::new(),
            };
            let (one, _) = prop_words(need.prop);
            rows.push(vec![
                Cell::strong(capital(one)),
                Cell::of(up_to(needed, need.stock)),
                Cell::of(there),
                Cell::of(rest),
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

    /// What is fetched that does not stand at the place already.
    fn fetched(&self, needs: &[Need]) -> Vec<Vec<Cell>> {
        let mut rows: BTreeMap<usize, (Vec<String>, Vec<&str>)> = BTreeMap::new();
        let lines: Vec<usize> = self.adapted.steps.iter().map(|step| step.line).collect();
        // A place at the wall is kept clear, not fetched.
        for need in needs.iter().filter(|need| need.prop != Prop::Wall) {
            let (_, uses) = self.uses(need.prop);
            // How many come is not known: there is enough at every place.
            let (each, stock) = match self.is_for_one() {
                true => (need.needed, None),
                false => (laying::shared(need.most(), need.places).0, need.stock),
            };
            for taken in laying::fetched(&lines, &uses, each, stock) {
                let row = rows.entry(taken.at + 1).or_default();
                let number = need
                    .stock
                    .map_or(taken.number, |stock| stock.min(taken.number));
                row.0.push(match self.is_for_one() {
                    true => format!("{} each", counted(number, need.prop)),
                    false => some(number, need.prop, need.stock),
                });
                row.1.push(if taken.again {
                    "leave by the mat"
                } else {
                    "put away"
                });
            }
        }
        rows.into_iter()
            .filter_map(|(index, (bring, mut then))| {
                let step = self.adapted.steps.get(index - 1)?;
                then.dedup();
                Some(vec![
                    Cell::strong(self.at(step.start_s)),
                    Cell::of(lower(&step.lead.name)),
                    Cell::of(bring.join(", ")),
                    Cell::of(then.join("; ")),
                ])
            })
            .collect()
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
