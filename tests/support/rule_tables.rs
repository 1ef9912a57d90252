//! The rules of a library in the words of the trade's tables, one line each, beside the tables themselves
//! (`tests/outside/rules.txt`, `demands.txt`, `budgets.txt`).

use std::collections::BTreeMap;
use std::fmt::Write as _;

use kindfold::library::Library;
use kindfold::library::condition::Condition;
use kindfold::library::rule::{Limit, Limitation, Rule, RuleSide, Whom, Window};
use kindfold::roster::Approach;
use kindfold::words::{Severity, Strength, Verdict};

/// Every line in which a library and the tables differ: `- ` only in a table, `+ ` only in the library.
pub(crate) fn differences(library: &Library) -> Vec<String> {
    let mut left: BTreeMap<String, i32> = BTreeMap::new();
    for line in written() {
        *left.entry(line).or_default() += 1;
    }
    let said = library.limitations.values().filter(|limitation| {
        // Needs are made by the program from the demands: the table states one rule for all of them.
        !limitation.id.as_str().starts_with("no-")
    });
    let said = said.flat_map(|limitation| {
        limitation
            .rules
            .iter()
            .map(|rule| rule_line(library, limitation, rule))
    });
    for line in said
        .chain(demand_lines(library))
        .chain(budget_lines(library))
    {
        *left.entry(line).or_default() -= 1;
    }
    let told = |(line, count): (String, i32)| match count {
        0 => None,
        more if more > 0 => Some(format!("- {line}")),
        _ => Some(format!("+ {line}")),
    };
    left.into_iter().filter_map(told).collect()
}

/// The lines of the tables, each with what it is about before it.
fn written() -> Vec<String> {
    let mut lines = Vec::new();
    let mut about = "";
    for line in rows(include_str!("../outside/rules.txt")) {
        if let Some(heading) = line.strip_prefix('[') {
            about = heading.trim_end_matches(']');
            continue;
        }
        let (asked, rest) = line.split_once(" | ").expect("a line has columns");
        let each = asked.split("; ");
        lines.extend(each.map(|asked| format!("{about}: {asked} | {rest}")));
    }
    let demands = rows(include_str!("../outside/demands.txt"));
    lines.extend(demands.map(|line| format!("demand {line}")));
    let budgets = rows(include_str!("../outside/budgets.txt"));
    lines.extend(budgets.map(|line| format!("budget {line}")));
    lines
}

fn rows(text: &'static str) -> impl Iterator<Item = &'static str> {
    text.lines()
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
}

fn rule_line(library: &Library, limitation: &Limitation, rule: &Rule) -> String {
    let demand = &library.demands[&rule.demand];
    let mut line = format!("{}: {}", limitation.id, rule.demand);
    match (rule.grade, &rule.when) {
        (Some(grade), when) => {
            let base = demand.condition(grade);
            let joined = match when {
                when if when == base => None,
                Condition::All(parts) if parts.first() == Some(base) => parts.get(1),
                other => Some(other),
            };
            write!(line, " {}", grade.as_str()).expect("it is text");
            if let Some(joined) = joined {
                write!(line, " & {}", words(joined)).expect("it is text");
            }
        }
        (None, when) => write!(line, ": {}", words(when)).expect("it is text"),
    }
    let side = match (limitation.sided && rule.when.is_sided(), rule.side) {
        (false, RuleSide::Same | RuleSide::Either) => '-',
        (true, RuleSide::Same) => 's',
        (true, RuleSide::Either) => 'e',
        (_, RuleSide::Opposite) => 'o',
    };
    let strength = match rule.strength {
        Strength::Guideline => 'G',
        Strength::Study => 'S',
        Strength::CommonPractice => 'C',
        Strength::Disputed => 'D',
        Strength::OwnWord => 'O',
        Strength::Clinician => 'T',
    };
    let verdicts = triple(&rule.verdicts);
    write!(line, " | {verdicts} | {side} | {strength}").expect("it is text");
    let more = more(rule);
    if !more.is_empty() {
        write!(line, " | {}", more.join(", ")).expect("it is text");
    }
    line
}

/// What a rule holds for, beyond its condition.
fn more(rule: &Rule) -> Vec<String> {
    let approaches = rule.approaches.iter().map(|approach| match approach {
        Approach::Anterior => "anterior".to_owned(),
        Approach::Posterior => "posterior".to_owned(),
        Approach::Lateral => "lateral".to_owned(),
        Approach::NotKnown => "not-known".to_owned(),
    });
    let approaches = approaches.collect();
    let mut more = weeks(&rule.window);
    let lists = [
        ("kind", &rule.kinds),
        ("not kind", &rule.not_kinds),
        ("site", &rule.sites),
        ("approach", &approaches),
    ];
    for (word, list) in lists {
        if !list.is_empty() {
            more.push(format!("{word} {}", list.join(" ")));
        }
    }
    if let Some(stance) = &rule.stance {
        for (option, verdicts) in &stance.options {
            let verdicts = if verdicts.is_empty() {
                "off".to_owned()
            } else {
                triple(verdicts)
            };
            more.push(format!("{} {option} {verdicts}", stance.stance));
        }
    }
    if rule.silent {
        more.push("silent".to_owned());
    }
    if rule.whole_class {
        more.push("whole class".to_owned());
    }
    more
}

fn weeks(window: &Window) -> Vec<String> {
    let week = |days: i64| format!("{}+{}", days / 7, days % 7);
    let mut line = Vec::new();
    if let Some(from) = window.from_days {
        line.push(format!("from {}", week(from)));
    }
    if let Some(to) = window.to_days {
        line.push(format!("to {}", week(to)));
    }
    if let Some(stance) = &window.stance {
        line.push(format!("as {stance}"));
    }
    let line = line.join(" ");
    let word = window.until_word.then(|| "until a word".to_owned());
    (!line.is_empty())
        .then_some(line)
        .into_iter()
        .chain(word)
        .collect()
}

fn triple(verdicts: &BTreeMap<Severity, Verdict>) -> String {
    let letters: Vec<&str> = [Severity::Mild, Severity::Moderate, Severity::Acute]
        .iter()
        .map(|severity| match verdicts.get(severity) {
            None => ".",
            Some(Verdict::Avoid) => "A",
            Some(Verdict::Ease) => "E",
            Some(Verdict::Watch) => "W",
            Some(Verdict::AskFirst) => "Q",
        })
        .collect();
    match letters.as_slice() {
        [mild, moderate, acute] if mild == moderate && moderate == acute => (*mild).to_owned(),
        _ => letters.join("/"),
    }
}

/// A condition in the words in which files write it, with `&`, `or` and brackets between.
fn words(condition: &Condition) -> String {
    let each = |parts: &[Condition]| parts.iter().map(words).collect::<Vec<_>>();
    match condition {
        Condition::Compare {
            quantity,
            comparison,
            limit,
        } => format!("{} {} {limit}", quantity.as_str(), comparison.as_str())
            .replace("single_leg >= 1", "single_leg"),
        Condition::LevelIs(levels) => {
            let levels: Vec<&str> = levels.iter().map(|level| level.as_str()).collect();
            format!("level is {}", levels.join(" or "))
        }
        Condition::Fact(fact) => fact.as_str().to_owned(),
        Condition::Demand { demand, grade, .. } => format!("{demand} {}", grade.as_str()),
        Condition::All(parts) => each(parts).join(" & "),
        Condition::Any(parts) => format!("({})", each(parts).join(" or ")),
        Condition::Not(part) => match &**part {
            Condition::LevelIs(_) => words(part).replacen("level is", "level is not", 1),
            _ => format!("not {}", words(part)),
        },
    }
}

fn demand_lines(library: &Library) -> impl Iterator<Item = String> {
    library.demands.values().map(|demand| {
        let (some, much) = (words(&demand.some), words(&demand.much));
        format!("demand {} | {some} | {much}", demand.id)
    })
}

fn budget_lines(library: &Library) -> Vec<String> {
    let budgets = &library.budgets;
    let mut lines = Vec::new();
    for (of, limit) in &budgets.house {
        lines.push(format!("budget {of} | the house | {}", lasting(*limit)));
    }
    let padded = budgets.house_kneeling_padded_s;
    lines.push(format!(
        "budget kneeling | the house, padded | {padded} / -"
    ));
    lines.push(format!(
        "budget trips down | the house | {}",
        budgets.house_trips
    ));
    for budget in &budgets.personal {
        let limit = lasting(budget.limit);
        lines.push(whom_line(budget.of.as_str(), &budget.whom, &limit));
    }
    for whom in &budgets.trips_for {
        let most = budgets.personal_trips.to_string();
        lines.push(whom_line("trips down", whom, &most));
    }
    lines
}

fn whom_line(what: &str, whom: &Whom, limit: &str) -> String {
    let severities = whom.severities.iter();
    let severities: String = severities.map(|severity| format!(" {severity}")).collect();
    let mut line = format!("budget {what} | {}{severities} | {limit}", whom.limitation);
    for weeks in weeks(&whom.window) {
        write!(line, " | {weeks}").expect("it is text");
    }
    line
}

/// Seconds of a run, minutes of a class.
fn lasting(limit: Limit) -> String {
    let told = |number: Option<f64>| number.map_or("-".to_owned(), |number| number.to_string());
    let run = told(limit.bout_s.map(f64::from));
    let class = told(limit.class_s.map(|seconds| f64::from(seconds) / 60.0));
    format!("{run} / {class}")
}
