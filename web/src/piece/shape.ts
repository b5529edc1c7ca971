/**
 * A surface as the graphics card holds it, and what is worked out of it once.
 *
 * The lists are handed to the card as they came. Sharp edges and bounds are found when
 * they are first asked for. A shelf of the last few shapes is kept by the bytes they were
 * read from: stepping through set-ups shows most meshes twice, as after and as before.
 */

import { BufferAttribute, BufferGeometry } from "three";
import { sharpEdges } from "./edges";
import { readSurface, type Surface } from "./glb";
import { lengthScale, valueScale, type Scale } from "./legend";
import type { Box, Point } from "./view";

export class Shape {
  readonly surface: Surface;
  readonly geometry = new BufferGeometry();
  #edges: Float32Array | null = null;
  #box: Box | null = null;
  #scales = new Map<string, Scale>();

  constructor(bytes: ArrayBuffer) {
    this.surface = readSurface(bytes);
    const { positions, normals, cuts, indices } = this.surface;
    this.geometry.setAttribute("position", new BufferAttribute(positions, 3));
    this.geometry.setAttribute("normal", new BufferAttribute(normals, 3));
    this.geometry.setAttribute("cut", new BufferAttribute(cuts, 1));
    this.geometry.setIndex(new BufferAttribute(indices, 1));
  }

  get edges(): Float32Array {
    return (this.#edges ??= sharpEdges(this.surface));
  }

  /** The least box in the surface's own frame. */
  get box(): Box {
    return (this.#box ??= boxOf(this.surface.positions));
  }

  amounts(by: "thickness" | "value"): Float32Array | null {
    return by === "thickness" ? this.surface.thickness : this.surface.value;
  }

  scale(by: "thickness" | "value", units: "mm" | "in"): Scale | null {
    const amounts = this.amounts(by);
    if (!amounts) return null;
    const key = by + units;
    let scale = this.#scales.get(key);
    if (!scale) {
      scale = by === "thickness" ? lengthScale(amounts, units) : valueScale(amounts);
      this.#scales.set(key, scale);
    }
    return scale;
  }

  /** Chooses the number that the shader colours by. */
  show(by: "thickness" | "value" | null): void {
    const amounts = by && this.amounts(by);
    const now = this.geometry.getAttribute("amount") as BufferAttribute | undefined;
    if (!amounts || now?.array === amounts) return;
    this.geometry.setAttribute("amount", new BufferAttribute(amounts, 1));
  }

  dispose(): void {
    this.geometry.dispose();
  }
}

/** The last few shapes by the bytes they came from. */
export class Shapes {
  readonly #kept = new Map<ArrayBuffer, Shape>();
  readonly #most: number;

  constructor(most = 8) {
    this.#most = most;
  }

  of(bytes: ArrayBuffer): Shape {
    const shape = this.#kept.get(bytes) ?? new Shape(bytes);
    this.#kept.delete(bytes);
    this.#kept.set(bytes, shape);
    for (const [oldest, old] of this.#kept) {
      if (this.#kept.size <= this.#most) break;
      this.#kept.delete(oldest);
      old.dispose();
    }
    return shape;
  }

  dispose(): void {
    for (const shape of this.#kept.values()) shape.dispose();
    this.#kept.clear();
  }
}

/** The least box about points. */
export function boxOf(positions: Float32Array): Box {
  const least = [Infinity, Infinity, Infinity];
  const most = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const at = positions[i]!;
    const k = i % 3;
    if (at < least[k]!) least[k] = at;
    if (at > most[k]!) most[k] = at;
  }
  if (positions.length === 0) return { least: [0, 0, 0], most: [0, 0, 0] };
  return { least: least as unknown as Point, most: most as unknown as Point };
}

/** The points after a matrix in column order. */
export function moved(positions: Float32Array, matrix: readonly number[]): Float32Array {
  const list = new Float32Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = [positions[i]!, positions[i + 1]!, positions[i + 2]!];
    for (let k = 0; k < 3; k++) {
      list[i + k] = matrix[k]! * x + matrix[k + 4]! * y + matrix[k + 8]! * z + matrix[k + 12]!;
    }
  }
  return list;
}
