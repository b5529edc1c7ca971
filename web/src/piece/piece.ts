/**
 * The piece in a canvas: the one door through which the page draws wood.
 *
 * Everything is handed in, nothing is fetched. The page says what to show and how; the
 * picture answers with legends, with what lies under the pointer, and with a frame.
 * Lengths are mm. Points and planes are in the piece's own frame, angles in radians.
 */

import { Vector3 } from "three";
import { bestView, FindingMark, middle, type Gap } from "./finding";
import { Framing, signsOf, TRAVEL } from "./framing";
import { listen } from "./gestures";
import { scaleLegend, stepLegend, type LegendEntry } from "./legend";
import { ABOVE, Mounting } from "./mounting";
import { Overlay, seenFrom } from "./overlay";
import { Picture } from "./picture";
import { Pointing, type Picked } from "./pointing";
import type { Label, MountedScene, PieceWords } from "./scene";
import type { Plane } from "./section";
import { moved, Shapes, type Shape } from "./shape";
import { joined as joinedLists } from "./strokes";
import { Solids, type ColourBy } from "./solids";
import { THEMES, type ThemeName } from "./theme";
import { facing, FIELD, type Point } from "./view";

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
  /** Pieces put to this one; each matrix, in column order, takes its frame to this one's. */
  readonly others?: readonly { readonly mesh: ArrayBuffer; readonly piece_from_other: readonly number[] }[];
  /** As it sits on the lathe, rather than upright by itself. */
  readonly mounted: boolean;
}

/** Upright: z of the piece points up. */
const UPRIGHT = [1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1];

interface Place {
  readonly at: Point;
  readonly gap: Gap | null;
  readonly out: Point;
}

export class Piece {
  /** Fulfilled when the first piece has been drawn. */
  readonly ready: Promise<void>;
  readonly #picture: Picture;
  readonly #framing: Framing;
  readonly #solids: Solids;
  readonly #pointing: Pointing;
  readonly #shapes = new Shapes();
  readonly #overlay: Overlay;
  readonly #deafen: () => void;
  readonly #watch: ResizeObserver;
  #theme: ThemeName;
  #strings: PieceWords;
  /** What is shown, to tell another piece or mounting from a changed number. */
  #subject = "";
  #scene: MountedScene | null = null;
  #mounting: Mounting | null = null;
  #step: string | null = null;
  #finding: FindingMark | null = null;
  #place: Place | null = null;
  #labels: readonly Label[] = [];

  /** Throws where the browser has no WebGL 2. */
  constructor(canvas: HTMLCanvasElement, options: PieceOptions) {
    this.#theme = options.theme;
    this.#strings = options.strings;
    const theme = THEMES[options.theme];
    this.#picture = new Picture(canvas);
    this.#framing = new Framing(this.#picture);
    this.#solids = new Solids(this.#picture.shared, theme);
    this.#solids.units(options.strings.units);
    this.#pointing = new Pointing(this.#picture, this.#solids);
    this.#overlay = new Overlay(canvas, theme);
    this.#picture.scene.add(this.#solids.object);
    this.#picture.before = () => this.#placeLabels();
    this.#picture.lost = (lost) => options.onLost?.(lost);
    this.ready = new Promise((resolve) => {
      this.#picture.after = () => {
        if (this.#solids.left) resolve();
      };
    });
    this.#watch = new ResizeObserver(() => this.resize());
    this.#watch.observe(canvas);
    this.#deafen = listen(canvas, {
      turn: (dx, dy) => this.#framing.turn(dx, dy),
      zoom: (factor) => this.#framing.zoom(factor),
      pan: (dx, dy) => this.#framing.pan(dx, dy),
      point: (at) => this.#pointing.point(at),
      grab: (x, y) => this.#pointing.grab(x, y),
      drag: (x, y) => {
        const plane = this.#pointing.drag(x, y);
        if (!plane) return;
        this.cut({ on: true, ...plane });
        options.onCut?.(plane);
      },
    });
  }

  /** Shows another state of the wood; throws `UnreadableMesh`, and then shows what it did. */
  show({ mesh, before, scene, others, mounted }: Shown): void {
    const left = this.#shapes.of(mesh);
    const was = before ? this.#shapes.of(before) : null;
    const joined = (others ?? []).map((other) => ({
      shape: this.#shapes.of(other.mesh),
      matrix: other.piece_from_other,
    }));
    this.#scene = mounted ? (scene ?? null) : null;
    const matrix = this.#scene?.lathe_from_piece ?? UPRIGHT;
    this.#solids.object.matrix.fromArray([...matrix]);
    this.#solids.object.matrixWorldNeedsUpdate = true;
    this.#solids.show(left, was);
    this.#solids.join(joined);

    const subject = `${this.#scene?.setup ?? ""} ${left.surface.title}`;
    const anew = subject !== this.#subject;
    this.#subject = subject;
    this.#mount();
    if (anew) this.#mark(null);
    const largest = was ?? left;
    const wood = [
      moved(largest.surface.positions, matrix),
      ...joined.map((other) => moved(moved(other.shape.surface.positions, other.matrix), matrix)),
    ];
    const signs = this.#scene ? signsOf(this.#scene, ABOVE * breadth(largest)) : [];
    const turning = this.#scene !== null && this.#scene.on_lathe !== false;
    this.#framing.show(joinedLists(wood), signs, turning, anew);
  }

  /** Fulfilled when the next frame is drawn to its end. */
  drawn(): Promise<void> {
    return this.#picture.drawn();
  }

  colour(by: ColourBy): void {
    this.#solids.colour(by);
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
    const out = (to.normal as unknown as Point | null) ?? bestView(left.surface, at, gap, breadth(left));
    this.#mark({ at, gap, out });
    const frame = this.#solids.object.matrix;
    const direction = new Vector3(...out).transformDirection(frame).toArray();
    const target = new Vector3(...at).applyMatrix4(frame).toArray();
    const length = gap ? Math.hypot(...gap[0].map((part, k) => gap[1][k]! - part)) : 0;
    // Near enough that the gap takes a quarter of the picture, but not into the wood.
    const distance = Math.max(3 * this.#framing.extent, (4 * length) / (2 * Math.tan(FIELD / 2)));
    this.#framing.visit(target, facing(direction), distance);
  }

  /** Tells what lies under the pointer or the tap, at most once a frame. */
  pick(callback: ((picked: Picked | null) => void) | null): void {
    this.#pointing.picked = callback;
  }

  /** Turns the piece as a drag by so many pixels would. */
  turn(dx: number, dy: number): void {
    this.#framing.turn(dx, dy, TRAVEL.nudge);
  }

  /** Comes nearer by a factor. */
  zoom(factor: number): void {
    this.#framing.zoom(factor, TRAVEL.nudge);
  }

  /** Looks at the whole piece from where it was first seen. */
  home(): void {
    this.#framing.home();
  }

  theme(theme: ThemeName): void {
    this.#theme = theme;
    this.#solids.theme(THEMES[theme]);
    this.#overlay.theme(THEMES[theme]);
    this.#mount();
    this.#mark(this.#place);
  }

  /** Other words, as when the units change. */
  strings(strings: PieceWords): void {
    this.#strings = strings;
    this.#solids.units(strings.units);
    this.#mark(this.#place);
    this.#picture.draw();
  }

  resize(): void {
    this.#framing.resize();
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
    this.#pointing.dispose();
    this.#watch.disconnect();
    this.#mounting?.dispose();
    this.#finding?.dispose();
    this.#solids.dispose();
    this.#shapes.dispose();
    this.#overlay.dispose();
    this.#picture.dispose();
  }

  #mount(): void {
    this.#let(this.#mounting);
    this.#mounting = null;
    const left = this.#solids.left;
    if (this.#scene && left) {
      const theme = THEMES[this.#theme];
      const material = () => this.#solids.material();
      this.#mounting = new Mounting(this.#scene, breadth(left), this.#picture.shared, theme, material);
      this.#mounting.step(this.#step);
      this.#mounting.cutting(this.#solids.plane !== null);
      this.#solids.object.add(this.#mounting.onPiece);
      this.#picture.scene.add(this.#mounting.onLathe);
    }
    this.#relabel();
  }

  #mark(place: Place | null): void {
    this.#let(this.#finding);
    this.#finding = null;
    this.#place = place;
    const left = this.#solids.left;
    if (place && left) {
      const { at, gap, out } = place;
      const theme = THEMES[this.#theme];
      this.#finding = new FindingMark(at, out, gap, breadth(left), this.#picture.shared, theme, this.#strings.length);
      this.#solids.object.add(this.#finding.object);
    }
    this.#relabel();
    this.#picture.draw();
  }

  #let(old: { remove(): void; dispose(): void } | null): void {
    if (!old) return;
    old.remove();
    this.#picture.later(() => old.dispose());
  }

  #relabel(): void {
    this.#labels = [...(this.#mounting?.labels ?? []), ...(this.#finding?.labels ?? [])];
    this.#overlay.set(this.#labels);
  }

  #placeLabels(): void {
    if (this.#labels.length === 0) return;
    const frame = this.#solids.object;
    frame.updateMatrixWorld();
    const seen = this.#labels.map((label) => seenFrom(this.#picture, frame.matrixWorld, this.#solids.plane, label));
    this.#overlay.place(this.#picture.canvas, seen);
  }
}

/** Half the breadth of a piece across its blank, mm: signs are drawn in its measure. */
function breadth({ box }: Shape): number {
  return Math.max(box.most[0] - box.least[0], box.most[1] - box.least[1]) / 2;
}
