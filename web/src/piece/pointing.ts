/**
 * What the pointer touches: the wood under it, and the handle of the cutting plane.
 *
 * The wood is asked at most once a frame, however fast the pointer moves, and no frame is
 * drawn for it.
 */

import { Vector3 } from "three";
import type { Picture } from "./picture";
import { firstHit } from "./ray";
import type { Plane } from "./section";
import type { Solids } from "./solids";
import { FIELD, type Point } from "./view";

export interface Picked {
  readonly at: Point;
  /** Unit normal of the surface there, out of the wood. */
  readonly normal: Point;
  /** Number of the cut that made the surface, and its name. */
  readonly cut: number;
  readonly name: string;
  /** Where the mesh has it, mm. */
  readonly thickness: number | null;
  /** Where in the picture, in the page's pixels. */
  readonly x: number;
  readonly y: number;
  /** By a tap or a click, rather than by passing over. */
  readonly tapped: boolean;
}

interface Pointer {
  readonly x: number;
  readonly y: number;
  readonly tapped: boolean;
}

/** How near to the handle a finger may land, pixels: a target of 52. */
const REACH = 26;

export class Pointing {
  /** Told what lies under the pointer, and `null` when that is no wood. */
  picked: ((picked: Picked | null) => void) | null = null;
  readonly #picture: Picture;
  readonly #solids: Solids;
  #pointer: Pointer | null = null;
  #asked = 0;
  #grip: { x: number; y: number; plane: Plane } | null = null;

  constructor(picture: Picture, solids: Solids) {
    this.#picture = picture;
    this.#solids = solids;
  }

  point(at: Pointer | null): void {
    // A tap that waits for its frame is not lost to a pointer that moves on.
    if (!at?.tapped && this.#pointer?.tapped) return;
    this.#pointer = at;
    if (!this.picked || this.#asked) return;
    this.#asked = requestAnimationFrame(() => {
      this.#asked = 0;
      this.#answer();
    });
  }

  #answer(): void {
    const pointer = this.#pointer;
    const shape = this.#solids.seen;
    this.#pointer = null;
    if (!pointer || !shape) {
      this.picked?.(null);
      return;
    }
    const { from, direction } = this.#picture.sight(pointer.x, pointer.y, this.#solids.object.matrixWorld);
    const hit = firstHit(shape.surface, from, direction, this.#solids.plane);
    if (!hit) {
      this.picked?.(null);
      return;
    }
    const { at, normal, cut, thickness } = hit;
    this.picked?.({ at, normal, cut, name: shape.surface.cutNames[cut] ?? "", thickness, ...pointer });
  }

  /** Takes hold of the cutting plane, where its handle lies there. */
  grab(x: number, y: number): boolean {
    const { handle, plane } = this.#solids;
    if (!handle || !plane) return false;
    const at = this.#seen(handle, plane, 0);
    if (!at || Math.hypot(at.x - x, at.y - y) > REACH) return false;
    this.#grip = { x, y, plane };
    return true;
  }

  /** Where the plane lies when what was taken hold of follows the pointer along its normal. */
  drag(x: number, y: number): Plane | null {
    const grip = this.#grip;
    const handle = this.#solids.handle;
    if (!grip || !handle) return null;
    const [here, there] = [this.#seen(handle, grip.plane, 0), this.#seen(handle, grip.plane, 1)];
    if (!here || !there) return null;
    const [ax, ay] = [there.x - here.x, there.y - here.y];
    const square = ax * ax + ay * ay;
    const mm = (2 * this.#picture.view.distance * Math.tan(FIELD / 2)) / this.#picture.size.height;
    // Looked at along its normal, the plane has no such way on the screen: down is nearer.
    const sideways = square * mm * mm > 0.04;
    const far = sideways ? ((x - grip.x) * ax + (y - grip.y) * ay) / square : (y - grip.y) * mm;
    const { origin, normal } = grip.plane;
    return { origin: origin.map((part, k) => part + far * normal[k]!) as unknown as Point, normal };
  }

  dispose(): void {
    cancelAnimationFrame(this.#asked);
    this.picked = null;
  }

  /** A point moved along the plane's normal, as it is seen. */
  #seen(at: Point, plane: Plane, far: number): { x: number; y: number } | null {
    const place = new Vector3(...at).addScaledVector(new Vector3(...plane.normal), far);
    return this.#picture.project(place.applyMatrix4(this.#solids.object.matrixWorld));
  }
}
