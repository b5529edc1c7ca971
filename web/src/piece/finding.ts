/**
 * The place of a finding: a ring round it, and the gap there as a drawn dimension.
 */

import { Group } from "three";
import type { Surface } from "./glb";
import { allRound, clearestWay } from "./ray";
import type { Label } from "./scene";
import { joined, pieces, ring, squareTo, Strokes } from "./strokes";
import type { Theme } from "./theme";
import { dot, type Point } from "./view";
import type { Shared } from "./wood";

export type Gap = readonly [Point, Point];

export class FindingMark {
  /** In the piece's frame. */
  readonly object = new Group();
  readonly labels: readonly Label[];
  readonly #strokes: Strokes[];

  constructor(at: Point, out: Point, gap: Gap | null, size: number, shared: Shared, theme: Theme, words: (mm: number) => string) {
    const length = gap ? distance(gap) : 0;
    const circle = ring(gap ? middle(gap) : at, out, Math.max(0.11 * size, 0.75 * length));
    const lines = [pieces([])];
    this.labels = gap ? [{ text: words(length), kind: "gap", at: middle(gap), out: null, foot: null }] : [];
    if (gap) {
      const way = gap[1].map((part, k) => part - gap[0][k]!) as unknown as Point;
      // The bars at the ends lie across the line of sight.
      const { u, v } = squareTo(way);
      const [a, b] = [dot(u, out), dot(v, out)];
      const bar = u.map((part, k) => (part * b - v[k]! * a) / (Math.hypot(a, b) || 1)) as unknown as Point;
      const reach = 0.045 * size;
      lines.push(pieces([...gap]));
      for (const end of gap) {
        lines.push(pieces([-reach, reach].map((far) => end.map((part, k) => part + far * bar[k]!))));
      }
    }
    const dimension = joined(lines);
    const through = true;
    this.#strokes = [
      new Strokes(shared, { colour: theme.halo, width: 6, opacity: 0.8, through, order: 15 }, joined([circle, dimension])),
      new Strokes(shared, { colour: theme.finding, width: 2.5, through, dash: [0.09 * size, 0.05 * size], order: 16 }, circle),
      new Strokes(shared, { colour: theme.finding, width: 3, through, order: 16 }, dimension),
    ];
    for (const strokes of this.#strokes) this.object.add(strokes.object);
  }

  /** Takes it out of the picture; `dispose` then lets it go. */
  remove(): void {
    this.object.removeFromParent();
  }

  dispose(): void {
    this.remove();
    for (const strokes of this.#strokes) strokes.dispose();
  }
}

/**
 * From where a place is looked at, in the piece's frame: from where it lies most open, and
 * square to the gap there, so that it is seen in its true length.
 */
export function bestView(surface: Surface, at: Point, gap: Gap | null, size: number): Point {
  const length = gap ? distance(gap) : 0;
  if (!gap || length < 1e-9) return clearestWay(surface, at, allRound(64), 0.06 * size);
  const { u, v } = squareTo(gap[1].map((part, k) => part - gap[0][k]!) as unknown as Point);
  const round = Array.from({ length: 32 }, (_, i): Point => {
    const [c, s] = [Math.cos((i * Math.PI) / 16), Math.sin((i * Math.PI) / 16)];
    return [0, 1, 2].map((k) => c * u[k]! + s * v[k]!) as unknown as Point;
  });
  return clearestWay(surface, at, round, 0.06 * size);
}

export function middle(gap: Gap): Point {
  return gap[0].map((part, k) => (part + gap[1][k]!) / 2) as unknown as Point;
}

function distance(gap: Gap): number {
  return Math.hypot(...gap[0].map((part, k) => gap[1][k]! - part));
}
