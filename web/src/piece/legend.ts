/**
 * What the colours mean: families of cuts, and round numbers along a range.
 *
 * Cuts that differ only in their number ("cove 1" to "cove 4") are one family and share a
 * hue. Numbers stand at steps a turner would name, in the units of the plan.
 */

import type { Surface } from "./glb";
import { css, familyColour, ramp, type Colour } from "./ramp";

export interface LegendEntry {
  readonly label: string;
  /** As a style sheet writes it. */
  readonly colour: string;
  /** The cuts that wear this colour, or shades of it. */
  readonly cuts?: readonly number[];
  /** The number that wears this colour. */
  readonly at?: number;
}

export interface Family {
  readonly label: string;
  /** Numbers of the cuts, in the order of their names' numbers. */
  readonly cuts: readonly number[];
}

/** The families of the cuts that left a face, in the order of the first cut of each. */
export function families(surface: Surface): Family[] {
  const present = new Set<number>();
  for (let v = 0; v < surface.cuts.length; v++) present.add(surface.cuts[v]!);
  const found = new Map<string, { cut: number; number: number; name: string }[]>();
  for (const cut of [...present].map(Math.round).sort((a, b) => a - b)) {
    const name = surface.cutNames[cut] ?? String(cut);
    const number = /\d+(?!.*\d)/.exec(name);
    const key = number ? name.replace(/\d+(?!.*\d)/, "#") : name;
    const members = found.get(key) ?? [];
    members.push({ cut, name, number: number ? Number(number[0]) : 0 });
    found.set(key, members);
  }
  return [...found].map(([key, members]) => {
    members.sort((a, b) => a.number - b.number);
    const numbers = [...new Set(members.map((member) => member.number))];
    const label = members.length > 1 ? key.replace("#", spans(numbers)) : members[0]!.name;
    return { label, cuts: members.map((member) => member.cut) };
  });
}

/** Numbers as a reader would list them: 1–4, 7. */
export function spans(numbers: readonly number[]): string {
  const parts: string[] = [];
  for (let i = 0; i < numbers.length; ) {
    let j = i;
    while (j + 1 < numbers.length && numbers[j + 1] === numbers[j]! + 1) j++;
    if (j > i + 1) parts.push(`${numbers[i]}–${numbers[j]}`);
    else for (let k = i; k <= j; k++) parts.push(String(numbers[k]));
    i = j + 1;
  }
  return parts.join(", ");
}

/** Linear light for each cut by its number. */
export function cutColours(surface: Surface): Colour[] {
  const colours: Colour[] = surface.cutNames.map(() => [0.5, 0.5, 0.5]);
  families(surface).forEach((family, index) => {
    family.cuts.forEach((cut, member) => {
      colours[cut] = familyColour(index, member, family.cuts.length);
    });
  });
  return colours;
}

export function stepLegend(surface: Surface): LegendEntry[] {
  return families(surface).map((family, index) => ({
    label: family.label,
    colour: css(familyColour(index, 0, 1)),
    cuts: family.cuts,
  }));
}

/** A range of numbers with the steps that are named along it. */
export interface Scale {
  readonly from: number;
  readonly to: number;
  readonly step: number;
}

const INCH = 25.4;
const STEPS_MM = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100];
const STEPS_IN = [1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4].map((inch) => inch * INCH);

/**
 * From nothing to what all but the thickest fiftieth of the vertices stay under, in four to
 * eight named steps of a length.
 */
export function lengthScale(numbers: Float32Array, units: "mm" | "in"): Scale {
  const most = Math.max(share(numbers, 0.98), 1e-3);
  const steps = units === "in" ? STEPS_IN : STEPS_MM;
  const step = steps.find((size) => most / size <= 8) ?? steps[steps.length - 1]!;
  return { from: 0, to: step * Math.ceil(most / step - 1e-9), step };
}

/** From nothing, or from the least where that is below nothing, in decimal steps. */
export function valueScale(numbers: Float32Array): Scale {
  const least = Math.min(0, share(numbers, 0.01));
  const most = Math.max(share(numbers, 0.995), least + 1e-9);
  const rough = (most - least) / 7;
  const power = Math.pow(10, Math.floor(Math.log10(rough)));
  const step = power * ([1, 2, 5, 10].find((digit) => digit * power >= rough - 1e-12) ?? 10);
  return { from: step * Math.floor(least / step), to: step * Math.ceil(most / step - 1e-9), step };
}

export function scaleLegend(scale: Scale, words: (number: number) => string): LegendEntry[] {
  const entries: LegendEntry[] = [];
  const count = Math.round((scale.to - scale.from) / scale.step);
  for (let k = 0; k <= count; k++) {
    const at = scale.from + k * scale.step;
    entries.push({ label: words(at), colour: css(ramp(k / count)), at });
  }
  return entries;
}

/** The number that a share of the list stays below. */
function share(numbers: Float32Array, part: number): number {
  if (numbers.length === 0) return 0;
  const sorted = numbers.slice().sort();
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))]!;
}
