/**
 * The piece on the lathe: what holds it, what is marked on it, where the tool goes.
 *
 * Holders stand in the lathe's frame. Marks and pencil lines are on the wood and turn with
 * it. The path of the tool is drawn along the top of the work: there the turner watches
 * the form grow against the background (common practice, no source), and there it is seen
 * from the turner's place as the profile it is.
 */

import { Color, Group, Mesh, type ShaderMaterial } from "three";
import type { Label, Line, MountedScene, ToolPath } from "./scene";
import { joined, pieces, ring, Strokes, type Stroke } from "./strokes";
import type { Theme } from "./theme";
import { turned, type ProfilePoint } from "./turned";
import type { Point } from "./view";
import { define, PAINT, type Shared } from "./wood";

/** From how far above the wood the sign of a path comes in, in the breadth of the piece. */
export const ABOVE = 0.34;
/** More runs than this are too many to show the way in to each. */
const MANY = 3;

export class Mounting {
  /** In the piece's frame. */
  readonly onPiece = new Group();
  /** In the lathe's frame. */
  readonly onLathe = new Group();
  readonly labels: readonly Label[];
  readonly #strokes: Strokes[] = [];
  readonly #holders: Mesh[] = [];
  readonly #paths: { step: string; way: Strokes[]; signs: Strokes[] }[] = [];
  readonly #drawn: { step: string; only: boolean; strokes: Strokes[] }[] = [];
  readonly #steps: readonly string[];
  readonly #shared: Shared;
  readonly #theme: Theme;

  /** `size` is half the breadth of the piece, mm; signs are drawn in its measure. */
  constructor(scene: MountedScene, size: number, shared: Shared, theme: Theme, material: () => ShaderMaterial) {
    this.#shared = shared;
    this.#theme = theme;
    this.#steps = (scene.steps ?? []).map((step) => step.id);
    for (const holder of scene.holders) {
      if (holder.profile.length < 3) continue;
      const quarters = holder.kind === "jaws" ? 4 : 0;
      const { geometry, edges } = turned(holder.profile as unknown as ProfilePoint[], quarters);
      const steel = material();
      define(steel, "PAINT", PAINT.plain);
      (steel.uniforms.plain!.value as Color).setRGB(...theme.steel);
      (steel.uniforms.ink!.value as Color).setRGB(...theme.ink);
      const mesh = new Mesh(geometry, steel);
      mesh.frustumCulled = false;
      this.onLathe.add(mesh);
      this.#holders.push(mesh);
      this.#lines(this.onLathe, { colour: theme.ink, width: 1.2, opacity: 0.7 }, edges);
    }
    const looks = new Map<string, Line[]>();
    for (const line of scene.lines) {
      const look = `${line.kind} ${line.step ?? ""}`;
      looks.set(look, [...(looks.get(look) ?? []), line]);
    }
    for (const same of looks.values()) {
      const { kind, step } = same[0]!;
      const strokes = this.#pencil(pencil(kind, size, theme), joined(same.map((line) => pieces(line.points))));
      if (step) this.#drawn.push({ step, only: kind === "drill", strokes });
    }
    this.labels = this.#marks(scene, size);
    this.#ways(scene.paths, size);
  }

  /**
   * Shows one step: its path with the way in, and the lines that are drawn by then. `null`
   * shows the whole set-up; where that has many steps with paths, without the ways in.
   */
  step(id: string | null): void {
    const now = id === null ? Infinity : this.#steps.indexOf(id);
    const crowded = new Set(this.#paths.map((path) => path.step)).size > MANY;
    for (const { step, way, signs } of this.#paths) {
      const shown = id === null || step === id;
      for (const lines of way) lines.object.visible = shown;
      for (const lines of signs) lines.object.visible = shown && !(id === null && crowded);
    }
    for (const { step, only, strokes } of this.#drawn) {
      const at = this.#steps.indexOf(step);
      const shown = id === null || (only ? step === id : now < 0 || at <= now);
      for (const lines of strokes) lines.object.visible = shown;
    }
  }

  /** Whether the plane cuts the wood, and with it what is drawn on it; steel stays whole. */
  cutting(on: boolean): void {
    for (const lines of this.#strokes) lines.cutting(on);
  }

  /** Takes it out of the picture; `dispose` then lets it go. */
  remove(): void {
    this.onPiece.removeFromParent();
    this.onLathe.removeFromParent();
  }

  dispose(): void {
    this.remove();
    for (const lines of this.#strokes) lines.dispose();
    for (const mesh of this.#holders) {
      mesh.geometry.dispose();
      (mesh.material as ShaderMaterial).dispose();
    }
  }

  #lines(to: Group, stroke: Stroke, list: Float32Array): Strokes {
    const lines = new Strokes(this.#shared, stroke, list);
    to.add(lines.object);
    this.#strokes.push(lines);
    return lines;
  }

  #pencil(stroke: Stroke, list: Float32Array): Strokes[] {
    const line = this.#lines(this.onPiece, stroke, list);
    const { pencilHalo: colour } = this.#theme;
    if (!colour || stroke.through) return [line];
    const halo = { ...stroke, colour, width: stroke.width + 2.5, opacity: 0.45, order: (stroke.order ?? 9) - 0.5 };
    return [line, this.#lines(this.onPiece, halo, list)];
  }

  /** A small ring round each mark and hole, and a flag on a pole at those with a name. */
  #marks(scene: MountedScene, size: number): Label[] {
    const rings: Float32Array[] = [];
    const poles: Float32Array[] = [];
    const labels: Label[] = [];
    // A piece in the hand is looked at as it will be, without what was marked on the way.
    for (const mark of scene.on_lathe === false ? [] : scene.marks) {
      const at = mark.at as unknown as Point;
      const out = mark.out as unknown as Point;
      const hole = mark.kind === "marker_hole";
      rings.push(ring(at, out, (hole ? 0.055 : 0.03) * size));
      if (hole || mark.name === "") continue;
      const tip = at.map((part, k) => part + 0.2 * size * out[k]!) as unknown as Point;
      poles.push(pieces([at, tip]));
      labels.push({ text: mark.name, kind: "flag", at: tip, out, foot: at });
    }
    const { pencil: colour, plane } = this.#theme;
    this.#pencil({ colour, width: 2.2, lift: 0.5, cut: true, order: 9 }, joined(rings));
    this.#lines(this.onPiece, { colour: plane, width: 2, cut: true, order: 9 }, joined(poles));
    return labels;
  }

  /** A step of many short runs shows the way in to the first only. */
  #ways(paths: readonly ToolPath[], size: number): void {
    for (const step of new Set(paths.map((path) => path.step))) {
      const runs = paths.filter((path) => path.step === step && path.points.length > 1);
      runs.forEach((run, k) => this.#way(run, size, k === 0 || runs.length <= MANY));
    }
  }

  #way(path: ToolPath, size: number, signed: boolean): void {
    const at = ([x, r]: readonly number[]): Point => [x!, r!, 0];
    const way = path.points.map(at);
    const start = way[0]!;
    const far = Math.min(way.length - 1, Math.ceil(0.6 * (way.length - 1)));
    const above: Point = [start[0], start[1] + ABOVE * size, 0];
    // In from the air to where the tool begins, and a point on the way it goes.
    const signs = !signed ? pieces([]) : joined([
      pieces([above, start]),
      arrow(above, start, 0.1 * size),
      arrow(way[far - 1]!, way[far]!, 0.09 * size),
    ]);
    const [halo, line] = [
      { colour: this.#theme.halo, width: 6.5, opacity: 0.75, through: true, order: 13 },
      { colour: this.#theme.path, width: 3.5, through: true, order: 14 },
    ];
    const drawn = (list: Float32Array) => [halo, line].map((stroke) => this.#lines(this.onLathe, stroke, list));
    this.#paths.push({ step: path.step, way: drawn(pieces(way)), signs: drawn(signs) });
  }
}

/** How a line of a kind is drawn on the wood. */
function pencil(kind: Line["kind"], size: number, theme: Theme): Stroke {
  const dash = (on: number, off: number) => [on * size, off * size] as const;
  switch (kind) {
    case "edge":
      return { colour: theme.pencil, width: 3, lift: 0.6, cut: true, order: 9 };
    case "axis":
      return { colour: theme.plane, width: 1.6, dash: dash(0.3, 0.08), through: true, opacity: 0.8, order: 11 };
    case "drill":
      return { colour: theme.path, width: 2.2, dash: dash(0.06, 0.05), through: true, order: 12 };
    case "cove_middle":
      return { colour: theme.pencil, width: 2, lift: 0.5, dash: dash(0.09, 0.06), cut: true, order: 9 };
    case "middle":
      return { colour: theme.pencil, width: 2, lift: 0.5, cut: true, order: 9 };
    default:
      return { colour: theme.pencil, width: 1.4, lift: 0.4, opacity: 0.8, cut: true, order: 9 };
  }
}

/** Two barbs in the plane of the profile at the end of a way. */
function arrow(from: Point, to: Point, size: number): Float32Array {
  const back = Math.atan2(from[1] - to[1], from[0] - to[0]);
  const barb = (turn: number): Point => [
    to[0] + size * Math.cos(back + turn),
    to[1] + size * Math.sin(back + turn),
    to[2],
  ];
  return pieces([barb(0.45), to, barb(-0.45)]);
}
