//! The outline of a finial from trade shapes: fillet, bead, cove, ogee, taper, ball.
//!
//! Station 0 is the shoulder that meets the ball, stations grow towards the tip;
//! the tenon lies at negative stations. Every shape is straight lines and arcs:
//! a cove's arc ends parallel with the axis at its thin end, an ogee is two
//! equal arcs that meet without a corner and end parallel with the axis, a bead
//! is one arc with its top in the middle.

use rondure_solid::{DVec2, DVec3, Path, ProfileError, Region, Turn};

use crate::plan::{Finial, FinialPart};

/// Far enough out to be clear of any blank, mm.
const CLEAR: f64 = 1_000.0;

/// One drawn element of the outline, from its shoulder end to its tip end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Element {
    /// A straight line to (station, radius).
    Line(DVec2),
    /// An arc to (station, radius) about a centre.
    Arc(DVec2, DVec2, Turn),
}

impl Element {
    /// Where it ends.
    pub fn end(self) -> DVec2 {
        match self {
            Self::Line(to) | Self::Arc(to, _, _) => to,
        }
    }
}

/// One shape of the finial, laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// What a turner calls it.
    pub name: &'static str,
    /// Station and radius where it begins (shoulder side).
    pub from: DVec2,
    /// Station and radius where it ends (tip side).
    pub to: DVec2,
    /// Its widest radius, mm.
    pub widest: f64,
    /// Its lines and arcs.
    pub elements: Vec<Element>,
}

/// Why shapes cannot be laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Unlayable {
    /// Number of the shape, from 1.
    pub shape: usize,
    /// What is wrong, with the numbers.
    pub says: String,
    /// What would do.
    pub mend: String,
}

/// Lays out the shapes of a finial from the shoulder to the tip.
pub fn lay_out(finial: &Finial) -> Result<Vec<Laid>, Unlayable> {
    let mut laid: Vec<Laid> = Vec::new();
    let mut at = DVec2::ZERO;
    let last = finial.shape.len();
    for (index, part) in finial.shape.iter().enumerate() {
        let number = index + 1;
        let next = shape(*part, at, number == last).map_err(|(says, mend)| Unlayable {
            shape: number,
            says,
            mend,
        })?;
        at = next.to;
        laid.push(next);
    }
    Ok(laid)
}

/// Radius of the outline at a station, mm; nought beyond its ends.
pub fn radius_at(laid: &[Laid], station: f64) -> f64 {
    let Some(shape) = laid
        .iter()
        .find(|shape| shape.from.x <= station && station <= shape.to.x)
    else {
        return 0.0;
    };
    let mut from = shape.from;
    for element in &shape.elements {
        let to = element.end();
        if station <= to.x {
            return match *element {
                Element::Line(to) => {
                    from.lerp(to, (station - from.x) / (to.x - from.x).max(1e-12))
                        .y
                }
                Element::Arc(_, centre, turn) => {
                    let across = from.distance_squared(centre) - (station - centre.x).powi(2);
                    let rise = across.max(0.0).sqrt();
                    if turn == Turn::Right {
                        centre.y + rise
                    } else {
                        centre.y - rise
                    }
                }
            };
        }
        from = to;
    }
    from.y
}

fn shape(part: FinialPart, at: DVec2, is_tip: bool) -> Result<Laid, (String, String)> {
    let mut elements = Vec::new();
    let mut from = at;
    let name = match part {
        FinialPart::Fillet { length, diameter } => {
            from = DVec2::new(at.x, 0.5 * diameter);
            elements.push(Element::Line(from + DVec2::new(length, 0.0)));
            "fillet"
        }
        FinialPart::Taper { length, to } => {
            elements.push(Element::Line(DVec2::new(at.x + length, 0.5 * to)));
            "taper"
        }
        FinialPart::Bead { length, diameter } => {
            let top = 0.5 * diameter;
            // Its foot stands on the diameter before it where that can be reached, or is half a circle.
            let rise = if at.y > 0.0 && at.y < top {
                (top - at.y).min(0.5 * length)
            } else {
                (0.5 * length).min(0.5 * top)
            };
            from = DVec2::new(at.x, top - rise);
            let radius = (0.25 * length * length + rise * rise) / (2.0 * rise);
            let centre = DVec2::new(at.x + 0.5 * length, top - radius);
            elements.push(Element::Arc(
                from + DVec2::new(length, 0.0),
                centre,
                Turn::Right,
            ));
            "bead"
        }
        FinialPart::Cove { length, to } => {
            let end = DVec2::new(at.x + length, 0.5 * to);
            let change = (at.y - end.y).abs();
            if change > length {
                return Err(too_steep("cove", length, change));
            }
            if change < 1e-9 {
                elements.push(Element::Line(end));
            } else {
                let radius = (length * length + change * change) / (2.0 * change);
                let thin = if at.y > end.y { end } else { at };
                elements.push(Element::Arc(
                    end,
                    thin + DVec2::new(0.0, radius),
                    Turn::Left,
                ));
            }
            "cove"
        }
        FinialPart::Ogee { length, to } => {
            let end = DVec2::new(at.x + length, 0.5 * to);
            let change = (at.y - end.y).abs();
            if change > length {
                return Err(too_steep("ogee", length, change));
            }
            if change < 1e-9 {
                elements.push(Element::Line(end));
            } else {
                let radius = (length * length + change * change) / (4.0 * change);
                let middle = 0.5 * (at + end);
                let (down, up) = (DVec2::new(0.0, -radius), DVec2::new(0.0, radius));
                let (first, second) = if at.y > end.y { (down, up) } else { (up, down) };
                let turn = |centre: DVec2| {
                    if centre.y < 0.0 {
                        Turn::Right
                    } else {
                        Turn::Left
                    }
                };
                elements.push(Element::Arc(middle, at + first, turn(first)));
                elements.push(Element::Arc(end, end + second, turn(second)));
            }
            "ogee"
        }
        FinialPart::Ball { diameter } => {
            let radius = 0.5 * diameter;
            if at.y >= radius {
                return Err((
                    format!(
                        "a ball of {diameter:.1} mm on a neck of {:.1} mm has no ball to show",
                        2.0 * at.y
                    ),
                    "make the ball wider, or the shape before it thinner".to_owned(),
                ));
            }
            let sunk = (radius * radius - at.y * at.y).sqrt();
            let centre = DVec2::new(at.x + sunk, 0.0);
            let end = if is_tip {
                centre + DVec2::new(radius, 0.0)
            } else {
                centre + DVec2::new(sunk, at.y)
            };
            elements.push(Element::Arc(end, centre, Turn::Right));
            "ball"
        }
    };
    let to = elements.last().map_or(from, |element| element.end());
    let widest = match part {
        FinialPart::Bead { diameter, .. } | FinialPart::Ball { diameter } => 0.5 * diameter,
        _ => from.y.max(to.y),
    };
    if from.y <= 0.0 || (to.y <= 0.0 && !matches!(part, FinialPart::Ball { .. })) {
        return Err((
            format!("the {name} begins or ends on the axis, where no wood is"),
            "begin with a fillet or a bead, which gives the shoulder its diameter".to_owned(),
        ));
    }
    Ok(Laid {
        name,
        from,
        to,
        widest,
        elements,
    })
}

fn too_steep(name: &str, length: f64, change: f64) -> (String, String) {
    (
        format!(
            "a {name} {length:.1} mm long cannot change the radius by {change:.1} mm; its arc would turn back"
        ),
        format!("make it at least {change:.1} mm long, or change the diameter less"),
    )
}

/// Everything outside the finial from station `from` to beyond the tip. `from` is the begin of
/// a shape, or `-tenon_length` for the tenon and parting.
pub fn outside(laid: &[Laid], first: usize) -> Result<Region, ProfileError> {
    let start = laid[first].from;
    let path = along(
        Path::from(start.x, CLEAR).line_to(start.x, start.y),
        laid,
        first,
    );
    about_z(finish(path))
}

/// Everything outside the finial from the headstock's side of its tenon on; where `parted`, the
/// wood beyond the tenon goes too.
pub fn outside_all(
    laid: &[Laid],
    tenon_radius: f64,
    tenon_length: f64,
    parted: bool,
) -> Result<Region, ProfileError> {
    let path = if parted {
        Path::from(-CLEAR, CLEAR)
            .line_to(-CLEAR, 0.0)
            .line_to(-tenon_length, 0.0)
    } else {
        Path::from(-tenon_length, CLEAR)
    };
    let shoulder = laid[0].from;
    let path = path
        .line_to(-tenon_length, tenon_radius)
        .line_to(0.0, tenon_radius)
        .line_to(shoulder.x, shoulder.y);
    about_z(finish(along(path, laid, 0)))
}

fn along(mut path: Path, laid: &[Laid], first: usize) -> Path {
    for shape in &laid[first..] {
        path = path.line_to(shape.from.x, shape.from.y);
        for element in &shape.elements {
            path = match *element {
                Element::Line(to) => path.line_to(to.x, to.y),
                Element::Arc(to, centre, turn) => path.arc_to(to.x, to.y, centre, turn),
            };
        }
    }
    // A blunt tip is faced off square.
    let tip = laid.last().map_or(0.0, |shape| shape.to.x);
    path.line_to(tip, 0.0)
}

fn finish(path: Path) -> Path {
    path.line_to(CLEAR, 0.0).line_to(CLEAR, CLEAR)
}

fn about_z(path: Path) -> Result<Region, ProfileError> {
    Ok(Region::revolved(DVec3::ZERO, DVec3::Z, path.close()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finial(shape: Vec<FinialPart>) -> Finial {
        Finial {
            blank_across: 20.0,
            tenon_length: 10.0,
            shape,
            hanger: None,
        }
    }

    #[test]
    fn shapes_join_end_to_end() {
        let laid = lay_out(&finial(vec![
            FinialPart::Fillet {
                length: 2.0,
                diameter: 16.0,
            },
            FinialPart::Cove {
                length: 8.0,
                to: 6.0,
            },
            FinialPart::Bead {
                length: 4.0,
                diameter: 9.0,
            },
            FinialPart::Ogee {
                length: 12.0,
                to: 4.0,
            },
            FinialPart::Taper {
                length: 30.0,
                to: 3.0,
            },
            FinialPart::Ball { diameter: 6.0 },
        ]))
        .unwrap();
        assert_eq!(laid[1].from, DVec2::new(2.0, 8.0));
        assert_eq!(laid[1].to, DVec2::new(10.0, 3.0));
        assert_eq!(laid[2].from, DVec2::new(10.0, 3.0));
        // The ball sits on a neck of 3 mm: its centre is sqrt(9 - 2.25) beyond it.
        let tip = laid[5].to;
        assert!((tip.x - (56.0 + 6.75f64.sqrt() + 3.0)).abs() < 1e-12 && tip.y == 0.0);
        assert!(outside(&laid, 0).is_ok());
        assert!(outside_all(&laid, 4.0, 10.0, true).is_ok());
    }

    /// A cove's thin end runs parallel with the axis: its centre stands straight above that end.
    #[test]
    fn a_cove_ends_parallel_with_the_axis() {
        let laid = lay_out(&finial(vec![
            FinialPart::Fillet {
                length: 1.0,
                diameter: 20.0,
            },
            FinialPart::Cove {
                length: 10.0,
                to: 10.0,
            },
        ]))
        .unwrap();
        let Element::Arc(to, centre, Turn::Left) = laid[1].elements[0] else {
            panic!("a cove is an arc")
        };
        assert_eq!(to.x, centre.x);
        // r = (L² + Δ²)/(2Δ) = (100 + 25)/10
        assert!((centre.y - 5.0 - 12.5).abs() < 1e-12);
    }

    #[test]
    fn a_cove_that_would_turn_back_is_refused_with_its_mend() {
        let wrong = lay_out(&finial(vec![
            FinialPart::Fillet {
                length: 1.0,
                diameter: 20.0,
            },
            FinialPart::Cove {
                length: 2.0,
                to: 4.0,
            },
        ]))
        .unwrap_err();
        assert_eq!(wrong.shape, 2);
        assert!(
            wrong.mend.contains("at least 8.0 mm long"),
            "{}",
            wrong.mend
        );
    }
}
