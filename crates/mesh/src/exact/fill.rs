//! The triangles of one sheet between its edges.
//!
//! Edges and points go into a constrained Delaunay triangulation of the sheet's plane. What
//! lies to the left of an edge is wood's surface; from there it spreads to all triangles not
//! parted by an edge. Triangles too far off the sheet, or turned too far from it, get another
//! point until there are none.

use glam::{DVec2, DVec3};
use spade::handles::FixedVertexHandle;
use spade::{
    ConstrainedDelaunayTriangulation, HasPosition, Point2, PositionInTriangulation, Triangulation,
};

use super::chart::{Chart, Fine};
use super::net::Lost;
use crate::draft::samples;
use crate::mesh::outward;
use crate::tidy::FACING;

/// Times points are added at most.
const ROUNDS: usize = 8;

/// A corner of a sheet's triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Corner {
    /// A point of the net.
    Node(u32),
    /// A point of the sheet's own.
    Own(u32),
}

/// The triangles of a sheet.
#[derive(Debug, Default)]
pub(crate) struct Filled {
    pub(crate) points: Vec<DVec3>,
    pub(crate) triangles: Vec<[Corner; 3]>,
    /// Whether the wood behind some of each may be thinner than twice the chord error.
    pub(crate) thin: Vec<bool>,
    /// The farthest a triangle's samples stand off, mm.
    pub(crate) chord: f64,
    pub(crate) area: f64,
    /// Triangles turned too far from their sheet.
    pub(crate) folded: usize,
}

/// What a sheet cannot be filled for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Trouble {
    Lost(Lost),
    /// Chords, by their nodes, that cross others in the plane.
    Crossed(Vec<[u32; 2]>),
}

#[derive(Debug, Clone, Copy)]
struct Spot {
    place: Point2<f64>,
    corner: Corner,
    at: DVec3,
}

impl HasPosition for Spot {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.place
    }
}

type Plane = ConstrainedDelaunayTriangulation<Spot>;

/// Fills a sheet between directed edges with its wood on their left in the plane.
pub(crate) fn fill(
    chart: &Chart<'_>,
    nodes: &[DVec3],
    edges: &[[u32; 2]],
    fine: Fine,
) -> Result<Filled, Trouble> {
    let mut local: Vec<u32> = edges.iter().flatten().copied().collect();
    local.sort_unstable();
    local.dedup();
    let spot = |place: DVec2, corner, at| Spot {
        place: Point2::new(place.x, place.y),
        corner,
        at,
    };
    let mut spots: Vec<Spot> = local
        .iter()
        .map(|&node| {
            let at = nodes[node as usize];
            spot(chart.place(at), Corner::Node(node), at)
        })
        .collect();
    let index = |node: u32| local.partition_point(|&other| other < node);
    let chords: Vec<[usize; 2]> = edges.iter().map(|ends| ends.map(index)).collect();
    let mut points = Vec::new();
    if let Some(pole) = chart.pole {
        spots.push(spot(DVec2::ZERO, Corner::Own(0), pole));
        points.push(pole);
    }
    for (at, place) in chart.points() {
        spots.push(spot(place, Corner::Own(points.len() as u32), at));
        points.push(at);
    }
    let count = spots.len();
    let mut crossed: Vec<[usize; 2]> = Vec::new();
    let places: Vec<DVec2> = spots
        .iter()
        .map(|spot| DVec2::new(spot.place.x, spot.place.y))
        .collect();
    let mut plane = Plane::try_bulk_load_cdt(spots, chords.clone(), |chord| crossed.push(chord))
        .map_err(|_| Trouble::Lost(Lost("a place is no number")))?;
    if plane.num_vertices() != count {
        return Err(Trouble::Lost(Lost("two points of a sheet are one")));
    }
    if !crossed.is_empty() {
        let mut hit = Vec::new();
        for &chord in &crossed {
            for &other in &chords {
                if crosses(chord.map(|v| places[v]), other.map(|v| places[v])) {
                    hit.push(other.map(|v| local[v]));
                }
            }
            if chord.iter().all(|&v| v < local.len()) {
                hit.push(chord.map(|v| local[v]));
            }
        }
        return Err(Trouble::Crossed(hit));
    }
    let own = &chart.sheets().list[chart.sheet as usize];
    let sense = |p: DVec3| chart.sheets().sense(chart.sheet, p);
    for round in 0.. {
        let inside = spread(&plane, &chords)?;
        // Places for more points; a middle of an edge is asked for from both its sides.
        let mut more: Vec<(usize, DVec3)> = Vec::new();
        let mut filled = Filled::default();
        let mut far = false;
        for face in plane.inner_faces() {
            if !inside[face.fix().index()] {
                continue;
            }
            let mut corners = face.vertices().map(|vertex| *vertex.data());
            if own.sense < 0.0 {
                corners.swap(1, 2);
            }
            let at = corners.map(|spot| spot.at);
            let edges = face.adjacent_edges();
            let normal = outward(at);
            let middle = (at[0] + at[1] + at[2]) / 3.0;
            let offs = samples(at).map(|p| sense(p).depth.abs());
            let off = offs.into_iter().fold(0.0, f64::max);
            let facing = -sense(middle).inward.dot(normal) / normal.length().max(1e-18);
            let rough = off > fine.chord || facing < FACING;
            far |= off > fine.chord;
            filled.folded += usize::from(facing < FACING);
            let free = edges.iter().all(|edge| !edge.is_constraint_edge());
            if rough {
                // A chord of an edge is fine by itself; its middle is no place for a point.
                let longest = (0..3)
                    .max_by(|&i, &j| {
                        let length = |k: usize| {
                            let ends = edges[k].vertices().map(|vertex| vertex.data().at);
                            ends[0].distance_squared(ends[1])
                        };
                        length(i).total_cmp(&length(j))
                    })
                    .unwrap_or(0);
                if free && offs[0] < 0.75 * off {
                    let ends = edges[longest].vertices().map(|vertex| vertex.data().at);
                    let edge = edges[longest].as_undirected().fix().index();
                    more.push((edge, ends[0].midpoint(ends[1])));
                } else {
                    more.push((usize::MAX - face.fix().index(), middle));
                }
            }
            filled.chord = filled.chord.max(off);
            filled.area += 0.5 * normal.length();
            filled.triangles.push(corners.map(|spot| spot.corner));
        }
        if more.is_empty() || !far && round == ROUNDS {
            for corners in &filled.triangles {
                let at = corners.map(|corner| match corner {
                    Corner::Node(node) => nodes[node as usize],
                    Corner::Own(point) => points[point as usize],
                });
                let middle = (at[0] + at[1] + at[2]) / 3.0;
                let wood = chart.depth(middle);
                if wood < -fine.chord {
                    return Err(Trouble::Lost(Lost("another face takes a triangle")));
                }
                // The depth falls no faster than the way from the middle to a corner.
                let reach = at
                    .map(|p| p.distance(middle))
                    .into_iter()
                    .fold(0.0, f64::max);
                filled.thin.push(wood < reach + 2.0 * fine.chord);
            }
            filled.points = points;
            return Ok(filled);
        }
        if round == ROUNDS {
            return Err(Trouble::Lost(Lost("a sheet stays too coarse")));
        }
        more.sort_by_key(|(edge, _)| *edge);
        more.dedup_by_key(|(edge, _)| *edge);
        for (_, p) in more {
            let here = sense(p);
            let at = p - here.inward * here.depth;
            let place = chart.place(at);
            let new = spot(place, Corner::Own(points.len() as u32), at);
            if matches!(
                plane.locate(new.place),
                PositionInTriangulation::OnVertex(_)
            ) {
                continue;
            }
            plane
                .insert(new)
                .map_err(|_| Trouble::Lost(Lost("a place is no number")))?;
            points.push(at);
        }
    }
    unreachable!("the last round returns")
}

/// Which faces of the triangulation are on the wood's surface, by their index.
fn spread(plane: &Plane, chords: &[[usize; 2]]) -> Result<Vec<bool>, Trouble> {
    let lost = |why| Trouble::Lost(Lost(why));
    let mut state = vec![0i8; plane.num_all_faces()];
    let mut stack = Vec::new();
    let outer = plane.outer_face().fix().index();
    for &[from, to] in chords {
        let handles = [from, to].map(FixedVertexHandle::from_index);
        let edge = plane
            .get_edge_from_neighbors(handles[0], handles[1])
            .filter(|edge| edge.is_constraint_edge())
            .ok_or(lost("an edge is not in the plane"))?;
        for (side, value) in [(edge.face(), 1), (edge.rev().face(), -1)] {
            let index = side.fix().index();
            if state[index] == 0 {
                state[index] = value;
                stack.push(side.fix());
            } else if state[index] != value {
                return Err(lost("a triangle lies on both sides of an edge"));
            }
        }
    }
    while let Some(face) = stack.pop() {
        let value = state[face.index()];
        let Some(inner) = plane.face(face).as_inner() else {
            if value == 1 {
                return Err(lost("an edge has its wood on the wrong side"));
            }
            continue;
        };
        for edge in inner.adjacent_edges() {
            if edge.is_constraint_edge() {
                continue;
            }
            let next = edge.rev().face().fix();
            if state[next.index()] == 0 {
                state[next.index()] = value;
                stack.push(next);
            } else if state[next.index()] != value {
                return Err(lost("inside and outside run together"));
            }
        }
    }
    if state[outer] == 1 {
        return Err(lost("an edge has its wood on the wrong side"));
    }
    Ok(state.into_iter().map(|value| value == 1).collect())
}

/// Whether two segments cross within both.
fn crosses([a, b]: [DVec2; 2], [c, d]: [DVec2; 2]) -> bool {
    let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
