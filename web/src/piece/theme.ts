/**
 * The colours that are no measure: ink, steel, the wood about to go, the tool's path.
 *
 * One set for a light and one for a dark page. Each kind of line differs from the others
 * in thickness or dash too, so none is told by its hue alone.
 */

import { linear, type Colour } from "./ramp";

export type ThemeName = "light" | "dark";

export interface Theme {
  /** Sharp edges of the wood and its outline. */
  readonly ink: Colour;
  readonly inkOpacity: number;
  /** Pencil lines on the wood. */
  readonly pencil: Colour;
  /** Round pencil lines that stand before the page, where that is as dark as they are. */
  readonly pencilHalo: Colour | null;
  /** Centres, jaws and pins. */
  readonly steel: Colour;
  /** The wood about to go. */
  readonly going: Colour;
  /** The way of the tool. */
  readonly path: Colour;
  /** The place of a finding, and the gap there. */
  readonly finding: Colour;
  /** What stands between a line and whatever lies behind it. */
  readonly halo: Colour;
  /** Frame of the cutting plane. */
  readonly plane: Colour;
  /** Labels, as a style sheet writes them. */
  readonly labelText: string;
  readonly labelGround: string;
  /** Ground of a picture that is kept as a file. */
  readonly ground: string;
}

export const THEMES: Record<ThemeName, Theme> = {
  light: {
    ink: linear(0.24, 0.025, 60),
    inkOpacity: 0.85,
    pencil: linear(0.22, 0.01, 260),
    pencilHalo: null,
    steel: linear(0.72, 0.015, 245),
    going: linear(0.6, 0.16, 35),
    path: linear(0.44, 0.17, 262),
    finding: linear(0.42, 0.19, 15),
    halo: linear(0.99, 0, 0),
    plane: linear(0.45, 0.08, 250),
    labelText: "#1d1a16",
    labelGround: "#fffdf8",
    ground: "#f6f3ec",
  },
  dark: {
    ink: linear(0.16, 0.02, 60),
    inkOpacity: 0.9,
    pencil: linear(0.16, 0.01, 260),
    pencilHalo: linear(0.8, 0.02, 80),
    steel: linear(0.6, 0.015, 245),
    going: linear(0.72, 0.15, 40),
    path: linear(0.83, 0.11, 220),
    finding: linear(0.86, 0.15, 95),
    halo: linear(0.12, 0, 0),
    plane: linear(0.75, 0.07, 240),
    labelText: "#f6f1e6",
    labelGround: "#26231e",
    ground: "#191714",
  },
};
