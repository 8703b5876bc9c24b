//! Many rectangles, so that those that touch a place are found without asking all.

use crate::geom::{Bounds, Point};

/// Rectangles halved again and again along their longer side: as much memory as there are
/// rectangles, and a question costs what it finds.
#[derive(Clone, Debug, Default)]
pub struct Boxes {
    bounds: Vec<Bounds>,
    /// The rectangles' places, those of a node side by side.
    order: Vec<u32>,
    nodes: Vec<Node>,
}

#[derive(Clone, Copy, Debug)]
struct Node {
    bounds: Bounds,
    from: u32,
    to: u32,
    /// The second half's node; the first half's follows its parent. 0 for a leaf.
    second: u32,
}

/// So many rectangles are asked one by one.
const LEAF: usize = 8;

impl Boxes {
    /// Of these; empty ones are never found.
    pub fn new(bounds: Vec<Bounds>) -> Self {
        let is_finite = |b: &Bounds| [b.min.x, b.min.y, b.max.x, b.max.y].iter().all(|v| v.is_finite());
        let order = (0u32..).zip(&bounds).filter(|(_, b)| is_finite(b)).map(|(i, _)| i).collect();
        let mut boxes = Self { bounds, order, nodes: Vec::new() };
        let n = boxes.order.len();
        boxes.halve(0, n);
        boxes
    }

    fn halve(&mut self, from: usize, to: usize) -> usize {
        let at = self.nodes.len();
        let all = self.order[from..to].iter().fold(Bounds::EMPTY, |b, i| b.union(self.bounds[*i as usize]));
        self.nodes.push(Node { bounds: all, from: from as u32, to: to as u32, second: 0 });
        if to - from > LEAF {
            let wide = all.width() > all.height();
            let middle = |i: &u32| {
                let b = self.bounds[*i as usize];
                if wide { b.min.x + b.max.x } else { b.min.y + b.max.y }
            };
            let half = (to - from) / 2;
            self.order[from..to].select_nth_unstable_by(half, |a, b| middle(a).total_cmp(&middle(b)).then(a.cmp(b)));
            self.halve(from, from + half);
            let second = self.halve(from + half, to);
            self.nodes[at].second = second as u32;
        }
        at
    }

    /// The places of those that touch `b`, in their order.
    pub fn touching(&self, b: Bounds) -> Vec<usize> {
        let touches = |o: Bounds| o.min.x <= b.max.x && b.min.x <= o.max.x && o.min.y <= b.max.y && b.min.y <= o.max.y;
        let mut found = Vec::new();
        let mut open = vec![0usize];
        while let Some(at) = open.pop() {
            let Some(node) = self.nodes.get(at).filter(|n| touches(n.bounds)) else { continue };
            if node.second == 0 {
                let of_it = &self.order[node.from as usize..node.to as usize];
                found.extend(of_it.iter().map(|i| *i as usize).filter(|i| touches(self.bounds[*i])));
            } else {
                open.extend([node.second as usize, at + 1]);
            }
        }
        found.sort_unstable();
        found
    }

    /// The same for a point.
    pub fn at(&self, p: Point) -> Vec<usize> {
        self.touching(Bounds { min: p, max: p })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_found_is_what_asking_all_finds(
            boxes in prop::collection::vec((0.0..100.0f64, 0.0..100.0f64, 0.0..30.0f64, 0.0..30.0f64), 0..80),
            asked in (0.0..100.0f64, 0.0..100.0f64, 0.0..20.0f64, 0.0..20.0f64),
        ) {
            let of = |(x, y, w, h): (f64, f64, f64, f64)| Bounds { min: pt(x, y), max: pt(x + w, y + h) };
            let all: Vec<Bounds> = boxes.into_iter().map(of).collect();
            let asked = of(asked);
            let plain: Vec<usize> = (0..all.len()).filter(|i| all[*i].overlaps(asked, 0.0)).collect();
            prop_assert_eq!(Boxes::new(all).touching(asked), plain);
        }
    }

    #[test]
    fn none_and_empty_ones_are_never_found() {
        assert!(Boxes::default().at(pt(0.0, 0.0)).is_empty());
        assert!(Boxes::new(vec![Bounds::EMPTY]).at(pt(0.0, 0.0)).is_empty());
        let alike = vec![Bounds { min: pt(0.0, 0.0), max: pt(1.0, 1.0) }; 1000];
        assert_eq!(Boxes::new(alike).at(pt(1.0, 0.5)).len(), 1000);
    }
}
