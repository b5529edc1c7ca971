/**
 * Where a plane cuts the surface: the outline of the section, and which side of it is wood.
 *
 * Each triangle that reaches both sides gives one straight piece, directed so that the wood
 * is at its left when seen from the tip of the plane's normal. A vertex that lies in the
 * plane counts as on the far side, so every closed surface gives closed outlines, whatever
 * it touches. The filling of the section is not done here: the picture fills it by counting
 * faces in the stencil.
 */

import type { Surface } from "./glb";
import type { Point } from "./view";

/** A cutting plane, in the piece's frame. The wood its unit normal points to is taken away. */
export interface Plane {
  readonly origin: Point;
  readonly normal: Point;
}

/** How far a point stands over the plane, mm; above nothing it is taken away. */
export function heightOver({ origin, normal }: Plane, at: Point): number {
  return normal.reduce((sum, part, k) => sum + part * (at[k]! - origin[k]!), 0);
}

/** The pieces of the outline, six numbers each: from, to. */
export function outline(surface: Surface, plane: Plane): Float32Array {
  const { positions: p, indices } = surface;
  const [nx, ny, nz] = plane.normal;
  const level = nx * plane.origin[0] + ny * plane.origin[1] + nz * plane.origin[2];
  const height = new Float64Array(p.length / 3);
  for (let v = 0, i = 0; v < height.length; v++, i += 3) {
    height[v] = nx * p[i]! + ny * p[i + 1]! + nz * p[i + 2]! - level;
  }
  const found: number[] = [];
  // Both triangles at an edge reckon from its lower end, so that their pieces meet exactly.
  const crossing = (a: number, b: number) => {
    const [low, high] = height[a]! < height[b]! ? [a, b] : [b, a];
    const part = height[low]! / (height[low]! - height[high]!);
    for (let k = 0; k < 3; k++) {
      found.push(p[3 * low + k]! + (p[3 * high + k]! - p[3 * low + k]!) * part);
    }
  };
  for (let t = 0; t < indices.length; t += 3) {
    for (let k = 0; k < 3; k++) {
      // Turned until one corner stands alone on its side.
      const a = indices[t + k]!;
      const b = indices[t + ((k + 1) % 3)]!;
      const c = indices[t + ((k + 2) % 3)]!;
      const [high, next, last] = [height[a]! >= 0, height[b]! >= 0, height[c]! >= 0];
      if (high === next || high === last) continue;
      // The outline runs with the wood at its left, seen from the normal's tip.
      if (high) {
        crossing(a, b);
        crossing(c, a);
      } else {
        crossing(c, a);
        crossing(a, b);
      }
      break;
    }
  }
  return Float32Array.from(found);
}

/** Area of wood in the section, mm²: half the sum of the cross products along the outline. */
export function woodArea(pieces: Float32Array, plane: Plane): number {
  const [nx, ny, nz] = plane.normal;
  const [ox, oy, oz] = plane.origin;
  let twice = 0;
  for (let i = 0; i < pieces.length; i += 6) {
    const ax = pieces[i]! - ox, ay = pieces[i + 1]! - oy, az = pieces[i + 2]! - oz;
    const bx = pieces[i + 3]! - ox, by = pieces[i + 4]! - oy, bz = pieces[i + 5]! - oz;
    twice += nx * (ay * bz - az * by) + ny * (az * bx - ax * bz) + nz * (ax * by - ay * bx);
  }
  return twice / 2;
}
