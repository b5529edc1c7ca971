/**
 * The piece in a canvas: the one door through which the page draws wood.
 *
 * Everything is handed in, nothing is fetched. The page says what to show and how; the
 * picture answers with legends, with what lies under the pointer, and with a frame.
 * Lengths are mm. Points and planes are in the piece's own frame, angles in radians.
 */

import { Matrix4, Vector3 } from "three";
import { bestView, FindingMark, middle, type Gap } from "./finding";
import { listen } from "./gestures";
import { scaleLegend, stepLegend, type LegendEntry } from "./legend";
import { ABOVE, Mounting } from "./mounting";
import { Overlay, type Seen } from "./overlay";
import { Picture } from "./picture";
import { firstHit } from "./ray";
import type { Label, MountedScene, PieceWords } from "./scene";
import { heightOver, type Plane } from "./section";
import { boxOf, moved, Shapes } from "./shape";
import { Solids, type ColourBy } from "./solids";
import { THEMES, type ThemeName } from "./theme";
import { facing, FIELD, fitted, middleOf, panned, turned, zoomed, type Point, type View } from "./view";

export interface PieceOptions {
  readonly theme: ThemeName;
  readonly strings: PieceWords;
  /** The plane was dragged by its handle in the picture. */
  readonly onCut?: (plane: Plane) => void;
  /** The graphics card was lost, or is back. */
  readonly onLost?: (lost: boolean) => void;
}

export interface Shown {
  /** Binary glTF of the wood after the step. Not copied; leave it unchanged. */
  readonly mesh: ArrayBuffer;
  /** Binary glTF of the wood before it. */
  readonly before?: ArrayBuffer | null;
  readonly scene?: MountedScene | null;
  /** As it sits on the lathe, rather than upright by itself. */
  readonly mounted: boolean;
}

export interface Picked {
  readonly at: Point;
  readonly cut: number;
  readonly name: string;
  readonly thickness: number | null;
  /** Where in the picture, in the page's pixels. */
  readonly x: number;
  readonly y: number;
  readonly tapped: boolean;
}

/** Upright: z of the piece points up. */
const UPRIGHT = [1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1];
const HOME = {
  upright: { azimuth: 0.52, elevation: 0.34 },
  mounted: { azimuth: 0.06, elevation: 0.24 },
};
/** Angle for each pixel of a drag. */
const DRAG = 0.008;
/** How long the eye travels, milliseconds. */
const TRAVEL = { fly: 450, home: 350, nudge: 120 };

export class Piece {
  /** Fulfilled when the first piece has been drawn. */
  readonly ready: Promise<void>;
  readonly #picture: Picture;
  readonly #solids: Solids;
  readonly #shapes = new Shapes();
  readonly #overlay: Overlay;
  readonly #options: PieceOptions;
  readonly #deafen: () => void;
  readonly #watch: ResizeObserver;
  #theme: ThemeName;
  #strings: PieceWords;
  #drawn: () => void = () => {};
  #scene: MountedScene | null = null;
  #mounting: Mounting | null = null;
  #step: string | null = null;
  #finding: FindingMark | null = null;
  #place: { at: Point; gap: Gap | null; out: Point } | null = null;
  #labels: readonly Label[] = [];
  #mounted = false;
  #home: View | null = null;
  /** What the home view shows, in the world. */
  #points: Float32Array = new Float32Array(0);
  #extent = 30;
  #picked: ((picked: Picked | null) => void) | null = null;
  #pointer: { x: number; y: number; tapped: boolean } | null = null;
  #grip: { x: number; y: number; plane: Plane } | null = null;

  /** Throws where the browser has no WebGL 2. */
  constructor(canvas: HTMLCanvasElement, options: PieceOptions) {
    this.#options = options;
    this.#theme = options.theme;
    this.#strings = options.strings;
    const theme = THEMES[options.theme];
    this.#picture = new Picture(canvas);
    this.#solids = new Solids(this.#picture.shared, theme);
    this.#overlay = new Overlay(canvas, theme);
    this.#solids.object.matrixAutoUpdate = false;
    this.#picture.scene.add(this.#solids.object);
    this.ready = new Promise((resolve) => (this.#drawn = resolve));
    this.#picture.before = () => this.#beforeFrame();
    this.#picture.after = () => {
      if (this.#solids.left) this.#drawn();
    };
    this.#picture.lost = (lost) => options.onLost?.(lost);
    this.#watch = new ResizeObserver(() => this.resize());
    this.#watch.observe(canvas);
    this.#deafen = listen(canvas, {
      turn: (dx, dy) => this.#look(turned(this.#picture.view, -dx * DRAG, dy * DRAG)),
      zoom: (factor) => this.#zoom(factor, 0),
      pan: (dx, dy) => this.#look(panned(this.#picture.view, dx, dy, this.#picture.size.height)),
      point: (at) => this.#point(at),
      grab: (x, y) => this.#grab(x, y),
      drag: (x, y) => this.#drag(x, y),
    });
  }

  /** Shows another state of the wood; throws `UnreadableMesh`, and then shows what it did. */
  show({ mesh, before, scene, mounted }: Shown): void {
    const left = this.#shapes.of(mesh);
    const was = before ? this.#shapes.of(before) : null;
    const onLathe = mounted && !!scene;
    const matrix = onLathe ? scene.lathe_from_piece : UPRIGHT;
    this.#solids.object.matrix.fromArray([...matrix]);
    this.#solids.object.matrixWorldNeedsUpdate = true;
    this.#solids.show(left, was);

    const points = moved((was ?? left).surface.positions, matrix);
    const box = boxOf(points);
    this.#extent = Math.max(...box.most.map((most, k) => (most - box.least[k]!) / 2), 1);
    const own = (was ?? left).box;
    const size = Math.max(own.most[0] - own.least[0], own.most[1] - own.least[1]) / 2;
    const turnedOver = onLathe !== this.#mounted || (onLathe && scene.setup !== this.#scene?.setup);
    this.#mounted = onLathe;
    this.#scene = onLathe ? scene : null;
    this.#mount(size);
    if (turnedOver) this.#mark(null);
    this.#frame(onLathe ? withRoom(points, scene.paths, size) : points, middleOf(box), onLathe, turnedOver);
    this.#relabel();
    this.#picture.draw();
  }

  colour(by: ColourBy): void {
    this.#solids.colour(by, this.#strings.units);
    this.#picture.draw();
  }

  /** What the colours mean; empty while the wood is shown as wood. */
  legend(): LegendEntry[] {
    const left = this.#solids.left;
    const by = this.#solids.by;
    if (!left || by === "wood") return [];
    if (by === "step") return stepLegend(left.surface);
    const scale = left.scale(by, this.#strings.units)!;
    const { length, value } = this.#strings;
    const unit = left.surface.valueUnit;
    return scaleLegend(scale, by === "thickness" ? length : (number) => value(number, unit));
  }

  /** Takes away the wood that `normal` points to; off shows it whole again. */
  cut({ on, origin, normal }: { on: boolean; origin?: Point; normal?: Point }): void {
    const length = normal ? Math.hypot(...normal) : 0;
    const unit = length > 0 ? (normal!.map((part) => part / length) as unknown as Point) : null;
    this.#solids.cut(on ? { origin: origin ?? [0, 0, 0], normal: unit ?? [0, 1, 0] } : null);
    this.#mounting?.cutting(on);
    this.#picture.draw();
  }

  /** From 0, the wood before the step, to 1, the wood after it. */
  compare(share: number): void {
    this.#solids.compare(share);
    this.#picture.draw();
  }

  /** Shows the tool's path of one step only; `null` shows that of all. */
  step(id: string | null): void {
    this.#step = id;
    this.#mounting?.step(id);
    this.#picture.draw();
  }

  /** Looks at a place from outside and marks it; `null` takes the mark away. */
  fly(to: { at: readonly number[]; gap?: readonly (readonly number[])[] | null; normal?: readonly number[] | null } | null): void {
    const left = this.#solids.left;
    if (!to || !left) {
      this.#mark(null);
      return;
    }
    const gap = to.gap?.length === 2 ? (to.gap as unknown as Gap) : null;
    const at = gap ? middle(gap) : (to.at as unknown as Point);
    const out = (to.normal as unknown as Point | null) ?? bestView(left.surface, at, gap, this.#breadth());
    this.#mark({ at, gap, out });
    const frame = this.#solids.object.matrix;
    const direction = new Vector3(...out).transformDirection(frame).toArray();
    const length = gap ? Math.hypot(...gap[0].map((part, k) => gap[1][k]! - part)) : 0;
    const near = Math.max(2.4 * this.#extent, (4 * length) / (2 * Math.tan(FIELD / 2)));
    const view = {
      ...facing(direction),
      distance: Math.min(near + this.#extent, this.#home?.distance ?? Infinity),
      target: new Vector3(...at).applyMatrix4(frame).toArray(),
    };
    this.#look(view, TRAVEL.fly);
  }

  /** Tells what lies under the pointer or the tap, at most once a frame. */
  pick(callback: ((picked: Picked | null) => void) | null): void {
    this.#picked = callback;
  }

  /** Turns the piece as a drag by so many pixels would. */
  turn(dx: number, dy: number): void {
    this.#look(turned(this.#picture.view, -dx * DRAG, dy * DRAG), TRAVEL.nudge);
  }

  /** Comes nearer by a factor. */
  zoom(factor: number): void {
    this.#zoom(factor, TRAVEL.nudge);
  }

  home(): void {
    if (this.#home) this.#look(this.#home, TRAVEL.home);
  }

  theme(theme: ThemeName): void {
    this.#theme = theme;
    this.#solids.theme(THEMES[theme]);
    this.#overlay.theme(THEMES[theme]);
    this.#mount(this.#breadth());
    this.#mark(this.#place);
    this.colour(this.#solids.by);
  }

  /** Other words, as when the units change. */
  strings(strings: PieceWords): void {
    this.#strings = strings;
    this.#solids.colour(this.#solids.by, strings.units);
    this.#mark(this.#place);
    this.#picture.draw();
  }

  resize(): void {
    const before = this.#picture.aspect;
    this.#picture.resize();
    // A turned phone shows the whole piece again.
    if (this.#home && Math.abs(this.#picture.aspect / before - 1) > 0.25) this.#refit();
  }

  /** The picture as it stands, with its labels, on a ground of the theme. */
  async snapshot(): Promise<Blob> {
    this.#picture.now();
    const { canvas } = this.#picture;
    const copy = document.createElement("canvas");
    [copy.width, copy.height] = [canvas.width, canvas.height];
    const to = copy.getContext("2d");
    if (!to) throw new Error("The browser gives no second canvas to keep the picture in.");
    to.fillStyle = THEMES[this.#theme].ground;
    to.fillRect(0, 0, copy.width, copy.height);
    to.drawImage(canvas, 0, 0);
    this.#overlay.paint(to, this.#picture.shared.density.value);
    return new Promise((resolve, reject) => {
      copy.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("The picture is too large to keep."))));
    });
  }

  dispose(): void {
    this.#deafen();
    this.#watch.disconnect();
    this.#mounting?.dispose();
    this.#finding?.dispose();
    this.#solids.dispose();
    this.#shapes.dispose();
    this.#overlay.dispose();
    this.#picture.dispose();
  }

  #look(view: View, milliseconds = 0): void {
    const away = this.#home ? Math.hypot(...view.target.map((part, k) => part - this.#home!.target[k]!)) : 0;
    this.#picture.reach = 9 * this.#extent + away;
    this.#picture.look(view, milliseconds);
  }

  #zoom(factor: number, milliseconds: number): void {
    const most = 3 * (this.#home?.distance ?? 300);
    this.#look(zoomed(this.#picture.view, factor, 1.15 * this.#extent, most), milliseconds);
  }

  /** Keeps the eye where it is while a number changes; looks anew at another mounting. */
  #frame(points: Float32Array, target: Point, onLathe: boolean, anew: boolean): void {
    const before = this.#home;
    this.#points = points;
    this.#home = fitted(points, target, onLathe ? HOME.mounted : HOME.upright, this.#picture.aspect);
    const grown = before ? this.#home.distance / before.distance : 1;
    const view = this.#picture.view;
    if (!before || anew) this.#look(this.#home);
    else if (grown > 1.3 || grown < 0.77) this.#look({ ...view, distance: view.distance * grown });
    else this.#look(view);
  }

  #refit(): void {
    if (!this.#home) return;
    this.#home = fitted(this.#points, this.#home.target, this.#home, this.#picture.aspect);
    this.#look({ ...this.#picture.view, distance: this.#home.distance });
  }

  #breadth(): number {
    const box = this.#solids.left?.box;
    return box ? Math.max(box.most[0] - box.least[0], box.most[1] - box.least[1]) / 2 : 30;
  }

  #mount(size: number): void {
    this.#mounting?.dispose();
    this.#mounting = null;
    if (this.#scene) {
      const theme = THEMES[this.#theme];
      const material = () => this.#solids.material();
      this.#mounting = new Mounting(this.#scene, size, this.#picture.shared, theme, material);
      this.#mounting.step(this.#step);
      this.#mounting.cutting(this.#solids.plane !== null);
      this.#solids.object.add(this.#mounting.onPiece);
      this.#picture.scene.add(this.#mounting.onLathe);
    }
    this.#relabel();
  }

  #mark(place: { at: Point; gap: Gap | null; out: Point } | null): void {
    this.#finding?.dispose();
    this.#finding = null;
    this.#place = place;
    if (place) {
      const { at, gap, out } = place;
      const theme = THEMES[this.#theme];
      this.#finding = new FindingMark(at, out, gap, this.#breadth(), this.#picture.shared, theme, this.#strings.length);
      this.#solids.object.add(this.#finding.object);
    }
    this.#relabel();
    this.#picture.draw();
  }

  #relabel(): void {
    this.#labels = [...(this.#mounting?.labels ?? []), ...(this.#finding?.labels ?? [])];
    this.#overlay.set(this.#labels);
  }

  #beforeFrame(): void {
    this.#solids.object.updateMatrixWorld();
    this.#answer();
    if (this.#labels.length > 0) this.#overlay.place(this.#picture.canvas, this.#labels.map((label) => this.#seen(label)));
  }

  #seen(label: Label): Seen {
    const frame = this.#solids.object.matrixWorld;
    const world = new Vector3(...label.at).applyMatrix4(frame);
    const at = this.#picture.project(world);
    const { width, height } = this.#picture.size;
    const inside = !!at && at.x >= 0 && at.y >= 0 && at.x <= width && at.y <= height;
    if (!at || !inside) return { x: 0, y: 0, towards: [0, -1], shown: false };
    const plane = this.#solids.plane;
    let shown = !plane || !label.foot || heightOver(plane, label.foot) <= 1e-3;
    let towards: [number, number] = [0, -1];
    if (label.out) {
      const out = new Vector3(...label.out).transformDirection(frame);
      const sight = this.#picture.camera.position.clone().sub(world).normalize();
      shown &&= out.dot(sight) > 0.02;
      const tip = this.#picture.project(world.clone().addScaledVector(out, 1));
      if (tip) towards = [tip.x - at.x, tip.y - at.y];
    }
    return { ...at, towards, shown };
  }

  #point(at: { x: number; y: number; tapped: boolean } | null): void {
    if (at && this.#pointer?.tapped) return;
    this.#pointer = at;
    if (!at) this.#picked?.(null);
    else if (this.#picked) this.#ask();
  }

  /** One answer a frame, without drawing the frame anew. */
  #asked = false;
  #ask(): void {
    if (this.#asked) return;
    this.#asked = true;
    requestAnimationFrame(() => {
      this.#asked = false;
      this.#answer();
    });
  }

  #answer(): void {
    const pointer = this.#pointer;
    const shape = this.#solids.seen;
    if (!pointer || !this.#picked || !shape) return;
    this.#pointer = null;
    const { from, direction } = this.#picture.sight(pointer.x, pointer.y, this.#solids.object.matrixWorld);
    const hit = firstHit(shape.surface, from, direction, this.#solids.plane);
    this.#picked(
      hit && {
        at: hit.at,
        cut: hit.cut,
        name: shape.surface.cutNames[hit.cut] ?? "",
        thickness: hit.thickness,
        ...pointer,
      },
    );
  }

  #grab(x: number, y: number): boolean {
    const { handle, plane } = this.#solids;
    if (!handle || !plane) return false;
    const at = this.#picture.project(new Vector3(...handle).applyMatrix4(this.#solids.object.matrixWorld));
    if (!at || Math.hypot(at.x - x, at.y - y) > 26) return false;
    this.#grip = { x, y, plane };
    return true;
  }

  /** Moves the plane along its normal as far as the pointer moves along it on the screen. */
  #drag(x: number, y: number): void {
    const grip = this.#grip;
    const handle = this.#solids.handle;
    if (!grip || !handle) return;
    const frame: Matrix4 = this.#solids.object.matrixWorld;
    const seen = (far: number) =>
      this.#picture.project(
        new Vector3(...handle).addScaledVector(new Vector3(...grip.plane.normal), far).applyMatrix4(frame),
      );
    const [here, there] = [seen(0), seen(1)];
    if (!here || !there) return;
    const [ax, ay] = [there.x - here.x, there.y - here.y];
    const square = ax * ax + ay * ay;
    const scale = (2 * this.#picture.view.distance * Math.tan(FIELD / 2)) / this.#picture.size.height;
    // Seen along its normal there is no such direction: then up the screen is away.
    const far =
      square > 0.04 / (scale * scale) ? ((x - grip.x) * ax + (y - grip.y) * ay) / square : (y - grip.y) * scale;
    const origin = grip.plane.origin.map((part, k) => part + far * grip.plane.normal[k]!) as unknown as Point;
    const plane = { origin, normal: grip.plane.normal };
    this.#solids.cut(plane);
    this.#options.onCut?.(plane);
    this.#picture.draw();
  }
}

/** The points, drawn out to leave room for what holds the piece and for the tool's path. */
function withRoom(points: Float32Array, paths: MountedScene["paths"], size: number): Float32Array {
  const { least, most } = boxOf(points);
  const middle = (least[0] + most[0]) / 2;
  const above = paths.flatMap(({ starts }) => [starts[0]!, starts[1]! + ABOVE * size, 0]);
  const room = new Float32Array(points.length + above.length);
  room.set(points.map((at, i) => (i % 3 === 0 ? middle + 1.4 * (at - middle) : at)));
  room.set(above, points.length);
  return room;
}
