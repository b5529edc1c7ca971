//! Colours by cut, to be told apart on a screen, on grey paper, and by the colour-blind.
//!
//! Our own palette. Each colour has a lightness of its own (CIE L* in steps of 9), so grey
//! print keeps them apart; from one lightness to the next the hue goes from the blue side
//! to the yellow side and back, the one difference that red-green blindness leaves whole.
//! The blank is the lightest. The seven colours for cuts come round again after the
//! seventh; any cut and the next differ by at least 27 in L*.

/// A colour in sRGB, 8 bits each.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(pub [u8; 3]);

/// Of the blank, pale as planed lime.
const BLANK: Colour = Colour([0xf1, 0xe4, 0xc9]);

/// Of the cuts, in the order they are given out: every third lightness.
const CUTS: [Colour; 7] = [
    Colour([0x00, 0x42, 0x82]),
    Colour([0xb4, 0x77, 0x23]),
    Colour([0xa0, 0xd4, 0xea]),
    Colour([0x00, 0x73, 0xb8]),
    Colour([0xe1, 0xab, 0x35]),
    Colour([0x7f, 0x4a, 0x1d]),
    Colour([0x49, 0xa4, 0xd5]),
];

impl Colour {
    /// The colour of a surface: 0 the blank, then the cuts.
    pub fn of(number: usize) -> Self {
        match number {
            0 => BLANK,
            cut => CUTS[(cut - 1) % CUTS.len()],
        }
    }

    /// Linear light, 0 to 1, as shading wants it (IEC 61966-2-1, from memory).
    pub fn linear(self) -> [f64; 3] {
        self.0.map(|byte| {
            let value = f64::from(byte) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// As style sheets and 3MF write it: `#RRGGBB`.
    pub fn hex(self) -> String {
        let [red, green, blue] = self.0;
        format!("#{red:02X}{green:02X}{blue:02X}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// L* and b* of CIE 1976 for the white D65 (from memory): lightness 0 to 100, and blue
    /// (below 0) against yellow (above).
    fn lightness_and_yellowness(colour: Colour) -> (f64, f64) {
        let [red, green, blue] = colour.linear();
        let y = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
        let z = (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.0888;
        (116.0 * y.cbrt() - 16.0, 200.0 * (y.cbrt() - z.cbrt()))
    }

    #[test]
    fn grey_print_keeps_all_colours_apart() {
        let mut light: Vec<f64> = (0..8)
            .map(|number| lightness_and_yellowness(Colour::of(number)).0)
            .collect();
        light.sort_by(f64::total_cmp);
        // The darkest still stands off black, the lightest off paper.
        assert!(light[0] > 25.0 && light[7] < 93.0, "{light:?}");
        for pair in light.windows(2) {
            assert!(pair[1] - pair[0] > 8.0, "{light:?}");
        }
    }

    #[test]
    fn neighbours_in_lightness_are_one_blue_one_yellow() {
        let mut colours: Vec<_> = (0..8)
            .map(|number| lightness_and_yellowness(Colour::of(number)))
            .collect();
        colours.sort_by(|one, other| one.0.total_cmp(&other.0));
        for pair in colours.windows(2) {
            assert!((pair[0].1 - pair[1].1).abs() > 30.0, "{colours:?}");
        }
    }

    #[test]
    fn one_cut_and_the_next_differ_strongly_even_where_the_colours_come_round() {
        for number in 0..30 {
            let [one, next] =
                [number, number + 1].map(|n| lightness_and_yellowness(Colour::of(n)).0);
            assert!((one - next).abs() > 25.0, "{number}: {one} and {next}");
        }
    }

    #[test]
    fn black_and_white_are_the_ends_of_linear_light() {
        assert_eq!(Colour([0, 255, 0]).linear(), [0.0, 1.0, 0.0]);
        assert_eq!(Colour([0, 66, 255]).hex(), "#0042FF");
    }
}
