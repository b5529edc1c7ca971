import { describe, expect, it } from "vitest";
import { arrange, type Anchor } from "./labels";
import { boxOf, moved, Shapes } from "./shape";
import { joined, lengths, pieces, ring, squareTo } from "./strokes";
import { ballBytes, thrown, volume } from "./testing";
import { turned, type ProfilePoint } from "./turned";
import { dot, type Point } from "./view";

describe("labels", () => {
  const picture = { width: 640, height: 400 };
  const at = (x: number, y: number, more: Partial<Anchor> = {}): Anchor => ({
    x, y, width: 30, height: 24, towards: [0, -1], clear: 6, weight: 1, must: false, ...more,
  });
  const rectangle = (place: { left: number; top: number }, anchor: Anchor) => ({
    ...place, right: place.left + anchor.width, bottom: place.top + anchor.height,
  });

  it("stand on the side they would rather, clear of their point", () => {
    const [up, right] = arrange([at(100, 100), at(300, 200, { towards: [1, 0] })], picture);
    expect(up).toEqual({ left: 85, top: 100 - 6 - 24 });
    expect(right).toEqual({ left: 306, top: 188 });
  });

  it("never cover one another or leave the picture, however thick they come", () => {
    const anchors = thrown(60).map(([x, y, z]) => at(320 + 330 * x, 200 + 210 * y, { towards: [z, x] }));
    const shown = arrange(anchors, picture).flatMap((place, i) => (place ? [rectangle(place, anchors[i]!)] : []));
    expect(shown.length).toBeGreaterThan(40);
    shown.forEach((a, i) => {
      expect(a.left >= 0 && a.top >= 0 && a.right <= picture.width && a.bottom <= picture.height).toBe(true);
      for (const b of shown.slice(i + 1)) {
        expect(a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom).toBe(false);
      }
    });
  });

  it("give way to the weighty, and what must show does", () => {
    const crowd = Array.from({ length: 30 }, () => at(200, 200));
    const places = arrange([...crowd, at(200, 200, { weight: 2, must: true, width: 90 })], picture);
    expect(places[30]).toEqual({ left: 155, top: 170 });
    expect(places.filter((place) => place === null).length).toBeGreaterThan(10);
  });
});

describe("turned holders", () => {
  /** Of a profile turned in straight strips: the mean over the strips of what Pappus gives. */
  const strips = (span: number, steps: number) => (steps / 2) * Math.sin(span / steps);

  it("hold the volume of a ring of many sides, whichever way round the profile is told", () => {
    const profile: ProfilePoint[] = [[0, 3], [5, 3], [5, 7], [0, 7]];
    for (const told of [profile, [...profile].reverse()]) {
      const { geometry, edges } = turned(told);
      const inside = volume(geometry.getAttribute("position").array, geometry.getIndex()!.array);
      expect(inside).toBeCloseTo(5 * (49 - 9) * strips(2 * Math.PI, 56), 3);
      expect(edges.length / 6).toBe(4 * 56);
    }
  });

  it("hold that of a cone with its tip on the axis", () => {
    const { geometry } = turned([[0, 0], [9, 4], [9, 0]]);
    const inside = volume(geometry.getAttribute("position").array, geometry.getIndex()!.array);
    expect(inside).toBeCloseTo((16 * 9 * strips(2 * Math.PI, 56)) / 3, 3);
  });

  it("are closed by their cheeks where they are four jaws", () => {
    // A profile with a step, so that the cheeks are not convex.
    const profile: ProfilePoint[] = [[0, 2], [6, 2], [6, 5], [3, 5], [3, 8], [0, 8]];
    const { geometry } = turned(profile, 4, 0.16);
    const inside = volume(geometry.getAttribute("position").array, geometry.getIndex()!.array);
    const whole = 3 * (64 - 4) + 3 * (25 - 4);
    expect(inside).toBeCloseTo(4 * whole * strips(Math.PI / 2 - 0.16, 14), 2);
  });

  it("face outwards", () => {
    const { geometry } = turned([[0, 3], [5, 3], [5, 7], [0, 7]]);
    const [p, n, index] = [geometry.getAttribute("position"), geometry.getAttribute("normal"), geometry.getIndex()!];
    for (let t = 0; t < index.count; t += 3) {
      const corner = (k: number): Point => {
        const v = index.getX(t + k);
        return [p.getX(v), p.getY(v), p.getZ(v)];
      };
      const [a, b, c] = [corner(0), corner(1), corner(2)];
      const [e, f] = [b, c].map((end) => end.map((part, k) => part - a[k]!)) as [number[], number[]];
      const face: Point = [e[1]! * f[2]! - e[2]! * f[1]!, e[2]! * f[0]! - e[0]! * f[2]!, e[0]! * f[1]! - e[1]! * f[0]!];
      const v = index.getX(t);
      expect(dot(face, [n.getX(v), n.getY(v), n.getZ(v)]) / Math.hypot(...face)).toBeGreaterThan(0.99);
    }
  });
});

describe("lines", () => {
  it("carry their dashes on along a way and begin anew at the next", () => {
    const way = pieces([[0, 0, 0], [3, 0, 0], [3, 4, 0]]);
    expect([...lengths(joined([way, way]))]).toEqual([0, 3, 0, 3]);
    expect(pieces([[0, 0, 0], [1, 0, 0], [0, 1, 0]], true)).toHaveLength(18);
    expect(pieces([[1, 2, 3]])).toHaveLength(0);
  });

  it("draw a ring at its radius, square to its direction", () => {
    for (const out of thrown(10)) {
      const list = ring([1, 2, 3], out, 2.5);
      for (let i = 0; i < list.length; i += 3) {
        const arm: Point = [list[i]! - 1, list[i + 1]! - 2, list[i + 2]! - 3];
        expect(Math.hypot(...arm)).toBeCloseTo(2.5, 5);
        expect(dot(arm, out)).toBeCloseTo(0, 5);
      }
    }
  });
});

describe("axes square to a direction", () => {
  it("are unit and square", () => {
    for (const out of thrown(20)) {
      const { u, v } = squareTo(out);
      for (const [a, b, want] of [[u, u, 1], [v, v, 1], [u, v, 0], [u, out, 0], [v, out, 0]] as const) {
        expect(dot(a, b)).toBeCloseTo(want, 12);
      }
    }
  });
});

describe("shapes", () => {
  it("are kept by their bytes, the last few", () => {
    const shapes = new Shapes(2);
    const [a, b, c] = [ballBytes(), ballBytes(), ballBytes()];
    const first = shapes.of(a);
    let gone = 0;
    first.geometry.addEventListener("dispose", () => gone++);
    shapes.of(b);
    expect(shapes.of(a)).toBe(first);
    shapes.of(c);
    // `b` was longest unused.
    expect([shapes.of(a) === first, gone]).toEqual([true, 0]);
    shapes.of(b);
    shapes.of(c);
    expect(gone).toBe(1);
  });

  it("have their box, also after a matrix", () => {
    const points = Float32Array.from([1, 2, 3, -4, 5, 0]);
    expect(boxOf(points)).toEqual({ least: [-4, 2, 0], most: [1, 5, 3] });
    // A quarter turn about x, then a shift: (x, y, z) to (x + 10, -z, y).
    const matrix = [1, 0, 0, 0, 0, 0, 1, 0, 0, -1, 0, 0, 10, 0, 0, 1];
    expect([...moved(points, matrix)]).toEqual([11, -3, 2, 6, 0, 5]);
  });
});
