/**
 * Which point of the surface lies under the pointer.
 *
 * Every triangle is tried in one plain loop over the lists (the test of Möller and Trumbore,
 * "Fast, minimum storage ray/triangle intersection", 1997; from memory). At the sizes we
 * draw that takes less than a frame and needs no tree to be built for each new mesh.
 */

import type { Surface } from "./glb";
import type { Plane } from "./section";
import type { Point } from "./view";

export interface Hit {
  /** The point, in the surface's frame. */
  readonly at: Point;
  /** Unit normal of the surface there, out of the wood. */
  readonly normal: Point;
  readonly cut: number;
  /** Thickness of the wood there, mm, where the mesh has it. */
  readonly thickness: number | null;
  readonly distance: number;
}

/**
 * The first triangle met from the front. With a plane given, what lies on the side its
 * normal points to is not there.
 */
export function firstHit(
  surface: Surface,
  from: Point,
  direction: Point,
  plane: Plane | null = null,
): Hit | null {
  const { positions: p, indices } = surface;
  const [ox, oy, oz] = from;
  const [dx, dy, dz] = direction;
  let nearest = Infinity;
  let triangle = -1;
  let atU = 0;
  let atV = 0;
  for (let t = 0; t < indices.length; t += 3) {
    const a = 3 * indices[t]!;
    const b = 3 * indices[t + 1]!;
    const c = 3 * indices[t + 2]!;
    const ax = p[a]!, ay = p[a + 1]!, az = p[a + 2]!;
    const e1x = p[b]! - ax, e1y = p[b + 1]! - ay, e1z = p[b + 2]! - az;
    const e2x = p[c]! - ax, e2y = p[c + 1]! - ay, e2z = p[c + 2]! - az;
    const px = dy * e2z - dz * e2y, py = dz * e2x - dx * e2z, pz = dx * e2y - dy * e2x;
    const determinant = e1x * px + e1y * py + e1z * pz;
    // Seen from behind, or edge on.
    if (determinant <= 1e-14) continue;
    const sx = ox - ax, sy = oy - ay, sz = oz - az;
    const u = sx * px + sy * py + sz * pz;
    if (u < 0 || u > determinant) continue;
    const qx = sy * e1z - sz * e1y, qy = sz * e1x - sx * e1z, qz = sx * e1y - sy * e1x;
    const v = dx * qx + dy * qy + dz * qz;
    if (v < 0 || u + v > determinant) continue;
    const distance = (e2x * qx + e2y * qy + e2z * qz) / determinant;
    if (distance <= 0 || distance >= nearest) continue;
    if (plane) {
      const n = plane.normal;
      const o = plane.origin;
      const side =
        (ox + distance * dx - o[0]) * n[0] + (oy + distance * dy - o[1]) * n[1] + (oz + distance * dz - o[2]) * n[2];
      if (side > 0) continue;
    }
    nearest = distance;
    triangle = t;
    atU = u / determinant;
    atV = v / determinant;
  }
  if (triangle < 0) return null;

  const [a, b, c] = [indices[triangle]!, indices[triangle + 1]!, indices[triangle + 2]!];
  const mix = (list: Float32Array, size: number, k: number) =>
    list[size * a + k]! * (1 - atU - atV) + list[size * b + k]! * atU + list[size * c + k]! * atV;
  const normal = [0, 1, 2].map((k) => mix(surface.normals, 3, k));
  const length = Math.hypot(...normal) || 1;
  return {
    at: [ox + nearest * dx, oy + nearest * dy, oz + nearest * dz],
    normal: normal.map((part) => part / length) as unknown as Point,
    cut: Math.round(surface.cuts[a]!),
    thickness: surface.thickness && mix(surface.thickness, 1, 0),
    distance: nearest,
  };
}

/** How far off the last face stands that a line from a point meets, mm; 0 where it meets none. */
export function lastExit(surface: Surface, from: Point, direction: Point): number {
  const { positions: p, indices } = surface;
  const [ox, oy, oz] = from;
  const [dx, dy, dz] = direction;
  let last = 0;
  for (let t = 0; t < indices.length; t += 3) {
    const a = 3 * indices[t]!;
    const b = 3 * indices[t + 1]!;
    const c = 3 * indices[t + 2]!;
    const ax = p[a]!, ay = p[a + 1]!, az = p[a + 2]!;
    const e1x = p[b]! - ax, e1y = p[b + 1]! - ay, e1z = p[b + 2]! - az;
    const e2x = p[c]! - ax, e2y = p[c + 1]! - ay, e2z = p[c + 2]! - az;
    const px = dy * e2z - dz * e2y, py = dz * e2x - dx * e2z, pz = dx * e2y - dy * e2x;
    const determinant = e1x * px + e1y * py + e1z * pz;
    if (determinant > -1e-14 && determinant < 1e-14) continue;
    const sx = ox - ax, sy = oy - ay, sz = oz - az;
    const u = (sx * px + sy * py + sz * pz) / determinant;
    if (u < 0 || u > 1) continue;
    const qx = sy * e1z - sz * e1y, qy = sz * e1x - sx * e1z, qz = sx * e1y - sy * e1x;
    const v = (dx * qx + dy * qy + dz * qz) / determinant;
    if (v < 0 || u + v > 1) continue;
    const distance = (e2x * qx + e2y * qy + e2z * qz) / determinant;
    if (distance > last) last = distance;
  }
  return last;
}

/**
 * The way from which a place is best looked at: the middle of those ways, out of the ones
 * given, along which the least wood and air between wood stands before it. `slack` is how
 * much more is as good as the least, mm.
 */
export function clearestWay(surface: Surface, at: Point, ways: readonly Point[], slack: number): Point {
  const exits = ways.map((way) => lastExit(surface, at, way));
  const least = Math.min(...exits);
  const sum = [0, 0, 0];
  ways.forEach((way, i) => {
    if (exits[i]! <= least + slack) for (let k = 0; k < 3; k++) sum[k]! += way[k]!;
  });
  const length = Math.hypot(...sum);
  // Good ways on opposite sides leave no middle: then the first of them.
  if (length < 0.3) return ways[exits.indexOf(least)]!;
  return sum.map((part) => part / length) as unknown as Point;
}

/** Directions all round, evenly strewn along a spiral from pole to pole. */
export function allRound(count: number): Point[] {
  return Array.from({ length: count }, (_, i) => {
    const z = 1 - (2 * i + 1) / count;
    const level = Math.sqrt(1 - z * z);
    const angle = i * Math.PI * (3 - Math.sqrt(5));
    return [level * Math.cos(angle), level * Math.sin(angle), z] as const;
  });
}
