use super::*;
use crate::geom::{Contour, Stroke, pt};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngAlgorithm, TestRng, TestRunner};

fn at(x: f64, y: f64) -> Way {
    Way { entry: pt(x, y), exit: pt(x, y) }
}

fn point() -> impl Strategy<Value = Point> {
    (0.0..1000.0f64, 0.0..700.0f64).prop_map(|(x, y)| pt(x, y))
}

/// A closed line with some gates, an open one with its two ways, or one whose exit lies elsewhere
/// than its entry with no way back.
fn ways() -> impl Strategy<Value = Vec<Way>> {
    let closed = prop::collection::vec(point(), 1..6);
    prop_oneof![
        closed.prop_map(|p| p.into_iter().map(|p| at(p.x, p.y)).collect()),
        (point(), point()).prop_map(|(a, b)| vec![Way { entry: a, exit: b }, Way { entry: b, exit: a }]),
        (point(), point()).prop_map(|(a, b)| vec![Way { entry: a, exit: b }]),
    ]
}

/// Lines with classes, and precedences that never run against the list's order, so that some order
/// exists.
fn items(most: usize, classes: u32) -> impl Strategy<Value = Vec<Stop>> {
    let one = (0..classes, ways(), prop::collection::vec(any::<prop::sample::Index>(), 0..3));
    prop::collection::vec(one, 1..most).prop_map(|drawn| {
        let class: Vec<u32> = drawn.iter().map(|d| d.0).collect();
        let item = |(i, (c, ways, after)): (usize, (u32, Vec<Way>, Vec<prop::sample::Index>))| {
            let after = after.into_iter().filter(|_| i > 0).map(|a| a.index(i)).filter(|a| class[*a] <= c).collect();
            Stop { class: c, after, ways }
        };
        drawn.into_iter().enumerate().map(item).collect()
    })
}

/// Up to nine closed lines begun on either of two sides.
fn search_items() -> impl Strategy<Value = Vec<Stop>> {
    let gates = (point(), 5.0..60.0f64).prop_map(|(p, half)| vec![at(p.x - half, p.y), at(p.x, p.y + half)]);
    let item = gates.prop_map(|ways| Stop { class: 0, after: Vec::new(), ways });
    prop::collection::vec(item, 1..10)
}

fn breaks_nothing(items: &[Stop], visits: &[Visit]) -> Result<(), TestCaseError> {
    let mut place = vec![usize::MAX; items.len()];
    for (k, v) in visits.iter().enumerate() {
        prop_assert_eq!(place[v.item], usize::MAX, "a line is visited twice");
        prop_assert!(v.way < items[v.item].ways.len());
        place[v.item] = k;
    }
    prop_assert_eq!(visits.len(), items.len());
    prop_assert!(visits.windows(2).all(|w| items[w[0].item].class <= items[w[1].item].class));
    for (i, item) in items.iter().enumerate() {
        prop_assert!(item.after.iter().all(|b| place[*b] < place[i]));
    }
    Ok(())
}

/// The least travel of all orders allowed, by trying every one.
fn least(items: &[Stop], done: &mut Vec<usize>, from: Point, park: Option<Point>) -> f64 {
    if done.len() == items.len() {
        return park.map_or(0.0, |p| from.distance(p));
    }
    let lowest = (0..items.len()).filter(|i| !done.contains(i)).map(|i| items[i].class).min();
    let mut best = f64::INFINITY;
    for i in 0..items.len() {
        if done.contains(&i) || Some(items[i].class) != lowest || !items[i].after.iter().all(|b| done.contains(b)) {
            continue;
        }
        done.push(i);
        for w in &items[i].ways {
            best = best.min(from.distance(w.entry) + least(items, done, w.exit, park));
        }
        done.pop();
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn classes_and_precedences_are_never_broken(items in items(70, 4), park in prop::option::of(point())) {
        let visits = order(&items, pt(0.0, 0.0), park).expect("an order exists");
        breaks_nothing(&items, &visits)?;
        prop_assert_eq!(&visits, &order(&items, pt(0.0, 0.0), park).expect("again"));
    }

    #[test]
    fn a_handful_of_lines_is_ordered_as_well_as_can_be(items in items(6, 2), park in prop::option::of(point())) {
        let visits = order(&items, pt(0.0, 0.0), park).expect("an order exists");
        breaks_nothing(&items, &visits)?;
        let best = least(&items, &mut Vec::new(), pt(0.0, 0.0), park);
        let found = travel(&items, &visits, pt(0.0, 0.0), park);
        prop_assert!((found - best).abs() <= 1e-6, "{found} found, {best} is possible");
    }
}

/// The local search alone, against the exact answer, over the same 3,000 sheets each time. A local
/// search may stop short of the best on any one sheet, so it is judged by all of them together.
#[test]
fn the_search_comes_near_the_best() {
    let mut dice =
        TestRunner::new_with_rng(ProptestConfig::default(), TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]));
    let start = pt(0.0, 0.0);
    let mut longer = Vec::new();
    for _ in 0..3000 {
        let (items, park) = (search_items(), point()).new_tree(&mut dice).expect("drawn").current();
        let visits = search::search(&items, start, Some(park)).expect("an order exists");
        breaks_nothing(&items, &visits).expect("the hard order is kept");
        let best = exact::exact(&items, start, Some(park)).expect("few enough").expect("an order exists");
        let (found, best) = (travel(&items, &visits, start, Some(park)), travel(&items, &best, start, Some(park)));
        assert!(found >= best - 1e-6, "{found} found, shorter than the best, {best}");
        longer.push(found / best - 1.0);
    }
    let short = longer.iter().filter(|l| **l > 1e-9).count();
    let (mean, worst) = (longer.iter().sum::<f64>() / longer.len() as f64, longer.iter().copied().fold(0.0, f64::max));
    let told = format!("{short} of {} short of the best, by {mean} on the whole, by {worst} at worst", longer.len());
    assert!(short <= 75 && mean <= 0.000_25 && worst <= 0.15, "{told}");
}

#[test]
fn lines_on_a_ring_are_visited_round_it() {
    // 40 points evenly on a circle, given in a scrambled order: the shortest tour is the polygon.
    let ring = |k: usize| Point::unit(k as f64 * std::f64::consts::TAU / 40.0) * 100.0;
    let items: Vec<Stop> = (1..40)
        .map(|k| k * 17 % 40)
        .map(|k| Stop { class: 0, after: Vec::new(), ways: vec![at(ring(k).x, ring(k).y)] })
        .collect();
    let visits = order(&items, ring(0), Some(ring(0))).expect("an order");
    let polygon = 40.0 * ring(0).distance(ring(1));
    assert!((travel(&items, &visits, ring(0), Some(ring(0))) - polygon).abs() < 1e-6);
}

#[test]
fn what_cannot_be_ordered_is_said() {
    let line = |class: u32, after: &[usize]| Stop { class, after: after.to_vec(), ways: vec![at(1.0, 1.0)] };
    let try_it = |items: &[Stop]| order(items, pt(0.0, 0.0), None);
    assert_eq!(try_it(&[line(0, &[1]), line(1, &[])]), Err(OrderError::Impossible(0)));
    assert_eq!(try_it(&[line(0, &[1]), line(0, &[0])]), Err(OrderError::Impossible(0)));
    assert_eq!(try_it(&[line(0, &[]), line(0, &[7])]), Err(OrderError::Impossible(1)));
    assert_eq!(try_it(&[Stop { ways: Vec::new(), ..line(0, &[]) }]), Err(OrderError::NoWay(0)));
    assert_eq!(try_it(&[]), Ok(Vec::new()));
}

#[test]
fn a_closed_line_is_begun_mid_edge_and_an_open_one_at_an_end() {
    let notched = Contour::polygon([pt(0.0, 0.0), pt(50.0, 0.0), pt(50.0, 2.0), pt(0.0, 30.0)]);
    let starts: Vec<Point> = ways_of(&Stroke::Closed(notched), 10.0).iter().map(|w| w.entry).collect();
    assert_eq!(starts, [pt(25.0, 0.0), pt(25.0, 16.0), pt(0.0, 15.0)]);
    let tiny = Contour::rectangle(pt(0.0, 0.0), pt(3.0, 2.0));
    assert_eq!(ways_of(&Stroke::Closed(tiny), 10.0).len(), 2);
    let open = crate::geom::Path::line(pt(0.0, 0.0), pt(5.0, 0.0));
    let both = ways_of(&Stroke::Open(open), 10.0);
    assert_eq!((both[0].entry, both[1].entry), (pt(0.0, 0.0), pt(5.0, 0.0)));
}
