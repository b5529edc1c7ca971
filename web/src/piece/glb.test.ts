import { describe, expect, it } from "vitest";
import { readSurface, UnreadableMesh } from "./glb";
import { ball, ballBytes, volume } from "./testing";

/** The file again with its text changed, or with some bytes. */
function changed(text: (json: string) => string): ArrayBuffer {
  const old = new Uint8Array(ballBytes());
  const size = new DataView(old.buffer).getUint32(12, true);
  const json = new TextEncoder().encode(text(new TextDecoder().decode(old.subarray(20, 20 + size))));
  const padded = Math.ceil(json.length / 4) * 4;
  const bytes = new Uint8Array(20 + padded + old.length - 20 - size).fill(0x20, 20, 20 + padded);
  bytes.set(old.subarray(0, 20));
  bytes.set(json, 20);
  bytes.set(old.subarray(20 + size), 20 + padded);
  const data = new DataView(bytes.buffer);
  data.setUint32(8, bytes.length, true);
  data.setUint32(12, padded, true);
  return bytes.buffer;
}

describe("a mesh of ours", () => {
  it("holds the numbers of the plan it was made from", () => {
    // The example: 60 mm ball, 20 mm bore, both about z and the origin.
    const surface = ball();
    const { positions: p, cuts, cutNames } = surface;
    const radii = (name: string, flat: boolean) => {
      const cut = cutNames.indexOf(name);
      expect(cut, name).toBeGreaterThan(0);
      const found: number[] = [];
      cuts.forEach((one, v) => {
        if (one === cut) found.push(Math.hypot(p[3 * v]!, p[3 * v + 1]!, flat ? 0 : p[3 * v + 2]!));
      });
      expect(found.length, name).toBeGreaterThan(8);
      return found;
    };
    for (const radius of radii("the ball's surface", false)) expect(radius).toBeCloseTo(30, 4);
    for (const radius of radii("the bore", true)) expect(radius).toBeCloseTo(10, 4);
    expect(surface.title).toBe("ball");
    expect(surface.thickness).toBeNull();
  });

  it("is closed the right way round, with unit normals", () => {
    const { positions, normals, indices } = ball();
    // `rondure solid` says 36512.8 mm³. This mesh strays by up to 1.051 mm and its chords cut
    // across hollows as well as bulges, so a twentieth is what it can be held to.
    expect(Math.abs(volume(positions, indices) / 36512.8 - 1)).toBeLessThan(0.05);
    for (let i = 0; i < normals.length; i += 3) {
      expect(Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!)).toBeCloseTo(1, 5);
    }
  });

  it("is read without a copy", () => {
    const bytes = ballBytes();
    const surface = readSurface(bytes);
    expect(surface.positions.buffer).toBe(bytes);
    expect(surface.indices.buffer).toBe(bytes);
  });

  it("reads names given as objects, and a node's matrix changes nothing", () => {
    const surface = readSurface(
      changed((json) => json.replace('"the bore"', '{"name":"the bore"}').replace('"scale":[0.001', '"scale":[9.001')),
    );
    expect(surface.cutNames).toEqual(ball().cutNames);
    expect(surface.positions).toEqual(ball().positions);
  });
});

describe("bytes that are no mesh of ours", () => {
  const spoilt = (at: number, word: number) => {
    const bytes = ballBytes();
    new DataView(bytes).setUint32(at, word, true);
    return bytes;
  };
  const cases: [string, () => ArrayBuffer, RegExp][] = [
    ["nothing", () => new ArrayBuffer(0), /0 bytes/],
    ["another format", () => spoilt(0, 0x04034b50), /does not begin with glTF/],
    ["another version", () => spoilt(4, 1), /glTF 1; version 2/],
    ["a cut-off file", () => ballBytes().slice(0, 50_000), /ends after 50000/],
    ["a chunk past the end", () => spoilt(12, 0x7fffff00), /runs past the end/],
    ["text that is no JSON", () => changed((json) => json.replace("{", "[")), /no JSON/],
    ["no mesh", () => changed((json) => json.replace('"meshes"', '"neshes"')), /no mesh/],
    ["no normals", () => changed((json) => json.replace('"NORMAL"', '"NORMALS"')), /no NORMAL/],
    ["lines", () => changed((json) => json.replace('"material":0', '"mode":1')), /mode 1; triangles/],
    ["short lists", () => changed((json) => json.replace('"_CUT":2', '"_CUT":0')), /of type VEC3/],
    ["too many numbers", () => changed((json) => json.replace(/"count":\d+/, '"count":99999999')), /runs past the end/],
  ];
  it.each(cases)("are refused: %s", (_, bytes, says) => {
    expect(() => readSurface(bytes())).toThrow(UnreadableMesh);
    expect(() => readSurface(bytes())).toThrow(says);
  });

  it("are refused where a triangle names a vertex that is not there", () => {
    const bytes = ballBytes();
    const { indices, positions } = readSurface(bytes);
    new Uint32Array(bytes, indices.byteOffset, 1)[0] = positions.length / 3;
    expect(() => readSurface(bytes)).toThrow(`names vertex ${positions.length / 3}`);
  });
});
