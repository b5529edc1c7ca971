/**
 * The wood in the picture: what is left, what is about to go, and the section through it.
 *
 * The wood before a step is drawn a tenth of a millimetre inside itself and behind what is
 * left, so that the two hide each other's common faces and only the wood about to go shows.
 */

import { Color, Group, Matrix4, Mesh, Vector3, Vector4, type ShaderMaterial } from "three";
import { axesOf, Cap, footOf } from "./cap";
import { cutColours } from "./legend";
import { outline, type Plane } from "./section";
import type { Shape } from "./shape";
import { joined, pieces, ring, Strokes } from "./strokes";
import type { Theme } from "./theme";
import { dot, type Point } from "./view";
import { define, makePictures, PAINT, PALE_WOOD, solidMaterial, writeColour, type Pictures, type Shared } from "./wood";
import { linear } from "./ramp";

export type ColourBy = "wood" | "step" | "thickness" | "value";

/** Deeper than the two meshes may stray from the true surface together, mm. */
const INSET = 0.12;

export class Solids {
  readonly object = new Group();
  readonly #shared: Shared;
  readonly #pictures: Pictures;
  readonly #after: Mesh;
  readonly #before: Mesh;
  /** The nearest face of the wood before, into the depth only. */
  readonly #veil: Mesh;
  readonly #edges: Strokes;
  readonly #beforeEdges: Strokes;
  readonly #section: Strokes;
  readonly #frame: Strokes;
  readonly #cap: Cap;
  readonly #beforeCap: Cap;
  #left: Shape | null = null;
  #was: Shape | null = null;
  #plane: Plane | null = null;
  readonly #framed: boolean;
  #share = 0.5;
  #by: ColourBy = "wood";
  #units: "mm" | "in" = "mm";
  #theme: Theme;
  /** Pieces that are put to this one. */
  #others: Solids[] = [];

  /** `order` above nothing is one of the others: it paints after the rest, without a frame. */
  constructor(shared: Shared, theme: Theme, order = 0) {
    this.#shared = shared;
    this.#theme = theme;
    this.#pictures = makePictures();
    this.#framed = order === 0;
    const solid = () => solidMaterial(shared, this.#pictures);
    this.#after = new Mesh(undefined, solid());
    this.#before = new Mesh(undefined, solid());
    this.#veil = new Mesh(undefined, solid());
    materialOf(this.#veil).colorWrite = false;
    define(materialOf(this.#veil), "PAINT", PAINT.plain);
    this.#edges = new Strokes(shared, { colour: theme.ink, width: 1.5, cut: true, order: 4 });
    this.#beforeEdges = new Strokes(shared, { colour: theme.ink, width: 1.1, cut: true, order: 7 });
    this.#section = new Strokes(shared, { colour: theme.ink, width: 2.2, order: 8 });
    this.#frame = new Strokes(shared, { colour: theme.plane, width: 2, order: 12 });
    this.#cap = new Cap(shared, 1 + 0.01 * order);
    this.#beforeCap = new Cap(shared, 2, INSET);
    this.#after.renderOrder = 3;
    this.#veil.renderOrder = 5;
    this.#before.renderOrder = 6;
    for (const mesh of [this.#after, this.#veil, this.#before]) {
      mesh.frustumCulled = false;
      mesh.visible = false;
      this.object.add(mesh);
    }
    for (const lines of [this.#edges, this.#beforeEdges, this.#section, this.#frame]) {
      this.object.add(lines.object);
    }
    this.object.add(this.#cap.object, this.#beforeCap.object);
    this.object.matrixAutoUpdate = false;
    this.theme(theme);
  }

  get left(): Shape | null {
    return this.#left;
  }

  /** The solid that a line of sight meets: the wood before while all of it is shown. */
  get seen(): Shape | null {
    return this.#was && this.#share <= 0 ? this.#was : this.#left;
  }

  get plane(): Plane | null {
    return this.#plane;
  }

  show(left: Shape, was: Shape | null): void {
    this.#left = left;
    this.#was = was === left ? null : was;
    this.#after.geometry = left.geometry;
    this.#edges.set(left.edges);
    if (this.#was) {
      this.#before.geometry = this.#veil.geometry = this.#was.geometry;
      this.#beforeEdges.set(this.#was.edges);
    }
    // Grain and shade are scaled to the blank, so that they stay when wood goes.
    const box = (this.#was ?? left).box;
    const middle = box.least.map((least, k) => (least + box.most[k]!) / 2);
    const half = box.most.map((most, k) => most - middle[k]!);
    const round = Math.max(half[0]!, half[1]!);
    for (const mesh of [this.#after, this.#before, this.#veil]) {
      const { body, slender } = uniforms(mesh);
      (body!.value as Vector4).set(middle[0]!, middle[1]!, middle[2]!, Math.max(round, half[2]! / 3));
      // A spindle has no inside to lie in the shade.
      slender!.value = half[2]! > 1.8 * round ? 0.4 : 1;
    }
    this.#paint();
    this.#arrange();
    this.cut(this.#plane);
  }

  /** Puts other pieces to this one; each matrix takes the other's frame to this one's. */
  join(others: readonly { shape: Shape; matrix: readonly number[] }[]): void {
    while (this.#others.length > others.length) this.#others.pop()!.dispose();
    others.forEach(({ shape, matrix }, k) => {
      const other = (this.#others[k] ??= new Solids(
        { ...this.#shared, plane: { value: new Vector4() } },
        this.#theme,
        k + 1,
      ));
      other.object.matrix.fromArray([...matrix]);
      other.object.matrixWorldNeedsUpdate = true;
      other.show(shape, null);
      this.object.add(other.object);
    });
    this.colour(this.#by);
    this.cut(this.#plane);
  }

  colour(by: ColourBy): void {
    this.#by = by;
    this.#paint();
    for (const other of this.#others) other.colour(by);
  }

  /** Whose round numbers stand on a scale of lengths. */
  units(units: "mm" | "in"): void {
    this.#units = units;
    this.#paint();
  }

  /** What the colour says now: wood where the mesh lacks the number asked for. */
  get by(): ColourBy {
    const by = this.#by;
    if ((by === "thickness" || by === "value") && !this.#left?.amounts(by)) return "wood";
    return by;
  }

  /** From 0, the wood before, to 1, the wood after; between them the wood about to go. */
  compare(share: number): void {
    this.#share = Math.min(1, Math.max(0, share));
    this.#arrange();
  }

  cut(plane: Plane | null): void {
    this.#plane = plane;
    const { plane: uniform } = this.#shared;
    for (const mesh of [this.#after, this.#before, this.#veil]) define(materialOf(mesh), "CUTTING", plane !== null && 1);
    for (const lines of [this.#edges, this.#beforeEdges]) lines.cutting(plane !== null);
    for (const other of this.#others) other.cut(plane && seenBy(other.object.matrix, plane));
    if (!plane || !this.#left) {
      this.#cap.show(null, null, null);
      this.#beforeCap.show(null, null, null);
      this.#section.set(new Float32Array(0));
      this.#frame.set(new Float32Array(0));
      return;
    }
    uniform.value.set(...plane.normal, dot(plane.normal, plane.origin));
    const whole = this.#was && this.#share <= 0;
    const solid = whole ? this.#was! : this.#left;
    this.#cap.show(solid.geometry, plane, solid.box);
    const going = this.#was && this.#share > 0 && this.#share < 1 ? this.#was : null;
    this.#beforeCap.show(going?.geometry ?? null, plane, going?.box ?? null);
    this.#section.set(joined([outline(solid.surface, plane), going ? outline(going.surface, plane) : new Float32Array(0)]));
    if (this.#framed) this.#frame.set(frame(plane, this.#was ?? this.#left));
  }

  /** Where the handle of the cutting plane is, in the piece's frame. */
  get handle(): Point | null {
    const shape = this.#was ?? this.#left;
    return this.#plane && shape ? corners(this.#plane, shape).handle : null;
  }

  theme(theme: Theme): void {
    this.#theme = theme;
    for (const other of this.#others) other.theme(theme);
    this.#edges.restyle(theme.ink, theme.inkOpacity);
    this.#beforeEdges.restyle(theme.ink, 0.5 * theme.inkOpacity);
    this.#section.restyle(theme.ink);
    this.#frame.restyle(theme.plane);
    this.#cap.paint(linear(0.9, 0.045, 80), linear(0.6, 0.07, 65));
    this.#beforeCap.paint(mixed(theme.going, linear(0.9, 0.04, 70), 0.65), theme.going);
    for (const mesh of [this.#after, this.#before, this.#veil]) {
      const { ink, going, early, late } = uniforms(mesh);
      (ink!.value as Color).setRGB(...theme.ink);
      (going!.value as Color).setRGB(...theme.going);
      (early!.value as Color).setRGB(...PALE_WOOD.early);
      (late!.value as Color).setRGB(...PALE_WOOD.late);
    }
  }

  /** A material of the same make for other solid things in the picture. */
  material(): ShaderMaterial {
    return solidMaterial(this.#shared, this.#pictures);
  }

  dispose(): void {
    this.join([]);
    for (const mesh of [this.#after, this.#before, this.#veil]) materialOf(mesh).dispose();
    for (const lines of [this.#edges, this.#beforeEdges, this.#section, this.#frame]) lines.dispose();
    this.#cap.dispose();
    this.#beforeCap.dispose();
    for (const picture of Object.values(this.#pictures)) picture.dispose();
    this.object.removeFromParent();
  }

  #paint(): void {
    const left = this.#left;
    if (!left) return;
    const by = this.by;
    const number = by === "thickness" || by === "value" ? by : null;
    left.show(number);
    this.#was?.show(number);
    for (const mesh of [this.#after, this.#before]) {
      define(materialOf(mesh), "PAINT", number ? PAINT.amount : by === "step" ? PAINT.step : PAINT.wood);
      const { scale } = uniforms(mesh);
      const range = number && left.scale(number, this.#units);
      if (range) (scale!.value as Vector3).set(range.from, range.to, range.step);
    }
    if (by === "step") {
      const most = this.#was && this.#was.surface.cutNames.length > left.surface.cutNames.length ? this.#was : left;
      cutColours(most.surface).forEach((colour, cut) => writeColour(this.#pictures.cuts, cut, colour));
    }
  }

  #arrange(): void {
    const share = this.#was ? this.#share : 1;
    const whole = share <= 0;
    const going = share > 0 && share < 1;
    this.#after.visible = !!this.#left && !whole;
    this.#edges.object.visible = !whole;
    this.#before.visible = whole || going;
    this.#veil.visible = going;
    this.#beforeEdges.object.visible = whole || going;
    if (!this.#was) return;
    const { opacity } = uniforms(this.#before);
    for (const mesh of [this.#before, this.#veil]) define(materialOf(mesh), "INSET", going && INSET.toFixed(3));
    define(materialOf(this.#before), "GOING", going && 1);
    opacity!.value = going ? 0.35 + 0.6 * (1 - share) : 1;
    const material = materialOf(this.#before);
    material.transparent = going;
    material.depthWrite = whole;
    this.#beforeEdges.restyle(this.#theme.ink, this.#theme.inkOpacity * (whole ? 1 : 0.6 * (1 - share)));
    if (this.#plane) this.cut(this.#plane);
  }
}

/** The plane in the frame of a piece that the matrix takes to the plane's own frame. */
function seenBy(matrix: Matrix4, { origin, normal }: Plane): Plane {
  const back = matrix.clone().invert();
  return {
    origin: new Vector3(...origin).applyMatrix4(back).toArray(),
    normal: new Vector3(...normal).transformDirection(back).toArray(),
  };
}

function materialOf(mesh: Mesh): ShaderMaterial {
  return mesh.material as ShaderMaterial;
}

function uniforms(mesh: Mesh): ShaderMaterial["uniforms"] {
  return materialOf(mesh).uniforms;
}

function mixed(a: readonly number[], b: readonly number[], part: number): Point {
  return a.map((one, k) => one + (b[k]! - one) * part) as unknown as Point;
}

function corners(plane: Plane, shape: Shape): { square: Point[]; handle: Point; size: number } {
  const { least, most } = shape.box;
  const middle = least.map((low, k) => (low + most[k]!) / 2) as unknown as Point;
  const foot = footOf(plane, middle);
  const { u, v } = axesOf(plane.normal);
  const half = least.map((low, k) => (most[k]! - low) / 2);
  const reach = (axis: Point) => 1.14 * axis.reduce((sum, part, k) => sum + Math.abs(part) * half[k]!, 0);
  const [wide, tall] = [reach(u), reach(v)];
  const at = (a: number, b: number) =>
    foot.map((part, k) => part + a * wide * u[k]! + b * tall * v[k]!) as unknown as Point;
  return {
    square: [at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)],
    handle: at(0, 1),
    size: Math.max(...half),
  };
}

/** The border of the plane, and at its handle a knob with arrows along the way it moves. */
function frame(plane: Plane, shape: Shape): Float32Array {
  const { square, handle, size } = corners(plane, shape);
  const { u } = axesOf(plane.normal);
  const from = (along: number, aside: number) =>
    handle.map((part, k) => part + size * (along * plane.normal[k]! + aside * u[k]!));
  const way = [-1, 1].flatMap((side) => [
    pieces([from(0.06 * side, 0), from(0.24 * side, 0)]),
    pieces([from(0.15 * side, 0.06), from(0.24 * side, 0), from(0.15 * side, -0.06)]),
  ]);
  const knob = [0.06, 0.04, 0.02].map((radius) => ring(handle, plane.normal, radius * size));
  return joined([pieces(square, true), ...way, ...knob]);
}
