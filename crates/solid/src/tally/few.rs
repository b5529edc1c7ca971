//! A short list of faces, kept in place.

/// A few numbers of faces without a place in memory of their own; where there are more, all
/// faces are asked again.
#[derive(Debug, Clone, Copy)]
pub(super) enum Few {
    These([u16; 7], u8),
    All,
}

impl Few {
    pub(super) fn of(numbers: &[usize]) -> Self {
        let mut few = [0; 7];
        if numbers.len() > few.len() {
            return Self::All;
        }
        for (place, number) in few.iter_mut().zip(numbers) {
            match u16::try_from(*number) {
                Ok(number) => *place = number,
                Err(_) => return Self::All,
            }
        }
        Self::These(few, numbers.len() as u8)
    }

    /// The numbers, of `all` that there are.
    pub(super) fn list(&self, all: usize) -> Vec<usize> {
        match self {
            Self::These(few, count) => few[..usize::from(*count)]
                .iter()
                .map(|number| usize::from(*number))
                .collect(),
            Self::All => (0..all).collect(),
        }
    }
}
