//! Marks along a line that stand too close are moved apart.

/// Places for marks that want to stand at `wanted`, ascending, none nearer to the next than `apart` and all of
/// them between `low` and `high`: the sum of the squares of their ways is the least. Where the room does not hold
/// them they run over `high`.
///
/// With `k apart` taken off the k-th place they need only ascend; that is a least-squares fit by an ascending
/// sequence, found by pooling neighbours that do not (pool adjacent violators: Ayer et al. 1955), and
/// cutting it off at both ends keeps it the best one.
pub(super) fn spread(wanted: &[f64], apart: f64, low: f64, high: f64) -> Vec<f64> {
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (k, w) in wanted.iter().enumerate() {
        pools.push((w - k as f64 * apart, 1));
        while let [.., (a, n), (b, m)] = pools.as_slice()
            && a > b
        {
            let (n, m) = (*n, *m);
            let mean = (a * n as f64 + b * m as f64) / (n + m) as f64;
            pools.truncate(pools.len() - 2);
            pools.push((mean, n + m));
        }
    }
    let last = (high - wanted.len().saturating_sub(1) as f64 * apart).max(low);
    let flat = pools.into_iter().flat_map(|(at, n)| std::iter::repeat_n(at.clamp(low, last), n));
    flat.enumerate().map(|(k, at)| at + k as f64 * apart).collect()
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn marks_with_room_stay_and_others_give_way_alike() {
        assert_eq!(spread(&[0.0, 10.0, 20.0], 3.0, 0.0, 20.0), [0.0, 10.0, 20.0]);
        // Two at one place go half a step to each side; at an end of the room all the way inwards.
        assert_eq!(spread(&[10.0, 10.0], 3.0, 0.0, 20.0), [8.5, 11.5]);
        assert_eq!(spread(&[0.0, 0.5, 20.0, 20.0], 3.0, 0.0, 20.0), [0.0, 3.0, 17.0, 20.0]);
        assert_eq!(spread(&[], 3.0, 0.0, 20.0), Vec::<f64>::new());
    }

    /// Independent of the method: no small change that keeps the rules makes the sum of squares less.
    #[test]
    fn no_other_places_are_nearer() {
        let wanted = [1.0, 1.5, 1.7, 6.0, 9.0, 9.1, 15.0, 15.2, 15.3, 15.4];
        let (apart, low, high) = (1.2, 0.0, 16.0);
        let best = spread(&wanted, apart, low, high);
        let holds = |p: &[f64]| {
            p.windows(2).all(|w| w[1] - w[0] >= apart - 1e-9)
                && p.first().is_some_and(|v| *v >= low - 1e-9)
                && p.last().is_some_and(|v| *v <= high + 1e-9)
        };
        let cost = |p: &[f64]| p.iter().zip(&wanted).map(|(a, b)| (a - b) * (a - b)).sum::<f64>();
        assert!(holds(&best), "{best:?}");
        for from in 0..wanted.len() {
            for to in from..wanted.len() {
                for by in [-0.05, 0.05] {
                    let mut other = best.clone();
                    other[from..=to].iter_mut().for_each(|v| *v += by);
                    assert!(!holds(&other) || cost(&other) > cost(&best), "{from} to {to} by {by}");
                }
            }
        }
    }
}
