//! The base of support: the hull of points on the ground, its edges and width.

use nalgebra::Vector2;

type Point = Vector2<f64>;

/// An edge of the hull with the inside to its left.
pub(crate) struct Edge {
    /// Index of the first point.
    pub(crate) from: usize,
    /// Index of the second point.
    pub(crate) to: usize,
    start: Point,
    along: Point,
    /// Unit vector to the inside.
    pub(crate) normal: Point,
}

impl Edge {
    /// Distance of a point inside the edge; negative outside.
    pub(crate) fn inside(&self, point: &Point) -> f64 {
        self.normal.dot(&(point - self.start))
    }

    /// How far along the edge the point's foot lies: 0 at the first point, 1 at the second.
    pub(crate) fn share(&self, point: &Point) -> f64 {
        (point - self.start).dot(&self.along) / self.along.norm_squared()
    }
}

fn turn(a: &Point, b: &Point, c: &Point) -> f64 {
    (b - a).perp(&(c - a))
}

/// Indices of the hull's corners, left turns all the way round (monotone chain). Two for points in a line.
pub(crate) fn hull(points: &[Point]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|&a, &b| {
        points[a]
            .x
            .total_cmp(&points[b].x)
            .then(points[a].y.total_cmp(&points[b].y))
    });
    order.dedup_by(|a, b| (points[*a] - points[*b]).norm() < 1e-6);
    if order.len() < 3 {
        return order;
    }
    let half = |order: &mut dyn Iterator<Item = usize>| {
        let mut chain: Vec<usize> = Vec::new();
        for next in order {
            while let [.., a, b] = chain[..] {
                if turn(&points[a], &points[b], &points[next]) > 1e-9 {
                    break;
                }
                chain.pop();
            }
            chain.push(next);
        }
        chain.pop();
        chain
    };
    let mut corners = half(&mut order.iter().copied());
    corners.extend(half(&mut order.iter().rev().copied()));
    corners
}

/// The edges of a hull; a hull of two points has both its directions, one of one point none.
pub(crate) fn edges(points: &[Point], corners: &[usize]) -> Vec<Edge> {
    if corners.len() < 2 {
        return Vec::new();
    }
    (0..corners.len())
        .map(|i| {
            let (from, to) = (corners[i], corners[(i + 1) % corners.len()]);
            let along = points[to] - points[from];
            let normal = Point::new(-along.y, along.x) / along.norm().max(1e-9);
            Edge {
                from,
                to,
                start: points[from],
                along,
                normal,
            }
        })
        .collect()
}

/// The least width of a hull: the edge it is measured from and the corner it is measured to; none for a line.
pub(crate) fn width(points: &[Point], corners: &[usize]) -> Option<(Edge, usize)> {
    let reach = |edge: &Edge, corner: usize| edge.inside(&points[corner]);
    edges(points, corners)
        .into_iter()
        .filter_map(|edge| {
            let furthest = corners
                .iter()
                .copied()
                .max_by(|&a, &b| reach(&edge, a).total_cmp(&reach(&edge, b)))?;
            Some((edge, furthest))
        })
        .min_by(|(a, i), (b, j)| reach(a, *i).total_cmp(&reach(b, *j)))
        .filter(|(edge, corner)| reach(edge, *corner) > 1e-6)
}

/// How far a point lies inside the hull: the least distance to an edge, negative outside; none without a hull.
pub(crate) fn margin(points: &[Point], point: &Point) -> Option<f64> {
    edges(points, &hull(points))
        .iter()
        .map(|edge| edge.inside(point))
        .reduce(f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_with_a_point_inside() {
        let points: Vec<Point> = [(0.0, 0.0), (2.0, 0.0), (1.0, 0.5), (2.0, 1.0), (0.0, 1.0)]
            .iter()
            .map(|&(x, y)| Point::new(x, y))
            .collect();
        let corners = hull(&points);
        assert_eq!(corners, [0, 1, 3, 4]);
        let (edge, corner) = width(&points, &corners).expect("a square is wide");
        assert!((edge.inside(&points[corner]) - 1.0).abs() < 1e-12);
        assert!((margin(&points, &Point::new(1.0, 0.25)).expect("a hull") - 0.25).abs() < 1e-12);
        assert!(margin(&points, &Point::new(3.0, 0.5)).expect("a hull") < 0.0);
    }

    #[test]
    fn points_in_a_line_have_no_width() {
        let points = [
            Point::new(0.0, 0.0),
            Point::new(1.0, 1.0),
            Point::new(2.0, 2.0),
        ];
        let corners = hull(&points);
        assert_eq!(corners.len(), 2);
        assert!(width(&points, &corners).is_none());
    }
}
