import { describe, expect, it } from "vitest";
import { PerspectiveCamera, Vector3 } from "three";
import { thrown } from "./testing";
import { across, between, dot, eye, facing, FIELD, fitted, outward, panned, turned, zoomed, type Point, type View } from "./view";

/** three.js' own camera where ours says the eye stands. */
function camera(view: View, aspect: number): PerspectiveCamera {
  const made = new PerspectiveCamera((FIELD * 180) / Math.PI, aspect, 0.1, 10_000);
  made.position.set(...eye(view));
  made.lookAt(...view.target);
  made.updateMatrixWorld();
  return made;
}

const VIEWS: View[] = thrown(30).map(([a, b, c]) => ({
  azimuth: 3 * a,
  elevation: 1.5 * b,
  distance: 200 + 150 * c,
  target: [10 * a, -20 * b, 5 * c],
}));

describe("the eye", () => {
  it("sees right and up where three.js' camera does", () => {
    for (const view of VIEWS) {
      const { right, up } = across(view);
      const made = camera(view, 1);
      const axes = [new Vector3(), new Vector3(), new Vector3()];
      made.matrixWorld.extractBasis(axes[0]!, axes[1]!, axes[2]!);
      expect(axes[0]!.distanceTo(new Vector3(...right))).toBeLessThan(1e-9);
      expect(axes[1]!.distanceTo(new Vector3(...up))).toBeLessThan(1e-9);
      expect(axes[2]!.distanceTo(new Vector3(...outward(view)))).toBeLessThan(1e-9);
    }
  });

  it("fits all points inside the margin and brings one to it", () => {
    const points = Float32Array.from(thrown(80).flatMap(([x, y, z]) => [70 * x, 30 * y, 30 * z]));
    for (const aspect of [0.46, 1, 2.4]) {
      for (const { azimuth, elevation } of VIEWS) {
        const made = camera(fitted(points, [2, -3, 1], { azimuth, elevation }, aspect, 0.07), aspect);
        let most = 0;
        for (let i = 0; i < points.length; i += 3) {
          const at = new Vector3(points[i], points[i + 1], points[i + 2]).project(made);
          most = Math.max(most, Math.abs(at.x), Math.abs(at.y));
        }
        expect(most).toBeCloseTo(0.86, 6);
      }
    }
  });

  it("turns, but never over the top", () => {
    const view = VIEWS[0]!;
    for (const dy of [-9, 9]) {
      const steep = turned(view, 0, dy).elevation;
      expect(Math.abs(steep)).toBeLessThan(Math.PI / 2);
      expect(Math.sign(steep)).toBe(Math.sign(dy));
    }
    let round = view;
    for (let k = 0; k < 8; k++) round = turned(round, Math.PI / 4, 0);
    expect(round.azimuth).toBeCloseTo(view.azimuth, 12);
    expect(Math.abs(turned(view, 100, 0).azimuth)).toBeLessThanOrEqual(Math.PI);
  });

  it("comes nearer by the factor, within its limits", () => {
    const view = { ...VIEWS[0]!, distance: 100 };
    expect(zoomed(view, 2, 10, 500).distance).toBe(50);
    expect(zoomed(view, 100, 10, 500).distance).toBe(10);
    expect(zoomed(view, 0.01, 10, 500).distance).toBe(500);
  });

  it("carries the picture along with the fingers, pixel by pixel", () => {
    for (const view of VIEWS) {
      const height = 480;
      const before = new Vector3(...view.target);
      const at = before.clone().project(camera(panned(view, 60, -25, height), 1));
      expect((at.x * height) / 2).toBeCloseTo(60, 6);
      expect((-at.y * height) / 2).toBeCloseTo(-25, 6);
    }
  });

  it("travels the short way round and arrives", () => {
    const [from, to] = [{ ...VIEWS[0]!, azimuth: 3 }, { ...VIEWS[1]!, azimuth: -3 }];
    expect(Math.abs(between(from, to, 0.5).azimuth)).toBeCloseTo(Math.PI, 6);
    const there = between(from, to, 1);
    expect(there.distance).toBeCloseTo(to.distance, 9);
    expect(there.target).toEqual(to.target);
    expect(Math.cos(there.azimuth - to.azimuth)).toBeCloseTo(1, 12);
  });

  it("looks from outside along a direction", () => {
    for (const direction of thrown(30)) {
      const out = outward({ ...facing(direction), distance: 1, target: [0, 0, 0] });
      const along = dot(out, direction) / Math.hypot(...direction);
      expect(along).toBeGreaterThan(1 - 1e-3);
    }
    for (const pole of [[0, 1, 0], [0, -2, 0]] as Point[]) expect(facing(pole).azimuth).toBe(0);
  });
});
