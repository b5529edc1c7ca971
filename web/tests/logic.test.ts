import { describe, expect, it } from "vitest";
import { extent, plane, shareOf } from "../src/logic/extent";
import { mendedBy, verdict } from "../src/logic/findings";
import { fraction, onStep, readOf, share, writtenOf } from "../src/logic/lengths";
import { readRoute, writeRoute, SHELF } from "../src/logic/route";
import type { Finding } from "../src/io/wire";

describe("lengths as a turner writes them", () => {
  it.each([
    [2.375, "2 3/8"],
    [0.5, "1/2"],
    [3, "3"],
    [0, "0"],
    [1 / 64, "1/64"],
    [0.999, "1"],
    [-1.25, "-1 1/4"],
    [2.3620472, "2 23/64"],
  ])("%d in is %s", (inches, written) => expect(fraction(inches)).toBe(written));

  it("names the unit of a length, and leaves other numbers bare", () => {
    expect(writtenOf(5.5, "mm")).toBe("5.5 mm");
    expect(writtenOf(0.1 + 0.2, "mm")).toBe("0.3 mm");
    expect(writtenOf(2.375, "in")).toBe("2 3/8 in");
    expect(writtenOf(9, "%")).toBe("9");
    expect(readOf(9, "%")).toBe("9 %");
    expect(readOf(22.5, "deg")).toBe("22.5°");
  });

  it("holds a slider to its steps and its ends", () => {
    const range = { from: 0.5, to: 10, step: 0.1 };
    expect(onStep(5.04, range)).toBe(5);
    expect(onStep(99, range)).toBe(10);
    expect(onStep(-1, range)).toBe(0.5);
    expect(share(5.25, range)).toBe(0.5);
    expect(share(99, range)).toBe(1);
  });
});

describe("the page's address", () => {
  it.each([
    { plan: "ball", setup: null, side: "numbers" as const },
    { plan: "a ball/50 % & more", setup: "mounting.3", side: "set" as const },
    SHELF,
  ])("comes back as it went: %j", (route) => expect(readRoute(writeRoute(route))).toEqual(route));

  it("leads somewhere when it makes no sense", () => {
    expect(readRoute("#/plan/%E0%A4%A/x?side=nothing")).toEqual({ plan: "%E0%A4%A", setup: "x", side: "numbers" });
    expect(readRoute("#/elsewhere")).toEqual(SHELF);
    expect(readRoute("")).toEqual(SHELF);
  });
});

describe("findings", () => {
  const finding = (weight: Finding["weight"], key: string | null): Finding => ({
    id: "web.thin",
    weight,
    setup: null,
    step: null,
    says: weight,
    value: 1,
    limit: 2,
    unit: "mm",
    limit_from: "the plan's limits",
    at: null,
    gap: null,
    mend: [{ says: "less", key, write: key && "1" }],
  });

  it("are told by the gravest", () => {
    expect(verdict([])).toBe("sound");
    expect(verdict([finding("note", null)])).toBe("sound");
    expect(verdict([finding("watch", null), finding("stops", null)])).toBe("stops");
  });

  it("stand beside the value that mends them, notes apart", () => {
    const all = [finding("stops", "cove.depth"), finding("note", "cove.depth"), finding("watch", null)];
    expect(mendedBy(all, "cove.depth")).toEqual([all[0]]);
  });
});

describe("the extent of a surface", () => {
  const glb = (document: object) => {
    const text = new TextEncoder().encode(JSON.stringify(document));
    const bytes = new Uint8Array(20 + text.length);
    const view = new DataView(bytes.buffer);
    view.setUint32(0, 0x46546c67, true);
    view.setUint32(12, text.length, true);
    bytes.set(text, 20);
    return bytes.buffer;
  };
  const box = { min: [-30, -20, -10], max: [30, 20, 50] };

  it("is read from the file's own words", () => {
    const told = { accessors: [{}, box], meshes: [{ primitives: [{ attributes: { POSITION: 1 } }] }] };
    expect(extent(glb(told))).toEqual(box);
  });

  it("is none of bytes that say nothing", () => {
    expect(extent(new ArrayBuffer(4))).toBeNull();
    expect(extent(new ArrayBuffer(40))).toBeNull();
    expect(extent(glb({}))).toBeNull();
  });

  it("places planes by their share of it", () => {
    const shape = box as { min: [number, number, number]; max: [number, number, number] };
    expect(plane(shape, "across", 0.25)).toEqual({ origin: [0, 0, 5], normal: [0, 0, 1] });
    expect(plane(shape, "along", 0.5)).toEqual({ origin: [0, 0, 20], normal: [0, -1, 0] });
    expect(shareOf(shape, "across", [7, 7, 5])).toBe(0.25);
    expect(shareOf(shape, "along", [0, -99, 0])).toBe(0.02);
  });
});
