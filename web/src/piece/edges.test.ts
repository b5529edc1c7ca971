import { describe, expect, it } from "vitest";
import { sharpEdges } from "./edges";
import { ball, cube, cylinder } from "./testing";

describe("sharp edges", () => {
  it("of a cube are its twelve, each once", () => {
    const edges = sharpEdges(cube(2));
    expect(edges.length / 6).toBe(12);
    const seen = new Set<string>();
    for (let i = 0; i < edges.length; i += 6) {
      const [a, b] = [Array.from(edges.slice(i, i + 3)), Array.from(edges.slice(i + 3, i + 6))];
      expect(Math.hypot(...a.map((part, k) => part - b[k]!))).toBe(2);
      seen.add([String(a), String(b)].sort().join(" "));
    }
    expect(seen.size).toBe(12);
  });

  it("of a cylinder are its two rims: its wall is smooth", () => {
    const edges = sharpEdges(cylinder(3, 4, 40));
    expect(edges.length / 6).toBe(80);
    for (let i = 2; i < edges.length; i += 3) expect(Math.abs(edges[i]!)).toBe(2);
  });

  it("do not show where two cuts run tangent into each other", () => {
    // Two vertices for each corner and one normal for both: a change of cut on a plane.
    const flat = cylinder(3, 4, 40);
    const normals = flat.normals.map((_, i) => (i % 3 === 2 ? 1 : 0));
    expect(sharpEdges({ ...flat, normals })).toHaveLength(0);
  });

  it("of the ball lie on surfaces that two cuts share", () => {
    const surface = ball();
    const cutsAt = new Map<string, Set<number>>();
    const key = (list: Float32Array, i: number) => `${list[i]! + 0} ${list[i + 1]! + 0} ${list[i + 2]! + 0}`;
    surface.cuts.forEach((cut, v) => {
      const at = key(surface.positions, 3 * v);
      cutsAt.set(at, (cutsAt.get(at) ?? new Set()).add(cut));
    });
    const edges = sharpEdges(surface);
    expect(edges.length).toBeGreaterThan(6 * 400);
    for (let i = 0; i < edges.length; i += 3) expect(cutsAt.get(key(edges, i))!.size).toBeGreaterThan(1);
  });

  it("are the same in every run", () => {
    expect(sharpEdges(ball())).toEqual(sharpEdges(ball()));
  });
});
