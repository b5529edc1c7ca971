//! How a piece lies on the lathe, and what holds it there.

use rondure_solid::{DMat4, DVec3, Solid};

use super::{Holder, HolderKind, Placed, View};
use crate::form::coved_ball::BALL;
use crate::form::coved_ball::finials::{End, GRIP, TIP_WASTE};
use crate::rack::{Centre, CentreKind};

/// How a piece lies: unit vectors of the piece's frame.
pub(super) struct Held {
    /// From the headstock to the tailstock.
    pub along: DVec3,
    /// Towards the turner.
    pub front: DVec3,
    /// Whether it turns on the lathe.
    pub on_lathe: bool,
    /// What holds it.
    pub holders: Vec<Holder>,
}

/// Bodies are drawn this far behind what grips, mm.
const BODY: f64 = 30.0;
/// Wall of jaws, mm: only to be recognised.
const JAW_WALL: f64 = 14.0;
/// How far a centre's point goes into the wood, mm.
const BITE: f64 = 2.0;
/// Places round a centre's ring at which the wood is felt for.
const PLACES: u32 = 144;

impl Held {
    fn new(along: DVec3, front: DVec3) -> Self {
        Self {
            along,
            front,
            on_lathe: true,
            holders: Vec::new(),
        }
    }

    fn with(mut self, holders: impl IntoIterator<Item = Holder>) -> Self {
        self.holders.extend(holders);
        self
    }

    /// Four columns of four.
    pub fn lathe_from_piece(&self) -> [f64; 16] {
        let up = self.front.cross(self.along);
        let piece_from_lathe = DMat4::from_cols(
            self.along.extend(0.0),
            up.extend(0.0),
            self.front.extend(0.0),
            DVec3::ZERO.extend(1.0),
        );
        // A turn's inverse is its transpose.
        piece_from_lathe
            .transpose()
            .to_cols_array()
            .map(|x| x + 0.0)
    }
}

/// How the piece of this set-up is held.
pub(super) fn held(view: &View<'_>) -> Held {
    let id = view.setup().id.as_str();
    let (layout, stock) = (&view.expanded.layout, &view.expanded.stock);
    let radius = layout.radius;
    if let Some(mounting) = view.mounting() {
        let drive = layout.towards(mounting);
        let solid = &view.before.solid;
        let at = |direction: DVec3, centre: Option<&Centre>| {
            reached(
                solid,
                direction,
                radius,
                centre.map_or(0.0, |centre| 0.5 * centre.diameter),
            )
        };
        let (first, second) = (
            named(view, CentreKind::Drive),
            named(view, CentreKind::Tail),
        );
        return Held::new(-drive, DVec3::Z.cross(drive)).with([
            drive_centre(-at(drive, first), first),
            tail_centre(at(-drive, second), second),
        ]);
    }
    match id {
        "rough" => {
            let centres = &view.plan.rack.centres;
            let widest = |kind| {
                centres
                    .iter()
                    .filter(|centre| {
                        centre.kind == kind && centre.diameter < view.plan.blank.across
                    })
                    .max_by(|a, b| a.diameter.total_cmp(&b.diameter))
            };
            Held::new(DVec3::Z, DVec3::X).with([
                drive_centre(stock.head, widest(CentreKind::Drive)),
                tail_centre(stock.tail, widest(CentreKind::Tail)),
            ])
        }
        "ball" => {
            let name = stock.jaws.as_ref().map_or("chuck", |jaws| &jaws.name);
            Held::new(DVec3::Z, DVec3::X).with([
                jaws(stock.head, stock.spigot_length, 0.5 * stock.spigot, name),
                tail_centre(stock.tail, smallest(view)),
            ])
        }
        "second-end" => Held::new(DVec3::NEG_Z, DVec3::X).with([
            pin(radius, layout.bore_radius, -0.4 * radius),
            tail_centre(stock.sawn, smallest(view)),
        ]),
        "pierce" => Held::new(DVec3::Z, layout.towards_cove(0, true)).with([pin(
            radius,
            layout.bore_radius,
            layout.rim_low().unwrap_or(radius) + 3.0,
        )]),
        _ => match finial_of(view) {
            Some((end, tip)) => {
                let Some(finial) = end.of(view.plan) else {
                    return Held::new(DVec3::Z, DVec3::X);
                };
                let blank = &view.expanded.process.pieces[view.setup().piece].blank;
                let head = blank.bounds().map_or(0.0, |bounds| bounds.low.z);
                let name = view
                    .plan
                    .rack
                    .jaws_for_spigot(finial.blank_across)
                    .map_or("chuck", |jaws| &jaws.name);
                Held::new(DVec3::Z, DVec3::X).with([
                    jaws(head, GRIP, 0.5 * finial.blank_across, name),
                    tail_centre(tip + TIP_WASTE, smallest(view)),
                ])
            }
            None => Held {
                on_lathe: false,
                ..Held::new(DVec3::Y, DVec3::X)
            },
        },
    }
}

/// The finial that this set-up turns, and the station of its tip.
fn finial_of(view: &View<'_>) -> Option<(End, f64)> {
    let piece = view.setup().piece;
    let (end, _, laid) = view
        .expanded
        .finials
        .iter()
        .find(|(_, index, _)| *index == piece)?;
    Some((*end, laid.last().map_or(0.0, |shape| shape.to.x)))
}

/// The finials where they go, when the ball is put together.
pub(super) fn others(view: &View<'_>) -> Vec<Placed> {
    if view.setup().id != "assembly" {
        return Vec::new();
    }
    let layout = &view.expanded.layout;
    // The shoulder rests on the bore's rim where it is highest, on the ridges.
    let rim = layout.ridge(layout.bore_radius).unwrap_or(layout.radius);
    let (pieces, finials) = (&view.expanded.process.pieces, &view.expanded.finials);
    let placed = finials.iter().map(|(end, index, _)| {
        let out = match end {
            End::Top => DMat4::from_translation(DVec3::Z * rim),
            End::Bottom => {
                DMat4::from_translation(DVec3::NEG_Z * rim)
                    * DMat4::from_rotation_x(std::f64::consts::PI)
            }
        };
        Placed {
            piece: pieces[*index].id.clone(),
            piece_from_other: out.to_cols_array(),
        }
    });
    if view.setup().piece == BALL {
        placed.collect()
    } else {
        Vec::new()
    }
}

/// The centre that the report names for this mounting.
fn named<'a>(view: &'a View<'_>, kind: CentreKind) -> Option<&'a Centre> {
    let end = match kind {
        CentreKind::Drive => "drive",
        CentreKind::Tail => "tail",
    };
    let id = format!("{}.mount.{end}", view.setup().id);
    let measure = view
        .report
        .measures
        .iter()
        .find(|measure| measure.id == id)?;
    view.plan.rack.centre_named(&measure.tool)
}

/// The smallest tail centre of the rack.
fn smallest<'a>(view: &'a View<'_>) -> Option<&'a Centre> {
    view.plan
        .rack
        .centres
        .iter()
        .filter(|centre| centre.kind == CentreKind::Tail)
        .min_by(|a, b| a.diameter.total_cmp(&b.diameter))
}

/// How far from the origin a ring of this radius that comes in along −`direction` first meets wood, mm.
fn reached(solid: &Solid, direction: DVec3, radius: f64, ring: f64) -> f64 {
    let right = direction.any_orthonormal_vector();
    let up = direction.cross(right);
    let far = radius + 5.0;
    (0..PLACES)
        .filter_map(|place| {
            let angle = std::f64::consts::TAU * f64::from(place) / f64::from(PLACES);
            let from = direction * far + ring * (right * angle.cos() + up * angle.sin());
            Some(far - solid.first_wood(from, -direction, 0.0, far)?.enter)
        })
        .reduce(f64::max)
        .unwrap_or(radius)
}

/// A drive centre whose ring stands at `x`.
fn drive_centre(x: f64, centre: Option<&Centre>) -> Holder {
    Holder {
        kind: HolderKind::DriveCentre,
        name: centre
            .map_or("drive centre", |centre| &centre.name)
            .to_owned(),
        profile: centre_profile(x, centre, -1.0),
    }
}

/// A tail centre whose ring stands at `x`.
fn tail_centre(x: f64, centre: Option<&Centre>) -> Holder {
    Holder {
        kind: HolderKind::TailCentre,
        name: centre
            .map_or("tail centre", |centre| &centre.name)
            .to_owned(),
        profile: centre_profile(x, centre, 1.0),
    }
}

/// Point, ring and body; `away` is the way out of the wood along x.
fn centre_profile(x: f64, centre: Option<&Centre>, away: f64) -> Vec<[f64; 2]> {
    let (ring, point) = centre.map_or((5.0, 1.0), |centre| {
        (0.5 * centre.diameter, 0.5 * centre.point_diameter)
    });
    let body = ring.max(8.0);
    let out = |mm: f64| x + away * mm;
    vec![
        [out(-BITE), 0.0],
        [out(0.0), point.min(ring)],
        [out(0.0), ring],
        [out(6.0), ring],
        [out(6.0 + body - ring), body],
        [out(BODY), body],
        [out(BODY), 0.0],
    ]
}

/// Jaws closed round wood of `radius`, from its end at `x` over `length`.
fn jaws(x: f64, length: f64, radius: f64, name: &str) -> Holder {
    let outside = radius + JAW_WALL;
    Holder {
        kind: HolderKind::Jaws,
        name: name.to_owned(),
        profile: vec![
            [x - BODY, 0.0],
            [x - BODY, outside + 4.0],
            [x - 5.0, outside + 4.0],
            [x - 5.0, outside],
            [x + length, outside],
            [x + length, radius],
            [x - 1.0, radius],
            [x - 1.0, 0.0],
        ],
    }
}

/// A wooden pin in the bore as far as `to`, with the hollowed face that touches the ball in a ring.
fn pin(radius: f64, bore: f64, to: f64) -> Holder {
    let ring = (0.6 * radius).max(bore + 2.0).min(0.95 * radius);
    let touch = -(radius * radius - ring * ring).sqrt();
    Holder {
        kind: HolderKind::Pin,
        name: "wooden pin".to_owned(),
        profile: vec![
            [-radius - BODY, 0.0],
            [-radius - BODY, ring],
            [touch, ring],
            [-radius - 1.0, bore + 1.0],
            [-radius - 1.0, bore],
            [to, bore],
            [to, 0.0],
        ],
    }
}
