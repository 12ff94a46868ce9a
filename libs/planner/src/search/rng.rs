//! Numbers drawn by lot, the same for the same seed: a 64-bit xorshift with a multiplied output (Vigna, An experimental
//! exploration of Marsaglia's xorshift generators, scrambled, 2016).

#[derive(Clone, Debug)]
pub(super) struct Rng(u64);

impl Rng {
    pub fn new(seed: u64) -> Self {
        // Seeds that differ in one bit shall not begin alike; and the state must not be 0.
        let mixed = (seed ^ 0x9E37_79B9_7F4A_7C15).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mut rng = Rng((mixed ^ (mixed >> 31)) | 1);
        for _ in 0..8 {
            rng.next();
        }
        rng
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// From 0 to below 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// From 0 to below `count`; 0 where there is nothing to choose from.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// One of a few.
    pub fn one_of<T: Copy>(&mut self, few: &[T]) -> T {
        few[self.below(few.len())]
    }
}
