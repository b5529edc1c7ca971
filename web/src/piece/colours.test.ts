import { describe, expect, it } from "vitest";
import { cutColours, families, lengthScale, scaleLegend, spans, stepLegend, valueScale } from "./legend";
import { css, familyColour, lightness, linear, ramp, type Colour } from "./ramp";
import { ball } from "./testing";

/**
 * Linear light as a person sees it who lacks one kind of cone, after Viénot, Brettel and
 * Mollon, "Digital video colourmaps for checking the legibility of displays by
 * dichromats", 1999 (matrices as usually given for linear sRGB, from memory).
 */
const LACKING: Record<string, number[]> = {
  "long cones": [0.11238, 0.88762, 0, 0.11238, 0.88762, 0, 0.00401, -0.00401, 1],
  "middle cones": [0.29275, 0.70725, 0, 0.29275, 0.70725, 0, -0.02234, 0.02234, 1],
};
function seenLacking(cones: string, colour: Colour): Colour {
  const m = LACKING[cones]!;
  return [0, 3, 6].map((row) =>
    Math.max(0, m[row]! * colour[0] + m[row + 1]! * colour[1] + m[row + 2]! * colour[2]),
  ) as unknown as Colour;
}
const luminance = ([red, green, blue]: Colour) => 0.2126 * red + 0.7152 * green + 0.0722 * blue;

describe("OKLab", () => {
  it("has white, black and middle grey where they belong", () => {
    expect(css(linear(1, 0, 0))).toBe("#ffffff");
    expect(css(linear(0, 0, 0))).toBe("#000000");
    // Grey of linear light g has lightness ∛g (closed form: the rows of the matrix sum to 1).
    for (const grey of [0.05, 0.2, 0.5, 0.9]) expect(lightness([grey, grey, grey])).toBeCloseTo(Math.cbrt(grey), 4);
  });

  it("gives back the lightness it was asked for", () => {
    for (const hue of [0, 60, 120, 180, 240, 300]) expect(lightness(linear(0.6, 0.05, hue))).toBeCloseTo(0.6, 6);
  });
});

describe("the ramp", () => {
  const steps = Array.from({ length: 101 }, (_, k) => ramp(k / 100));

  it("grows lighter evenly from end to end", () => {
    const light = steps.map(lightness);
    const whole = light[100]! - light[0]!;
    expect(whole).toBeGreaterThan(0.55);
    for (let k = 1; k <= 100; k++) expect((100 * (light[k]! - light[k - 1]!)) / whole).toBeCloseTo(1, 1);
  });

  it("grows lighter for every eye", () => {
    for (let k = 1; k <= 100; k++) {
      expect(luminance(steps[k]!)).toBeGreaterThan(luminance(steps[k - 1]!));
      for (const cones of Object.keys(LACKING)) {
        const [is, was] = [k, k - 1].map((i) => luminance(seenLacking(cones, steps[i]!)));
        expect(is, `${cones}, step ${k}`).toBeGreaterThan(was!);
      }
    }
  });

  it("stays at its ends beyond them", () => {
    expect(ramp(-3)).toEqual(ramp(0));
    expect(ramp(7)).toEqual(ramp(1));
  });
});

describe("colours of cuts", () => {
  it("differ in lightness or clearly in blue and yellow for every pair of the first six", () => {
    for (const cones of Object.keys(LACKING)) {
      for (let a = 0; a < 6; a++) {
        for (let b = a + 1; b < 6; b++) {
          const [one, other] = [a, b].map((k) => seenLacking(cones, familyColour(k, 0, 1))) as [Colour, Colour];
          const apart = Math.abs(lightness(one) - lightness(other)) + Math.abs(Math.cbrt(one[2]) - Math.cbrt(other[2]));
          expect(apart, `${cones}: ${a} and ${b}`).toBeGreaterThan(0.08);
        }
      }
    }
  });

  it("are one family where only the number differs", () => {
    const found = families(ball());
    expect(found.map(({ label }) => label)).toEqual([
      "the bore",
      "the ball's surface",
      "cove 1–4",
      "the hole at mark 1–8",
    ]);
    const coves = found[2]!.cuts.map((cut) => ball().cutNames[cut]);
    expect(coves).toEqual(["cove 1", "cove 2", "cove 3", "cove 4"]);
    const colours = cutColours(ball());
    expect(new Set(found.flatMap(({ cuts }) => cuts.map((cut) => css(colours[cut]!)))).size).toBe(14);
    expect(stepLegend(ball()).map(({ cuts }) => cuts?.length)).toEqual([1, 1, 4, 8]);
  });

  it("are listed as a reader would", () => {
    expect(spans([1, 2, 3, 4, 7])).toBe("1–4, 7");
    expect(spans([1, 2])).toBe("1, 2");
    expect(spans([5])).toBe("5");
  });
});

describe("scales", () => {
  const upTo = (most: number) => Float32Array.from({ length: 1000 }, (_, k) => (most * (k + 0.5)) / 980);

  it("stand at steps a turner names", () => {
    expect(lengthScale(upTo(13.2), "mm")).toEqual({ from: 0, to: 14, step: 2 });
    expect(lengthScale(upTo(3.1), "mm")).toEqual({ from: 0, to: 3.5, step: 0.5 });
    // 13.2 mm is 0.52 in: eighths would be five, sixteenths nine, and eight are allowed.
    const inches = lengthScale(upTo(13.2), "in");
    expect([inches.step / 25.4, Math.round(inches.to / inches.step)]).toEqual([1 / 8, 5]);
  });

  it("have a label and a colour for each step, light to dark as the ramp", () => {
    const entries = scaleLegend({ from: 0, to: 14, step: 2 }, (mm) => `${mm} mm`);
    expect(entries.map(({ label }) => label)).toEqual([0, 2, 4, 6, 8, 10, 12, 14].map((mm) => `${mm} mm`));
    expect(entries[0]!.colour).toBe(css(ramp(0)));
    expect(entries[7]!.colour).toBe(css(ramp(1)));
  });

  it("of other numbers are decimal and hold nothing", () => {
    const scale = valueScale(upTo(0.83));
    expect(scale.from).toBe(0);
    expect(scale.step).toBeCloseTo(0.2, 12);
    expect(scale.to).toBeGreaterThan(0.83);
    const level = valueScale(new Float32Array(10));
    expect(level.to).toBeGreaterThan(level.from);
  });
});
