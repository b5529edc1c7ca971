/** What the tests of the viewer share: a real mesh, and small solids with known answers. */

import { readFileSync } from "node:fs";
import { readSurface, type Surface } from "./glb";
import type { Point } from "./view";

export function ballBytes(): ArrayBuffer {
  const file = readFileSync(new URL("./fixtures/ball.glb", import.meta.url));
  return file.buffer.slice(file.byteOffset, file.byteOffset + file.byteLength) as ArrayBuffer;
}

export function ball(): Surface {
  return readSurface(ballBytes());
}

/** A cube about the origin, its faces with vertices of their own, as the server writes them. */
export function cube(side: number): Surface {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const cuts: number[] = [];
  for (let axis = 0; axis < 3; axis++) {
    for (const sign of [-1, 1]) {
      const first = positions.length / 3;
      for (const [a, b] of [[-1, -1], [1, -1], [1, 1], [-1, 1]] as const) {
        const at = [0, 0, 0];
        at[axis] = (sign * side) / 2;
        at[(axis + 1) % 3] = (a * side) / 2;
        at[(axis + 2) % 3] = (b * side) / 2;
        positions.push(...at);
        normals.push(...[0, 1, 2].map((k) => (k === axis ? sign : 0)));
        cuts.push(axis);
      }
      const order = sign > 0 ? [0, 1, 2, 0, 2, 3] : [0, 2, 1, 0, 3, 2];
      indices.push(...order.map((k) => first + k));
    }
  }
  return surface(positions, normals, indices, cuts);
}

/** A cylinder about z with smooth walls and two flat ends. */
export function cylinder(radius: number, height: number, sides: number): Surface {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const at = (k: number): [number, number] => {
    const angle = (2 * Math.PI * k) / sides;
    return [Math.cos(angle), Math.sin(angle)];
  };
  for (let k = 0; k < sides; k++) {
    const [c, s] = at(k);
    for (const z of [-height / 2, height / 2]) {
      positions.push(radius * c, radius * s, z);
      normals.push(c, s, 0);
    }
    const [a, b] = [2 * k, 2 * ((k + 1) % sides)];
    indices.push(a, b, b + 1, a, b + 1, a + 1);
  }
  for (const sign of [-1, 1]) {
    const first = positions.length / 3;
    for (let k = 0; k < sides; k++) {
      const [c, s] = at(k);
      positions.push(radius * c, radius * s, (sign * height) / 2);
      normals.push(0, 0, sign);
    }
    for (let k = 1; k + 1 < sides; k++) {
      indices.push(first, ...(sign > 0 ? [first + k, first + k + 1] : [first + k + 1, first + k]));
    }
  }
  return surface(positions, normals, indices, positions.map(() => 0).slice(0, positions.length / 3));
}

function surface(positions: number[], normals: number[], indices: number[], cuts: number[]): Surface {
  return {
    title: "",
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    cuts: Float32Array.from(cuts),
    thickness: Float32Array.from(positions.filter((_, i) => i % 3 === 0)),
    value: null,
    valueName: "",
    valueUnit: "",
    indices: Uint32Array.from(indices),
    cutNames: ["end", "side", "top"],
  };
}

/** Volume inside triangles, by the divergence theorem: a sixth of the sum of a·(b×c). */
export function volume(positions: ArrayLike<number>, indices: ArrayLike<number>): number {
  let six = 0;
  for (let t = 0; t < indices.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * indices[t + k]!) as [number, number, number];
    const p = (at: number, k: number) => positions[at + k]!;
    six +=
      p(a, 0) * (p(b, 1) * p(c, 2) - p(b, 2) * p(c, 1)) +
      p(a, 1) * (p(b, 2) * p(c, 0) - p(b, 0) * p(c, 2)) +
      p(a, 2) * (p(b, 0) * p(c, 1) - p(b, 1) * p(c, 0));
  }
  return six / 6;
}

/** Points that look thrown, the same in every run. */
export function thrown(count: number, seed = 7): Point[] {
  let state = seed;
  const next = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 31 - 1;
  };
  return Array.from({ length: count }, () => [next(), next(), next()] as const);
}
