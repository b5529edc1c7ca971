/**
 * Where the eye stands: a turntable about a target, and how far off everything is seen.
 *
 * World frame: x to the right along the lathe from headstock to tailstock, y up, z towards
 * the turner. Azimuth 0 looks from the turner's place; angles in radians, lengths in mm.
 * Plain numbers only, so that it can be tested without a screen.
 */

export type Point = readonly [number, number, number];

export interface View {
  readonly azimuth: number;
  readonly elevation: number;
  readonly distance: number;
  readonly target: Point;
}

/** Height of the field of view: modest, so that round things look round. */
export const FIELD = (26 * Math.PI) / 180;

/** How steeply one may look; straight down would lose the sense of left and right. */
const STEEPEST = (89 * Math.PI) / 180;

/** Unit vector from the target to the eye. */
export function outward(view: View): Point {
  const level = Math.cos(view.elevation);
  return [
    Math.sin(view.azimuth) * level,
    Math.sin(view.elevation),
    Math.cos(view.azimuth) * level,
  ];
}

export function eye(view: View): Point {
  const out = outward(view);
  return [0, 1, 2].map((k) => view.target[k]! + view.distance * out[k]!) as unknown as Point;
}

/** Unit vectors to the right and up in the picture. */
export function across(view: View): { right: Point; up: Point } {
  const [s, c] = [Math.sin(view.azimuth), Math.cos(view.azimuth)];
  const [se, ce] = [Math.sin(view.elevation), Math.cos(view.elevation)];
  return { right: [c, 0, -s], up: [-s * se, ce, -c * se] };
}

/** The view turned by angles: positive dx carries the eye to the right of the piece. */
export function turned(view: View, dx: number, dy: number): View {
  const elevation = Math.min(STEEPEST, Math.max(-STEEPEST, view.elevation + dy));
  return { ...view, azimuth: nearest(view.azimuth + dx), elevation };
}

/** The view from the other side of `factor`: 2 stands twice as near. */
export function zoomed(view: View, factor: number, nearest: number, farthest: number): View {
  const distance = Math.min(farthest, Math.max(nearest, view.distance / factor));
  return { ...view, distance };
}

/** The view with its target moved so that the picture shifts by pixels. */
export function panned(view: View, dx: number, dy: number, height: number): View {
  const { right, up } = across(view);
  const mm = (2 * view.distance * Math.tan(FIELD / 2)) / height;
  const target = [0, 1, 2].map(
    (k) => view.target[k]! + mm * (-dx * right[k]! + dy * up[k]!),
  ) as unknown as Point;
  return { ...view, target };
}

/** Between two views, the short way round; `part` from 0 to 1. */
export function between(from: View, to: View, part: number): View {
  const mix = (a: number, b: number) => a + (b - a) * part;
  return {
    azimuth: from.azimuth + nearest(to.azimuth - from.azimuth) * part,
    elevation: mix(from.elevation, to.elevation),
    // Even in ratio, so that coming near does not rush at the end.
    distance: from.distance * Math.pow(to.distance / from.distance, part),
    target: [0, 1, 2].map((k) => mix(from.target[k]!, to.target[k]!)) as unknown as Point,
  };
}

/** Angles of the view from outside along a direction. */
export function facing(direction: Point): { azimuth: number; elevation: number } {
  const length = Math.hypot(...direction) || 1;
  const elevation = Math.asin(Math.min(1, Math.max(-1, direction[1] / length)));
  return {
    azimuth: Math.hypot(direction[0], direction[2]) < 1e-6 * length ? 0 : Math.atan2(direction[0], direction[2]),
    elevation: Math.min(STEEPEST, Math.max(-STEEPEST, elevation)),
  };
}

/** A box, by its least and its greatest corner. */
export interface Box {
  readonly least: Point;
  readonly most: Point;
}

/**
 * The view at the given angles that shows all points, `margin` being the share of the
 * picture left free at each side. A point at (x, y, z) right, up and towards the eye of
 * the target is inside when its x is below (distance - z) tan(half field): solved for the
 * distance, the greatest over all points.
 */
export function fitted(
  points: Float32Array,
  target: Point,
  angles: { azimuth: number; elevation: number },
  aspect: number,
  margin = 0.07,
): View {
  const view: View = { azimuth: angles.azimuth, elevation: angles.elevation, distance: 1, target };
  const { right, up } = across(view);
  const out = outward(view);
  const tall = Math.tan(FIELD / 2) * (1 - 2 * margin);
  const wide = tall * Math.max(aspect, 0.05);
  let distance = 1;
  for (let i = 0; i < points.length; i += 3) {
    const [x, y, z] = [points[i]! - target[0], points[i + 1]! - target[1], points[i + 2]! - target[2]];
    const towards = x * out[0] + y * out[1] + z * out[2];
    const aside = Math.abs(x * right[0] + y * right[1] + z * right[2]);
    const above = Math.abs(x * up[0] + y * up[1] + z * up[2]);
    distance = Math.max(distance, towards + aside / wide, towards + above / tall);
  }
  return { ...view, distance };
}

export function middleOf(box: Box): Point {
  return box.least.map((least, k) => (least + box.most[k]!) / 2) as unknown as Point;
}

export function dot(a: Point, b: Point): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** The same angle between -π and π. */
function nearest(angle: number): number {
  const turn = 2 * Math.PI;
  return angle - turn * Math.round(angle / turn);
}
