// Which wood is to be shown.
import type { Look } from "../io/api";
import { page } from "./page.svelte";

/** The wood to show: a set-up's, or a finished piece; none before the plan is known. */
export function currentLook(): Look | null {
  const report = page.worked?.report;
  const setup = report?.setups.find((each) => each.id === page.route.setup);
  if (setup) return { setup: setup.id, piece: setup.piece, moment: "after" };
  const piece = report?.pieces.find((each) => each.id === page.piece)?.id ?? report?.pieces[0]?.id;
  return piece === undefined ? null : { setup: null, piece, moment: "after" };
}

export function sameLook(a: Look | null, b: Look | null): boolean {
  return a?.setup === b?.setup && a?.piece === b?.piece;
}
