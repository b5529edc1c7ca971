// How far a surface reaches, read from its file's own words: glTF states the least and the
// greatest position, so the numbers themselves need not be gone through.

const MAGIC = 0x46546c67;

type Point = [number, number, number];
export type Direction = "along" | "across";

export interface Extent {
  min: Point;
  max: Point;
}

interface Document {
  accessors?: { min?: number[]; max?: number[] }[];
  meshes?: { primitives?: { attributes?: { POSITION?: number } }[] }[];
}

/** The box around a surface, mm; none where the bytes are no glTF or do not say. */
export function extent(glb: ArrayBuffer): Extent | null {
  if (glb.byteLength < 20) return null;
  const view = new DataView(glb);
  const length = view.getUint32(12, true);
  if (view.getUint32(0, true) !== MAGIC || 20 + length > glb.byteLength) return null;
  let told: Document;
  try {
    told = JSON.parse(new TextDecoder().decode(new Uint8Array(glb, 20, length))) as Document;
  } catch {
    return null;
  }
  const at = told.meshes?.[0]?.primitives?.[0]?.attributes?.POSITION;
  const accessor = at === undefined ? undefined : told.accessors?.[at];
  const [min, max] = [accessor?.min, accessor?.max];
  if (min?.length !== 3 || max?.length !== 3) return null;
  return { min: min as Point, max: max as Point };
}

/** A plane through a piece: along its axis, or across it, at a share of its extent. */
export function plane(box: Extent, direction: Direction, at: number): { origin: Point; normal: Point } {
  const axis = axisOf(direction);
  const origin: Point = [0, 1, 2].map((each) => (box.min[each]! + box.max[each]!) / 2) as Point;
  origin[axis] = box.min[axis] + at * (box.max[axis] - box.min[axis]);
  // The wood that `normal` points to is taken away: the half towards the one who looks.
  return { origin, normal: direction === "along" ? [0, -1, 0] : [0, 0, 1] };
}

/** The share at which such a plane stands that goes through a point. */
export function shareOf(box: Extent, direction: Direction, point: readonly number[]): number {
  const axis = axisOf(direction);
  const share = (point[axis]! - box.min[axis]) / (box.max[axis] - box.min[axis]);
  return Math.min(0.98, Math.max(0.02, share));
}

const axisOf = (direction: Direction): 1 | 2 => (direction === "along" ? 1 : 2);
