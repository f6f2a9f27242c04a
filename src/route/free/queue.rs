//! A bucket queue: constant cost, order exact to a bucket's width.

/// A step that the search has still to look at.
#[derive(Debug, Clone, Copy)]
pub struct Step {
    /// Least length of a way through this step, millimetres.
    pub key: f64,
    pub node: u32,
    pub parent: u32,
    /// The sight line from the parent was found clear.
    pub seen: bool,
}

/// Steps in rising order of their keys. The width of the buckets bounds the disorder.
pub struct Queue {
    base: f64,
    per_unit: f64,
    heads: Vec<u32>,
    items: Vec<(Step, u32)>,
    free: u32,
    at: usize,
}

const END: u32 = u32::MAX;

impl Queue {
    /// Keys are expected between `from` and `to`; what lies outside goes to the first or last bucket.
    pub fn new(from: f64, to: f64, buckets: usize) -> Self {
        Self {
            base: from,
            per_unit: buckets as f64 / (to - from).max(f64::MIN_POSITIVE),
            heads: vec![END; buckets],
            items: Vec::new(),
            free: END,
            at: 0,
        }
    }

    fn bucket(&self, key: f64) -> usize {
        // The cast saturates: below the base is bucket 0.
        (((key - self.base) * self.per_unit) as usize).min(self.heads.len() - 1)
    }

    /// Whether the key would be looked at later than what is popped now.
    pub fn is_later(&self, key: f64) -> bool {
        self.bucket(key) > self.at
    }

    /// Steps held.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    pub fn push(&mut self, step: Step) {
        let bucket = self.bucket(step.key).max(self.at);
        let next = self.heads[bucket];
        let slot = if self.free == END {
            self.items.push((step, next));
            (self.items.len() - 1) as u32
        } else {
            let slot = self.free;
            self.free = self.items[slot as usize].1;
            self.items[slot as usize] = (step, next);
            slot
        };
        self.heads[bucket] = slot;
    }

    pub fn pop(&mut self) -> Option<Step> {
        while self.heads[self.at] == END {
            if self.at + 1 == self.heads.len() {
                return None;
            }
            self.at += 1;
        }
        let slot = self.heads[self.at];
        let (step, next) = self.items[slot as usize];
        self.heads[self.at] = next;
        self.items[slot as usize].1 = self.free;
        self.free = slot;
        Some(step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pops_in_rising_order_and_uses_slots_again() {
        let mut queue = Queue::new(0.0, 10.0, 100);
        let step = |key: f64| Step {
            key,
            node: 0,
            parent: 0,
            seen: false,
        };
        for key in [7.0, 3.0, 99.0, -5.0, 3.5] {
            queue.push(step(key));
        }
        let keys: Vec<f64> = std::iter::from_fn(|| queue.pop()).map(|s| s.key).collect();
        assert_eq!(keys, [-5.0, 3.0, 3.5, 7.0, 99.0]);
        assert_eq!(queue.len(), 5);
        queue.push(step(1.0));
        assert_eq!(queue.len(), 5);
        assert_eq!(queue.pop().map(|s| s.key), Some(1.0));
        assert!(queue.pop().is_none());
    }
}
