// The page's state: one object. Actions change it (see actions.ts), views only read it.
import type { Edit } from "../io/memory";
import { SHELF, type Route } from "../logic/route";
import type { About, Binned, Card, Example, Limits, Problem, Scene, Sheet, Worked } from "../io/wire";
import type { Mine } from "./keeper";

export type Theme = "system" | "light" | "dark";
export type Colour = "wood" | "step" | "thickness";

/** A surface to draw, with what belongs to it. */
export interface Surface {
  /** The piece; none for the one that is shown first. */
  piece: string | null;
  setup: string | null;
  mesh: ArrayBuffer;
  before: ArrayBuffer | null;
  scene: Scene | null;
  /** Pieces put to it. */
  others: { mesh: ArrayBuffer; piece_from_other: number[] }[];
  /** When the change that led to it was made; 0 when it was shown already. */
  since: number;
  /** To be called when it is drawn. */
  drawn: () => void;
}

/** A plane the piece is cut open with: its normal, and its place as a share of the piece. */
export interface CutOpen {
  on: boolean;
  direction: "along" | "across";
  at: number;
}

/** A sentence to the turner, and perhaps what can be done about it. */
export interface Notice {
  says: string;
  grave: boolean;
  action?: { label: string; act: () => void };
}

/** A search for where findings begin on a slider. */
export interface LimitSearch {
  done: number;
  of: number;
  result: Limits | null;
  /** The text it was worked out for, without the value in question. */
  basis: string;
}

class Page {
  route = $state.raw<Route>(SHELF);
  about = $state.raw<About | null>(null);
  theme = $state.raw<Theme>("system");
  /** The theme in use. */
  dark = $state.raw(false);

  connected = $state.raw(true);
  notice = $state.raw<Notice | null>(null);
  /** Something has been under way for more than 300 ms. */
  slow = $state.raw(false);

  cards = $state.raw<Card[] | null>(null);
  examples = $state.raw<Example[]>([]);
  bin = $state.raw<Binned[]>([]);

  /** The plan as kept; none while it is being opened. */
  sheet = $state.raw<Sheet | null>(null);
  /** The text shown. */
  text = $state.raw("");
  /** Values typed that the server has not taken yet. */
  waiting = $state.raw<Edit[]>([]);
  kept = $state.raw(true);
  mine = $state.raw<Mine | null>(null);

  /** What is known of the last text that could be read. */
  worked = $state.raw<Worked | null>(null);
  /** That text: the one shown, unless the answer is under way or a drag is being tried. */
  workedText = $state.raw<string | null>(null);
  /** Why the text shown cannot be read; empty when it can. */
  problems = $state.raw<Problem[]>([]);
  /** Values that could not be written, by key. */
  refused = $state.raw<Record<string, { written: string; problems: Problem[] }>>({});
  limits = $state.raw<Record<string, LimitSearch>>({});

  /** The piece shown when finished; none for all of them put together. */
  piece = $state.raw<string | null>(null);
  surface = $state.raw<Surface | null>(null);
  pictures = $state.raw<Record<string, string>>({});
  colour = $state.raw<Colour>("wood");
  cut = $state.raw<CutOpen>({ on: false, direction: "along", at: 0.5 });
  /** 0 shows the wood before the set-up, 1 after it. */
  compare = $state.raw(1);
  playing = $state.raw(false);
  /** The step whose tool path is shown alone; none for all of the set-up. */
  step = $state.raw<string | null>(null);
  /** The finding pointed at. */
  pointed = $state.raw<string | null>(null);
  /** What is known of the place touched on the piece. */
  touched = $state.raw<string[]>([]);
}

export const page = new Page();
