/**
 * Solids turned about the lathe's axis: centres, jaws, pins.
 *
 * A closed profile of (x, r) is swept about x. Where it bends little it is drawn smooth, a
 * real corner stays a corner and gets a line round. Jaws are swept in four quarters with a
 * slot between, their cheeks filled in.
 */

import { BufferAttribute, BufferGeometry, ShapeUtils, Vector2 } from "three";

export type ProfilePoint = readonly [x: number, r: number];

/** Bends below this are drawn smooth, radians. */
const CORNER = (28 * Math.PI) / 180;

export interface Turned {
  readonly geometry: BufferGeometry;
  /** Its corners as pieces of line, six numbers each. */
  readonly edges: Float32Array;
}

/**
 * @param quarters number of equal parts with slots between, or 0 for a whole turn
 * @param slot angle of one slot, radians
 */
export function turned(profile: readonly ProfilePoint[], quarters = 0, slot = 0.16): Turned {
  const path = outwardsOn(withoutRepeats(profile));
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const edges: number[] = [];
  const parts = Math.max(1, quarters);
  const span = (2 * Math.PI) / parts - (quarters ? slot : 0);
  const steps = quarters ? Math.ceil(56 / parts) : 56;
  const count = path.length;

  const side = (i: number): [number, number] => {
    const [a, b] = [path[i % count]!, path[(i + 1) % count]!];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    // To the right of the way round, which is out of the solid.
    return [(b[1] - a[1]) / length, -(b[0] - a[0]) / length];
  };
  const bends = path.map((_, i) => {
    const [before, after] = [side(i + count - 1), side(i)];
    return before[0] * after[0] + before[1] * after[1] < Math.cos(CORNER);
  });

  for (let part = 0; part < parts; part++) {
    const from = (part * 2 * Math.PI) / parts + (quarters ? slot / 2 : 0);
    const ring = (k: number): [number, number] => {
      const angle = from + (span * k) / steps;
      return [Math.cos(angle), Math.sin(angle)];
    };
    for (let i = 0; i < count; i++) {
      const [a, b] = [path[i]!, path[(i + 1) % count]!];
      if (a[1] < 1e-9 && b[1] < 1e-9) continue;
      const own = side(i);
      const at = (corner: number, other: number): [number, number] => {
        if (bends[corner]) return own;
        const next = side(other);
        const sum: [number, number] = [own[0] + next[0], own[1] + next[1]];
        const length = Math.hypot(...sum) || 1;
        return [sum[0] / length, sum[1] / length];
      };
      const ends = [
        { point: a, normal: at(i, (i + count - 1) % count) },
        { point: b, normal: at((i + 1) % count, (i + 1) % count) },
      ];
      const first = positions.length / 3;
      for (let k = 0; k <= steps; k++) {
        const [c, s] = ring(k);
        for (const { point, normal } of ends) {
          positions.push(point[0], point[1] * c, point[1] * s);
          normals.push(normal[0], normal[1] * c, normal[1] * s);
        }
      }
      for (let k = 0; k < steps; k++) {
        const v = first + 2 * k;
        indices.push(v, v + 1, v + 2, v + 2, v + 1, v + 3);
      }
      if (bends[i] && a[1] > 1e-9) {
        for (let k = 0; k < steps; k++) {
          for (const [c, s] of [ring(k), ring(k + 1)]) edges.push(a[0], a[1] * c, a[1] * s);
        }
      }
    }
    if (quarters) {
      for (const k of [0, steps]) cheek(path, ring(k), k === 0, positions, normals, indices, edges);
    }
  }

  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(Float32Array.from(positions), 3));
  geometry.setAttribute("normal", new BufferAttribute(Float32Array.from(normals), 3));
  geometry.setIndex(new BufferAttribute(Uint32Array.from(indices), 1));
  return { geometry, edges: Float32Array.from(edges) };
}

/** The flat face of a slot. */
function cheek(
  path: readonly ProfilePoint[],
  [c, s]: [number, number],
  first: boolean,
  positions: number[],
  normals: number[],
  indices: number[],
  edges: number[],
): void {
  const start = positions.length / 3;
  const turn = first ? 1 : -1;
  for (const [x, r] of path) {
    positions.push(x, r * c, r * s);
    normals.push(0, turn * s, -turn * c);
  }
  path.forEach(([x, r], i) => {
    const [nextX, nextR] = path[(i + 1) % path.length]!;
    edges.push(x, r * c, r * s, nextX, nextR * c, nextR * s);
  });
  const flat = path.map(([x, r]) => new Vector2(x, r));
  for (const [a, b, d] of ShapeUtils.triangulateShape(flat, []) as [number, number, number][]) {
    const [p, q, t] = [flat[a]!, flat[b]!, flat[d]!];
    const anticlockwise = (q.x - p.x) * (t.y - p.y) - (q.y - p.y) * (t.x - p.x) > 0;
    indices.push(...(anticlockwise === first ? [start + a, start + d, start + b] : [start + a, start + b, start + d]));
  }
}

/** Anticlockwise with x to the right and r up: the solid lies at the left. */
function outwardsOn(path: readonly ProfilePoint[]): readonly ProfilePoint[] {
  let twice = 0;
  path.forEach(([x, r], i) => {
    const [nextX, nextR] = path[(i + 1) % path.length]!;
    twice += x * nextR - nextX * r;
  });
  return twice < 0 ? [...path].reverse() : path;
}

function withoutRepeats(path: readonly ProfilePoint[]): readonly ProfilePoint[] {
  return path.filter(([x, r], i) => {
    const [beforeX, beforeR] = path[(i + path.length - 1) % path.length]!;
    return Math.hypot(x - beforeX, r - beforeR) > 1e-9;
  });
}
