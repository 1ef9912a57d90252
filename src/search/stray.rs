//! How far a shape lies from the taught one: shortest paths over the alternatives.
//!
//! Takes the library's edges; gives for a posture every other one within reach. Invariant: edges
//! that are `stronger` are never walked.

use std::collections::BTreeMap;

use petgraph::graph::{DiGraph, NodeIndex};

use crate::library::Library;
use crate::words::{PostureId, Way};

/// A posture, and whether the side that leads has swapped on the way to it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The posture.
    pub posture: PostureId,
    /// The other side leads.
    pub swapped: bool,
}

/// The graph of alternatives, each posture twice: as it leads, and swapped.
#[derive(Debug)]
pub struct Alternatives {
    graph: DiGraph<Place, u32>,
    nodes: BTreeMap<Place, NodeIndex>,
}

/// A posture within reach.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reached {
    /// Which one.
    pub place: Place,
    /// How far it lies.
    pub distance: u32,
}

impl Alternatives {
    /// Builds the graph from the library's edges.
    pub fn new(library: &Library) -> Self {
        let mut graph = DiGraph::new();
        let mut nodes = BTreeMap::new();
        for id in library.postures.keys() {
            for swapped in [false, true] {
                let place = Place {
                    posture: id.clone(),
                    swapped,
                };
                nodes.insert(place.clone(), graph.add_node(place));
            }
        }
        let edges = library.alternatives.values().flatten();
        for edge in edges.filter(|edge| edge.way != Way::Stronger) {
            for swapped in [false, true] {
                let from = Place {
                    posture: edge.from.clone(),
                    swapped,
                };
                let to = Place {
                    posture: edge.to.clone(),
                    swapped: swapped != edge.swaps_side,
                };
                if let (Some(&from), Some(&to)) = (nodes.get(&from), nodes.get(&to)) {
                    graph.add_edge(from, to, edge.cost);
                }
            }
        }
        Self { graph, nodes }
    }

    /// Everything within `reach` of a posture, nearest first, then by id; the posture itself first.
    pub fn within(&self, from: &PostureId, reach: u32) -> Vec<Reached> {
        let start = Place {
            posture: from.clone(),
            swapped: false,
        };
        let Some(&start) = self.nodes.get(&start) else {
            return Vec::new();
        };
        let distances = petgraph::algo::dijkstra(&self.graph, start, None, |edge| *edge.weight());
        let mut reached: Vec<Reached> = distances
            .into_iter()
            .filter(|&(_, distance)| distance <= reach)
            .map(|(node, distance)| Reached {
                place: self.graph[node].clone(),
                distance,
            })
            .collect();
        reached.sort_by(|a, b| (a.distance, &a.place).cmp(&(b.distance, &b.place)));
        reached
    }
}
