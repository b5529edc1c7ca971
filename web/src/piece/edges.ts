/**
 * Finds the sharp edges of a surface, the ones a turner sees and feels.
 *
 * The server writes one vertex for each corner, cut and normal, so a smooth stretch shares
 * its vertices and a sharp edge has a vertex on either side. An edge of a triangle whose
 * other direction no triangle names is therefore the border of a smooth stretch. Borders
 * are paired by the position of their ends, and a pair counts as sharp where the normals
 * of its two sides differ by more than the angle asked for: two cuts that run tangent into
 * each other leave no line.
 */

import type { Surface } from "./glb";

/** Normals that differ by less than this are one surface to the eye, radians. */
export const SHARP = (12 * Math.PI) / 180;

/** Sharp edges as six numbers each: the one end, the other end, in the surface's frame. */
export function sharpEdges(surface: Surface, angle = SHARP): Float32Array {
  const { positions, normals, indices } = surface;
  const borders = borderEdges(indices, positions.length / 3);
  const place = placesOf(borders, positions);

  // A border runs from a to b on its own side and from b to a on the other.
  const places = positions.length / 3;
  const twins = new Map<number, number>();
  for (let i = 0; i < borders.length; i += 2) {
    twins.set(place[borders[i]!]! * places + place[borders[i + 1]!]!, i);
  }
  const least = Math.cos(angle);
  const found: number[] = [];
  for (let i = 0; i < borders.length; i += 2) {
    const a = borders[i]!;
    const b = borders[i + 1]!;
    const twin = twins.get(place[b]! * places + place[a]!);
    if (twin !== undefined) {
      // Each pair is met twice and drawn once.
      if (twin < i) continue;
      const atA = along(normals, a, borders[twin + 1]!);
      const atB = along(normals, b, borders[twin]!);
      if (Math.min(atA, atB) > least) continue;
    }
    for (const end of [a, b]) {
      found.push(positions[3 * end]!, positions[3 * end + 1]!, positions[3 * end + 2]!);
    }
  }
  return Float32Array.from(found);
}

/** Directed edges, two vertices each, whose other direction belongs to no triangle. */
function borderEdges(indices: Uint32Array, vertices: number): number[] {
  // The edges out of each vertex, in one list with a start for each vertex.
  const start = new Uint32Array(vertices + 1);
  for (let i = 0; i < indices.length; i++) start[indices[i]! + 1]!++;
  for (let v = 0; v < vertices; v++) start[v + 1]! += start[v]!;
  const free = start.slice(0, vertices);
  const ends = new Uint32Array(indices.length);
  for (let i = 0; i < indices.length; i++) {
    const next = i % 3 === 2 ? i - 2 : i + 1;
    ends[free[indices[i]!]!++] = indices[next]!;
  }
  const borders: number[] = [];
  for (let a = 0; a < vertices; a++) {
    for (let k = start[a]!; k < start[a + 1]!; k++) {
      const b = ends[k]!;
      let back = false;
      for (let j = start[b]!; j < start[b + 1]! && !back; j++) back = ends[j] === a;
      if (!back) borders.push(a, b);
    }
  }
  return borders;
}

/** For each vertex of a border the first vertex that stands at the very same point. */
function placesOf(borders: number[], positions: Float32Array): Int32Array {
  const bits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  const place = new Int32Array(positions.length / 3).fill(-1);
  let size = 64;
  while (size < borders.length * 2) size *= 2;
  const table = new Int32Array(size).fill(-1);
  // 0 and -0 are one place and two patterns of bits.
  const word = (at: number) => (bits[at] === -0x80000000 ? 0 : bits[at]!);
  for (const vertex of borders) {
    if (place[vertex] !== -1) continue;
    const [x, y, z] = [word(3 * vertex), word(3 * vertex + 1), word(3 * vertex + 2)];
    let mixed = Math.imul(x, 73856093) ^ Math.imul(y, 19349663) ^ Math.imul(z, 83492791);
    mixed ^= mixed >>> 15;
    let slot = mixed & (size - 1);
    for (;;) {
      const other = table[slot]!;
      if (other === -1) {
        table[slot] = vertex;
        place[vertex] = vertex;
        break;
      }
      if (word(3 * other) === x && word(3 * other + 1) === y && word(3 * other + 2) === z) {
        place[vertex] = other;
        break;
      }
      slot = (slot + 1) & (size - 1);
    }
  }
  return place;
}

function along(normals: Float32Array, a: number, b: number): number {
  const [i, j] = [3 * a, 3 * b];
  return normals[i]! * normals[j]! + normals[i + 1]! * normals[j + 1]! + normals[i + 2]! * normals[j + 2]!;
}
