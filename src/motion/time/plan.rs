//! Speeds along a chain of blocks that begins and ends at rest.

/// One movement without a corner in it.
pub(super) struct Block {
    /// mm, above zero.
    pub(super) length: f64,
    /// The most asked for, mm/s.
    pub(super) speed: f64,
    /// Of its curve; infinite for a straight one.
    pub(super) radius: f64,
    /// The unit vector of its heading at its start.
    pub(super) from: [f64; 3],
    /// And at its end.
    pub(super) to: [f64; 3],
}

/// What is kept of a block: squares of speeds, mm2/s2.
struct Planned {
    length: f64,
    /// The most within it.
    most: f64,
    /// The most where it begins.
    entry: f64,
}

pub(super) struct Planner {
    acceleration: f64,
    deviation: f64,
    ahead: usize,
    chain: Vec<Planned>,
    last: [f64; 3],
}

impl Planner {
    /// `acceleration` in mm/s2 (zero or less: speeds are reached at once), `deviation` in mm,
    /// `ahead` in blocks (0: no limit is known).
    pub(super) fn new(acceleration: f64, deviation: f64, ahead: u32) -> Self {
        let ahead = if ahead == 0 { usize::MAX } else { ahead as usize };
        Self { acceleration, deviation, ahead, chain: Vec::new(), last: [0.0; 3] }
    }

    pub(super) fn push(&mut self, block: Block) {
        let most = (block.speed * block.speed).min(self.acceleration.max(0.0) * block.radius);
        let most = if self.acceleration > 0.0 { most } else { block.speed * block.speed };
        let entry = match self.chain.last() {
            None => 0.0,
            Some(previous) => self.junction(&block.from).min(most).min(previous.most),
        };
        self.chain.push(Planned { length: block.length, most, entry });
        self.last = block.to;
    }

    /// The square of the speed at which the corner into `next` may be taken.
    fn junction(&self, next: &[f64; 3]) -> f64 {
        let cos: f64 = self.last.iter().zip(next).map(|(a, b)| a * b).sum();
        // theta is the angle inside the corner, so cos(theta) = -cos and
        // sin(theta / 2) = sqrt((1 + cos) / 2).
        let s = ((1.0 + cos) / 2.0).clamp(0.0, 1.0).sqrt();
        if s > 1.0 - 1e-12 { f64::INFINITY } else { self.acceleration * self.deviation * s / (1.0 - s) }
    }

    /// Ends the chain at rest and gives its time, s.
    pub(super) fn stop(&mut self) -> f64 {
        if self.acceleration <= 0.0 {
            return self.chain.drain(..).map(|b| b.length / b.most.sqrt().max(f64::MIN_POSITIVE)).sum();
        }
        let n = self.chain.len();
        let twice = 2.0 * self.acceleration;
        // Look-ahead: at the end of a block the machine must be able to stop within the blocks then known.
        if self.ahead < n {
            let mut known: f64 = self.chain[..self.ahead].iter().map(|b| b.length).sum();
            for i in 0..n {
                let b = &mut self.chain[i];
                b.entry = b.entry.min(twice * known.max(0.0));
                known -= b.length;
                if let Some(next) = self.chain.get(i + self.ahead) {
                    known += next.length;
                }
            }
        }
        let mut exit = 0.0;
        for b in self.chain.iter_mut().rev() {
            b.entry = b.entry.min(exit + twice * b.length);
            exit = b.entry;
        }
        let mut entry = 0.0;
        let mut seconds = 0.0;
        for i in 0..n {
            let b = &self.chain[i];
            let (allowed, most, length) = (self.chain.get(i + 1).map_or(0.0, |b| b.entry), b.most, b.length);
            let exit = allowed.min(entry + twice * length);
            seconds += trapezoid(length, entry, exit, most, self.acceleration);
            entry = exit;
        }
        self.chain.clear();
        seconds
    }
}

/// The time for `length` from one speed to another, both and the most squared, accelerating as
/// long as it serves.
fn trapezoid(length: f64, entry: f64, exit: f64, most: f64, a: f64) -> f64 {
    // The speed that is reached if it accelerates, then slows, without a stretch between.
    let peak = (a * length + (entry + exit) / 2.0).min(most).max(entry).max(exit);
    let ramps = (2.0 * peak - entry - exit) / (2.0 * a);
    let top = peak.sqrt();
    let ramp_time = (2.0 * top - entry.sqrt() - exit.sqrt()) / a;
    ramp_time + if top > 0.0 { (length - ramps).max(0.0) / top } else { 0.0 }
}
