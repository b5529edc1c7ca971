/**
 * Where the eye stands for a piece: at home for its size, and where it was while a number
 * changes.
 *
 * A piece that grows or moves by a changed number keeps the angles and, while it fits, the
 * distance, so that the change is seen for what it is. Another piece or another mounting
 * is looked at anew.
 */

import type { Picture } from "./picture";
import type { MountedScene } from "./scene";
import { boxOf } from "./shape";
import { fitted, middleOf, panned, turned, zoomed, type Point, type View } from "./view";

const HOME = {
  upright: { azimuth: 0.52, elevation: 0.34 },
  mounted: { azimuth: 0.06, elevation: 0.24 },
};
/** Angle for each pixel of a drag. */
const DRAG = 0.008;
/** How long the eye travels, milliseconds. */
export const TRAVEL = { fly: 450, home: 350, nudge: 120 };

export class Framing {
  readonly #picture: Picture;
  #home: View | null = null;
  /** What the home view shows, in the world. */
  #points: Float32Array = new Float32Array(0);
  /** Half the greatest breadth of the piece, mm. */
  extent = 30;

  constructor(picture: Picture) {
    this.#picture = picture;
  }

  /** Takes in what is shown: points of the wood, and points of signs about it. */
  show(wood: Float32Array, signs: readonly number[], mounted: boolean, anew: boolean): void {
    const box = boxOf(wood);
    this.extent = Math.max(...box.most.map((most, k) => (most - box.least[k]!) / 2), 1);
    const points = new Float32Array(wood.length + signs.length);
    points.set(wood);
    points.set(signs, wood.length);
    // Room along the lathe for what holds the piece.
    const centre = middleOf(box)[0];
    if (mounted) for (let i = 0; i < wood.length; i += 3) points[i] = centre + 1.4 * (wood[i]! - centre);
    this.#points = points;

    const before = this.#home;
    const home = fitted(points, middleOf(box), mounted ? HOME.mounted : HOME.upright, this.#picture.aspect);
    this.#home = home;
    if (!before || anew) {
      this.look(home);
      return;
    }
    const view = this.#picture.view;
    const grown = home.distance / before.distance;
    const distance = grown > 1.3 || grown < 0.77 ? view.distance * grown : view.distance;
    const target = view.target.map((part, k) => part + home.target[k]! - before.target[k]!) as unknown as Point;
    this.look({ ...view, distance, target });
  }

  look(view: View, milliseconds = 0): void {
    const away = this.#home ? Math.hypot(...view.target.map((part, k) => part - this.#home!.target[k]!)) : 0;
    this.#picture.reach = 9 * this.extent + away;
    this.#picture.look(view, milliseconds);
  }

  /** Looks from near at a point of the world, no farther than from home. */
  visit(target: Point, angles: { azimuth: number; elevation: number }, distance: number): void {
    this.look({ ...angles, target, distance: Math.min(distance, this.#home?.distance ?? Infinity) }, TRAVEL.fly);
  }

  home(): void {
    if (this.#home) this.look(this.#home, TRAVEL.home);
  }

  turn(dx: number, dy: number, milliseconds = 0): void {
    this.look(turned(this.#picture.view, -dx * DRAG, dy * DRAG), milliseconds);
  }

  zoom(factor: number, milliseconds = 0): void {
    const most = 3 * (this.#home?.distance ?? 300);
    this.look(zoomed(this.#picture.view, factor, 1.15 * this.extent, most), milliseconds);
  }

  pan(dx: number, dy: number): void {
    this.look(panned(this.#picture.view, dx, dy, this.#picture.size.height));
  }

  resize(): void {
    const before = this.#picture.aspect;
    this.#picture.resize();
    const home = this.#home;
    // A turned phone, or a picture that was hidden, shows the whole piece again.
    if (!home || Math.abs(this.#picture.aspect / before - 1) < 1e-3) return;
    const view = this.#picture.view;
    this.#home = fitted(this.#points, home.target, home, this.#picture.aspect);
    this.look({ ...view, distance: (view.distance * this.#home.distance) / home.distance });
  }
}

/** Points that the signs of a mounting reach, in the world: the way in of each path. */
export function signsOf(scene: MountedScene, above: number): number[] {
  return scene.paths.flatMap(({ points: [start] }) => (start ? [start[0]!, start[1]! + above, 0] : []));
}
