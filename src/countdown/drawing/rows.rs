//! The rows of a lane. What is in a row never overlaps.

/// Rows from the top, each with the stretches that are taken.
#[derive(Debug, Default)]
pub(in crate::countdown) struct Rows(Vec<Vec<(f64, f64)>>);

impl Rows {
    /// How many rows something is in.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    pub fn is_free(&self, row: usize, (left, right): (f64, f64)) -> bool {
        self.0.get(row).is_none_or(|taken| taken.iter().all(|(from, until)| right <= *from || *until <= left))
    }

    pub fn take(&mut self, row: usize, stretch: (f64, f64)) {
        if self.0.len() <= row {
            self.0.resize_with(row + 1, Vec::new);
        }
        self.0[row].push(stretch);
    }

    /// Takes the stretch in the first row where it is free.
    pub fn put(&mut self, stretch: (f64, f64)) -> usize {
        let free = (0..self.count()).find(|row| self.is_free(*row, stretch));
        let row = free.unwrap_or(self.count());
        self.take(row, stretch);
        row
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_overlaps_goes_into_the_next_row() {
        let mut rows = Rows::default();
        let stretches = [(0.0, 4.0), (2.0, 6.0), (4.0, 5.0), (5.5, 9.0), (0.0, 9.0)];
        let put = stretches.map(|stretch| rows.put(stretch));
        assert_eq!(put, [0, 1, 0, 0, 2]);
        assert_eq!(rows.count(), 3);
        assert!(rows.is_free(7, (0.0, 9.0)) && !rows.is_free(1, (5.0, 7.0)));
    }
}
