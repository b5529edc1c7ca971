import { describe, expect, it } from "vitest";
import { bestView } from "./finding";
import { allRound, clearestWay, firstHit, lastExit } from "./ray";
import { ball, cube } from "./testing";
import type { Point } from "./view";

describe("the point under the pointer", () => {
  it("is on the near face of a cube, with what the face knows", () => {
    const hit = firstHit(cube(4), [10, 0.5, -1.25], [-1, 0, 0])!;
    expect(hit.at[0]).toBeCloseTo(2, 12);
    expect(hit.at.slice(1)).toEqual([0.5, -1.25]);
    expect(hit.normal).toEqual([1, 0, 0]);
    expect(hit.distance).toBeCloseTo(8, 12);
    expect(hit.cut).toBe(0);
  });

  it("has the thickness between those of the corners", () => {
    // The cube's thickness is planted as x itself, which is linear.
    const hit = firstHit(cube(4), [1.3, -0.7, 9], [0, 0, -1])!;
    expect(hit.thickness).toBeCloseTo(1.3, 6);
    expect(hit.cut).toBe(2);
  });

  it("is nowhere beside the wood, behind the eye, or through a pierced hole", () => {
    expect(firstHit(cube(4), [10, 3, 0], [-1, 0, 0])).toBeNull();
    expect(firstHit(cube(4), [10, 0, 0], [1, 0, 0])).toBeNull();
    expect(firstHit(ball(), [0, 0, 90], [0, 0, -1])).toBeNull();
    // The holes are at mark 3, which is at 135°, and at all its fellows: 6 mm in radius.
    const way: Point = [Math.SQRT1_2, -Math.SQRT1_2, 0];
    expect(firstHit(ball(), [-60, 60, 5], way)).toBeNull();
    expect(firstHit(ball(), [-60, 60, 7.5], way)).not.toBeNull();
  });

  it("passes through wood that the cutting plane took", () => {
    const plane = { origin: [0, 0, 0], normal: [1, 0, 0] } as const;
    // The near half is gone; the face behind it is seen from inside, which does not count.
    expect(firstHit(cube(4), [10, 0, 0], [-1, 0, 0], plane)).toBeNull();
    expect(firstHit(cube(4), [-10, 0, 0], [1, 0, 0], plane)!.at[0]).toBeCloseTo(-2, 12);
  });
});

describe("the best way to look at a place", () => {
  it("is straight on to a face, and between the faces at a corner", () => {
    const along = (a: Point, b: Point) => a.reduce((sum, part, k) => sum + part * b[k]!, 0) / Math.hypot(...b);
    const face = clearestWay(cube(4), [0.3, 0.2, 2], allRound(200), 0.2);
    expect(along(face, [0, 0, 1])).toBeGreaterThan(0.97);
    const corner = clearestWay(cube(4), [2, 2, 2], allRound(200), 0.2);
    expect(along(corner, [1, 1, 1])).toBeGreaterThan(0.9);
  });

  it("is the way with the least wood before a place inside", () => {
    const ways: Point[] = [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, -1]];
    expect(lastExit(cube(4), [0.5, 0, -1.2], [0, 0, -1])).toBeCloseTo(0.8, 12);
    expect(clearestWay(cube(4), [0.5, 0, -1.2], ways, 0.1)).toEqual([0, 0, -1]);
    // Level on both sides: no middle, so the first.
    expect(clearestWay(cube(4), [0, 0, 1.9], [[1, 0, 0], [-1, 0, 0]], 0.1)).toEqual([1, 0, 0]);
  });

  it("of a rib of the ball is from outside, not from within", () => {
    // Mark 2 stands at 90°, on a ridge between the holes of marks 1 and 3; before it the air.
    const gap = [[-3, 21, 0], [3, 21, 0]] as const;
    const way = bestView(ball(), [0, 21, 0], gap, 28);
    expect(way[1]).toBeGreaterThan(0.9);
    expect(way[0]).toBeCloseTo(0, 9);
  });

  it("is strewn evenly", () => {
    const sum = allRound(64).reduce<number[]>((whole, way) => whole.map((part, k) => part + way[k]!), [0, 0, 0]);
    expect(Math.hypot(...sum) / 64).toBeLessThan(0.02);
    for (const way of allRound(64)) expect(Math.hypot(...way)).toBeCloseTo(1, 12);
  });
});
