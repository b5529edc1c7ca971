// The views of a plan's sides, by the names that `logic/route` lists in their order. Each is
// loaded when it is first shown, or when the page has nothing better to do.
//
// A new side: its name in `SIDES`, its word in `words.sides`, its line here.
import type { Component } from "svelte";
import type { Side } from "../logic/route";

type Load = () => Promise<{ default: Component }>;

export const views: Record<Side, Load> = {
  set: () => import("./SetSide.svelte"),
  numbers: () => import("./NumbersSide.svelte"),
  findings: () => import("./FindingsSide.svelte"),
  drawings: () => import("./DrawingsSide.svelte"),
  size: () => import("./SizeSide.svelte"),
  text: () => import("./TextSide.svelte"),
  files: () => import("./FilesSide.svelte"),
};

/** Brings every side, so that all are there when the server is gone. */
export function bringAll(): void {
  for (const load of Object.values(views)) void load().catch(() => undefined);
}
