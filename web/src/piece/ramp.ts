/**
 * Colours that carry a number or a name.
 *
 * All are laid out in OKLab (Björn Ottosson, "A perceptual color space for image
 * processing", 2020; matrices from memory and checked by the tests against white, black and
 * the way back), where equal steps look about equally large.
 *
 * - The ramp for numbers goes from dark and violet through green to pale straw. Its
 *   lightness rises evenly, so it reads the same in grey and to every kind of colour
 *   blindness; the thin places are the dark ones.
 * - The colours for names differ in lightness as well as in hue, and the lines between the
 *   faces stay drawn, so hue is never the only sign.
 */

export type Colour = readonly [number, number, number];

/** Linear light of a colour in OKLab given as lightness, chroma and hue in degrees. */
export function linear(lightness: number, chroma: number, hue: number): Colour {
  const angle = (hue * Math.PI) / 180;
  return fromLab(lightness, chroma * Math.cos(angle), chroma * Math.sin(angle));
}

function fromLab(l: number, a: number, b: number): Colour {
  const long = (l + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const middle = (l - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const short = (l - 0.0894841775 * a - 1.291485548 * b) ** 3;
  const inside = (light: number) => Math.min(1, Math.max(0, light));
  return [
    inside(4.0767416621 * long - 3.3077115913 * middle + 0.2309699292 * short),
    inside(-1.2684380046 * long + 2.6097574011 * middle - 0.3413193965 * short),
    inside(-0.0041960863 * long - 0.7034186147 * middle + 1.707614701 * short),
  ];
}

/** OKLab lightness of linear light. */
export function lightness([red, green, blue]: Colour): number {
  const long = Math.cbrt(0.4122214708 * red + 0.5363325363 * green + 0.0514459929 * blue);
  const middle = Math.cbrt(0.2119034982 * red + 0.6806995451 * green + 0.1073969566 * blue);
  const short = Math.cbrt(0.0883024619 * red + 0.2817188376 * green + 0.6299787005 * blue);
  return 0.2104542553 * long + 0.793617785 * middle - 0.0040720468 * short;
}

/** As a style sheet writes it, after IEC 61966-2-1. */
export function css(colour: Colour): string {
  const parts = colour.map((light) => {
    const shown = light <= 0.0031308 ? 12.92 * light : 1.055 * Math.pow(light, 1 / 2.4) - 0.055;
    return Math.round(255 * Math.min(1, Math.max(0, shown)))
      .toString(16)
      .padStart(2, "0");
  });
  return `#${parts.join("")}`;
}

/** Lightness, green-red and blue-yellow of the ramp at even steps. */
const STATIONS: readonly Colour[] = [
  [0.28, 0.07, -0.11],
  [0.4, -0.01, -0.115],
  [0.52, -0.075, -0.04],
  [0.64, -0.105, 0.035],
  [0.76, -0.065, 0.1],
  [0.88, 0.0, 0.105],
];

/** The ramp for numbers in linear light; `part` from 0, least, to 1, most. */
export function ramp(part: number): Colour {
  const at = Math.min(1, Math.max(0, part)) * (STATIONS.length - 1);
  const step = Math.min(STATIONS.length - 2, Math.floor(at));
  const [from, to] = [STATIONS[step]!, STATIONS[step + 1]!];
  const mix = (k: number) => from[k]! + (to[k]! - from[k]!) * (at - step);
  return fromLab(mix(0), mix(1), mix(2));
}

/** Lightness, chroma and hue for families of cuts, told apart in grey as well. */
const FAMILIES: readonly Colour[] = [
  [0.84, 0.07, 85],
  [0.62, 0.12, 245],
  [0.74, 0.13, 60],
  [0.5, 0.13, 350],
  [0.8, 0.09, 180],
  [0.56, 0.1, 145],
  [0.7, 0.1, 310],
  [0.44, 0.09, 275],
];

/** How far the first and the last of a family stand apart in lightness. */
const SPREAD = 0.18;

/** The colour of member `member` of `members` in a family of cuts. */
export function familyColour(family: number, member: number, members: number): Colour {
  const [l, c, h] = FAMILIES[family % FAMILIES.length]!;
  // Further families begin the list again, a little darker.
  const round = Math.floor(family / FAMILIES.length);
  const part = members > 1 ? member / (members - 1) - 0.5 : 0;
  return linear(l - SPREAD * part - 0.09 * round, c, h);
}
