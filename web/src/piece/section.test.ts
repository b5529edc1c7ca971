import { describe, expect, it } from "vitest";
import { axesOf, footOf } from "./cap";
import { heightOver, outline, woodArea, type Plane } from "./section";
import { ball, cube, cylinder, thrown, volume } from "./testing";
import { dot, type Point } from "./view";

function unit(at: Point): Point {
  return at.map((part) => part / Math.hypot(...at)) as unknown as Point;
}

describe("the section", () => {
  it("of a cube along a corner's diagonal is the regular hexagon", () => {
    // Edges of side/√2, so 3√3/4 side² (closed form).
    const plane = { origin: [0, 0, 0], normal: unit([1, 1, 1]) } as const;
    expect(woodArea(outline(cube(2), plane), plane)).toBeCloseTo(((3 * Math.sqrt(3)) / 4) * 4, 5);
  });

  it("of a cylinder, slanted, is its polygon over the cosine", () => {
    const polygon = ((40 * 9) / 2) * Math.sin((2 * Math.PI) / 40);
    for (const slant of [0, 0.2, 0.5]) {
      const plane: Plane = { origin: [0, 0, 0], normal: [Math.sin(slant), 0, Math.cos(slant)] };
      expect(woodArea(outline(cylinder(3, 10, 40), plane), plane)).toBeCloseTo(polygon / Math.cos(slant), 4);
    }
  });

  it("takes a face that lies in the plane for cut away, and a plane beside the wood for none", () => {
    const at = (z: number): Plane => ({ origin: [0, 0, z], normal: [0, 0, 1] });
    expect(woodArea(outline(cube(2), at(1)), at(1))).toBeCloseTo(4, 6);
    expect(outline(cube(2), at(-1))).toHaveLength(0);
    expect(outline(cube(2), at(1.5))).toHaveLength(0);
  });

  it("closes wherever the plane lies: as many pieces begin at a point as end there", () => {
    const surface = ball();
    const planes: Plane[] = thrown(12).map((at, i) => ({
      origin: at.map((part) => 12 * part) as unknown as Point,
      normal: i < 3 ? ([[1, 0, 0], [0, 1, 0], [0, 0, 1]] as const)[i]! : unit(at),
    }));
    planes.push({ origin: [0, 0, 0], normal: [0, 0, 1] }, { origin: [0, 0, 0], normal: [1, 0, 0] });
    for (const plane of planes) {
      const pieces = outline(surface, plane);
      expect(pieces.length).toBeGreaterThan(0);
      const balance = new Map<string, number>();
      for (let i = 0; i < pieces.length; i += 3) {
        const key = `${pieces[i]! + 0} ${pieces[i + 1]! + 0} ${pieces[i + 2]! + 0}`;
        balance.set(key, (balance.get(key) ?? 0) + (i % 6 === 0 ? 1 : -1));
      }
      expect([...balance.values()].filter((sum) => sum !== 0)).toEqual([]);
    }
  });

  it("summed up through the pierced ball is its volume", () => {
    const surface = ball();
    const [steps, low, high] = [400, -30, 30];
    let sum = 0;
    for (let k = 0; k < steps; k++) {
      const plane: Plane = { origin: [0, 0, low + ((k + 0.5) * (high - low)) / steps], normal: [0, 0, 1] };
      sum += (woodArea(outline(surface, plane), plane) * (high - low)) / steps;
    }
    expect(sum / volume(surface.positions, surface.indices)).toBeCloseTo(1, 3);
  });
});

describe("the cap", () => {
  it("is painted exactly where the plane is inside the wood, by the count of faces behind it", () => {
    // The rule of the stencil, played with numbers: faces turned away from the eye minus
    // faces turned towards it, of the wood that is kept. Against it the winding number of
    // the section's outline about the same point, which knows nothing of rays.
    const surface = ball();
    const plane: Plane = { origin: [0, 0, 2.3], normal: unit([0.2, -0.1, 1]) };
    const pieces = outline(surface, plane);
    const { u, v } = axesOf(plane.normal);
    const flat = (i: number, at: Point): [number, number] => {
      const arm: Point = [pieces[i]! - at[0], pieces[i + 1]! - at[1], pieces[i + 2]! - at[2]];
      return [dot(arm, u), dot(arm, v)];
    };
    const sight = unit([0.3, 0.25, -1]);
    let inside = 0;
    for (const [a, b] of thrown(400)) {
      const at = plane.origin.map((part, k) => part + 32 * (a * u[k]! + b * v[k]!)) as unknown as Point;
      let turns = 0;
      for (let i = 0; i < pieces.length; i += 6) {
        const [[x, y], [s, t]] = [flat(i, at), flat(i + 3, at)];
        turns += Math.atan2(x * t - y * s, x * s + y * t) / (2 * Math.PI);
      }
      const count = facesBehind(surface, at, sight);
      expect(count - Math.round(turns)).toBe(0);
      inside += count;
    }
    expect(inside).toBeGreaterThan(60);
    expect(inside).toBeLessThan(340);
  });

  it("lies in the plane, square and right-handed", () => {
    for (const normal of [...thrown(20).map(unit), [0, 0, 1] as const, [0, 0, -1] as const, [0, 1, 0] as const]) {
      const { u, v } = axesOf(normal);
      for (const [a, b, want] of [[u, u, 1], [v, v, 1], [u, v, 0], [u, normal, 0], [v, normal, 0]] as const) {
        expect(dot(a, b)).toBeCloseTo(want, 12);
      }
      const turned = dot(normal, [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]);
      expect(turned).toBeCloseTo(1, 12);
      const plane = { origin: [3, -2, 5], normal } as const;
      expect(heightOver(plane, footOf(plane, [7, 8, 9]))).toBeCloseTo(0, 12);
    }
  });
});

/** Faces turned away minus faces turned towards, along a line of sight from a point on. */
function facesBehind({ positions: p, indices }: ReturnType<typeof ball>, from: Point, way: Point): number {
  let count = 0;
  for (let t = 0; t < indices.length; t += 3) {
    const corner = (k: number) => 3 * indices[t + k]!;
    const edge = (k: number): Point =>
      [0, 1, 2].map((c) => p[corner(k) + c]! - p[corner(0) + c]!) as unknown as Point;
    const [e, f] = [edge(1), edge(2)];
    const cross = (a: Point, b: Point): Point => [
      a[1] * b[2] - a[2] * b[1],
      a[2] * b[0] - a[0] * b[2],
      a[0] * b[1] - a[1] * b[0],
    ];
    const across = cross(way, f);
    const determinant = dot(e, across);
    const arm = [0, 1, 2].map((c) => from[c]! - p[corner(0) + c]!) as unknown as Point;
    const a = dot(arm, across) / determinant;
    const other = cross(arm, e);
    const b = dot(way, other) / determinant;
    if (a < 0 || b < 0 || a + b > 1 || dot(f, other) / determinant <= 0) continue;
    count += determinant > 0 ? -1 : 1;
  }
  return count;
}
