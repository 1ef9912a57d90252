//! How somebody gets from one level to another alone.

use std::collections::BTreeMap;

use petgraph::algo::dijkstra;
use petgraph::graph::{DiGraph, NodeIndex};

use super::choose::Way;
use crate::judge::facts::Person;
use crate::judge::verdict::bars;
use crate::library::Library;
use crate::library::graph::Link;
use crate::words::Level;

/// What one more way up or down costs: alone and unwatched, the fewer the better. Common practice, no
/// source.
const LEVEL_COST: u32 = 8;

/// The quickest ways between levels that a person may take, over others where need be.
pub(super) struct Ways {
    graph: DiGraph<(), u32>,
    nodes: BTreeMap<Level, NodeIndex>,
}

impl Ways {
    /// The ways that none of their rules keeps them from as they are: nobody is there to say how else.
    pub(super) fn new(person: &Person<'_>, library: &Library) -> Self {
        let mut graph = DiGraph::new();
        let nodes: BTreeMap<Level, NodeIndex> = Level::ALL
            .iter()
            .map(|&level| (level, graph.add_node(())))
            .collect();
        let links = library.links.values();
        let open = |link: &&Link| !person.rules.iter().any(|rule| bars(rule, link));
        for link in links.filter(open) {
            for from in &link.from {
                for to in &link.to {
                    graph.add_edge(nodes[from], nodes[to], link.seconds);
                }
            }
        }
        Self { graph, nodes }
    }

    /// The quickest way; none: there is none.
    pub(super) fn between(&self, from: Level, to: Level) -> Option<Way> {
        let (start, end) = (self.nodes[&from], self.nodes[&to]);
        let reached = dijkstra(&self.graph, start, Some(end), |edge| *edge.weight());
        let on_the_feet = |level: Level| matches!(level, Level::Standing | Level::Wall);
        let same = from == to || (on_the_feet(from) && on_the_feet(to));
        Some(Way {
            cost: if same { 0 } else { LEVEL_COST },
            seconds: *reached.get(&end)?,
        })
    }
}
