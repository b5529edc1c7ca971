//! A short name of a solid's content, to find again what is known of it.
//!
//! All numbers of all regions, to the last bit and in order, drawn together to 128 bits by two
//! SipHashes that begin differently. The same content has the same digest; that two
//! different solids share one is a matter of 1 in 2¹²⁸, far below the odds of a fault in the
//! memory it is kept in. Digests are for one run of the program: another build may draw others.

use std::hash::{DefaultHasher, Hasher};

use glam::{DVec2, DVec3};

use crate::part::Shape;
use crate::profile::Profile;
use crate::region::Region;
use crate::solid::Solid;

/// The name of some content.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u64; 2]);

/// Draws content together, word by word.
#[derive(Debug, Clone)]
pub struct Digester([DefaultHasher; 2]);

impl Digester {
    /// Begins with a word for what is digested, so that different matters about one solid differ.
    pub fn new(matter: &str) -> Self {
        let mut both = [DefaultHasher::new(), DefaultHasher::new()];
        both[1].write_u64(1);
        for hasher in &mut both {
            hasher.write(matter.as_bytes());
            hasher.write_u8(0xff);
        }
        Self(both)
    }

    /// Takes in a whole number.
    #[must_use]
    pub fn word(mut self, word: u64) -> Self {
        self.take(word);
        self
    }

    /// Takes in numbers, to the last bit.
    #[must_use]
    pub fn numbers(mut self, numbers: &[f64]) -> Self {
        for number in numbers {
            self.take(number.to_bits());
        }
        self
    }

    /// Takes in a point or direction.
    #[must_use]
    pub fn vector(self, vector: DVec3) -> Self {
        self.numbers(&vector.to_array())
    }

    /// Takes in another digest.
    #[must_use]
    pub fn digest(self, digest: Digest) -> Self {
        self.word(digest.0[0]).word(digest.0[1])
    }

    /// Takes in all of a region.
    #[must_use]
    pub fn region(self, region: &Region) -> Self {
        match region {
            Region::Revolved {
                origin,
                axis,
                profile,
            } => self.word(1).vector(*origin).vector(*axis).profile(profile),
            Region::HalfSpace { normal, offset } => {
                self.word(2).vector(*normal).numbers(&[*offset])
            }
        }
    }

    /// The digest of all taken in.
    pub fn done(&self) -> Digest {
        Digest([self.0[0].finish(), self.0[1].finish()])
    }

    /// The parts of an outline begin where the last one ended, so that ends and arcs say all.
    fn profile(mut self, profile: &Profile) -> Self {
        self.take(profile.parts().len() as u64);
        for part in profile.parts() {
            self.point(part.from);
            match &part.shape {
                Shape::Line { .. } => self.take(0),
                Shape::Arc {
                    centre,
                    radius,
                    left,
                    upper,
                } => {
                    self.take(1 + u64::from(*left) + 2 * u64::from(*upper));
                    self.point(*centre);
                    self.take(radius.to_bits());
                }
            }
        }
        self
    }

    fn point(&mut self, point: DVec2) {
        self.take(point.x.to_bits());
        self.take(point.y.to_bits());
    }

    fn take(&mut self, word: u64) {
        for hasher in &mut self.0 {
            hasher.write_u64(word);
        }
    }
}

impl Solid {
    /// The digest of blank and cuts, in their order.
    pub fn digest(&self) -> Digest {
        let begun = Digester::new("solid").region(self.blank());
        self.cuts()
            .iter()
            .fold(begun, |digester, cut| digester.region(cut))
            .done()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bored(radius: f64, from: f64) -> Solid {
        let ball = Region::revolved(DVec3::ZERO, DVec3::Z, Profile::ball(radius).unwrap());
        let bore = Profile::cylinder(from, 40.0, 9.5).unwrap();
        Solid::new(ball).cut(Region::revolved(DVec3::ZERO, DVec3::Z, bore))
    }

    /// Content alone decides: not where it is kept, and every number to its last bit.
    #[test]
    fn alike_is_alike_and_the_last_bit_tells() {
        assert_eq!(bored(30.0, -40.0).digest(), bored(30.0, -40.0).digest());
        let next = f64::from_bits(30.0_f64.to_bits() + 1);
        assert_ne!(bored(30.0, -40.0).digest(), bored(next, -40.0).digest());
        let next = f64::from_bits((-40.0_f64).to_bits() + 1);
        assert_ne!(bored(30.0, -40.0).digest(), bored(30.0, next).digest());
        let saw = |offset| bored(30.0, -40.0).cut(Region::beyond(DVec3::X, offset));
        assert_ne!(saw(20.0).digest(), saw(21.0).digest());
        assert_ne!(saw(20.0).digest(), bored(30.0, -40.0).digest());
    }

    /// The same circle run the other way, and the other half of it, are other content.
    #[test]
    fn the_way_of_an_arc_tells() {
        let arc = |turn, centre: f64| {
            let path = crate::Path::from(0.0, 0.0).line_to(20.0, 0.0);
            let path = path.line_to(20.0, 10.0);
            path.arc_to(0.0, 10.0, DVec2::new(10.0, centre), turn)
                .close()
                .unwrap()
        };
        let digest = |profile| {
            let region = Region::revolved(DVec3::ZERO, DVec3::Z, profile);
            Solid::new(region).digest()
        };
        let over = digest(arc(crate::Turn::Left, 5.0));
        let under = digest(arc(crate::Turn::Right, 15.0));
        assert_ne!(over, under);
        assert_eq!(over, digest(arc(crate::Turn::Left, 5.0)));
    }

    #[test]
    fn the_matter_tells() {
        let one = Digester::new("webs").numbers(&[1.0]).done();
        assert_ne!(one, Digester::new("necks").numbers(&[1.0]).done());
        assert_ne!(one, Digester::new("webs").numbers(&[1.0, 1.0]).done());
    }
}
