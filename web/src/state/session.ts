// The plan that is open: what is done to it goes through its keeper.
import * as api from "../io/api";
import { Gone } from "../io/api";
import * as memory from "../io/memory";
import type { Finding, Mend } from "../io/wire";
import { findingKey } from "../logic/findings";
import { words } from "../words";
import { Keeper } from "./keeper";
import { forget as forgetLimits } from "./limits";
import { tellOthers } from "./others";
import { page } from "./page.svelte";
import { goTo } from "./place";
import { changing, reshow, showAhead, stopShowing } from "./show";
import { failed, gone, say, tried } from "./trouble";

let keeper: Keeper | null = null;
/** Ticks the server has not taken yet. */
const ticksWaiting = new Map<string, boolean>();

/** Whether a plan is open. */
export const isOpen = () => keeper !== null;

export async function openPlan(name: string): Promise<void> {
  const sheet = await tried(() => api.open(name), () => goTo({ plan: null, setup: null }));
  if (sheet === null || page.route.plan !== name || keeper !== null) return;
  keeper = new Keeper(sheet, api, memory, {
    text: (text) => {
      page.text = text;
      reshow();
    },
    state: showKept,
    refused: (edit, problems) => {
      page.refused = { ...page.refused, [edit.key]: { written: edit.written, problems } };
      reshow();
    },
    gone,
    failed,
  });
  page.text = sheet.text;
  showKept();
  keeper.takeUp();
  reshow();
}

/** Closes the plan that is open. */
export function leave(): void {
  keeper?.end();
  keeper = null;
  stopShowing();
  forgetLimits();
  ticksWaiting.clear();
  Object.assign(page, {
    sheet: null,
    text: "",
    waiting: [],
    kept: true,
    mine: null,
    worked: null,
    workedText: null,
    problems: [],
    refused: {},
    piece: null,
    surface: null,
    pictures: {},
    compare: 1,
    playing: false,
    pointed: null,
    step: null,
    touched: [],
    notice: null,
  });
}

function showKept(): void {
  if (keeper === null) return;
  const revision = page.sheet?.revision;
  page.sheet = { ...keeper.sheet, ticks: withWaiting(keeper.sheet.ticks) };
  page.waiting = keeper.edits;
  page.kept = keeper.kept;
  page.mine = keeper.mine;
  if (revision !== undefined && revision !== keeper.sheet.revision) tellOthers(keeper.name);
}

function withWaiting(ticks: string[]): string[] {
  const set = new Set(ticks);
  for (const [id, on] of ticksWaiting) {
    if (on) set.add(id);
    else set.delete(id);
  }
  return [...set];
}

/** Sets a value of the plan, as the turner wrote it. */
export function setValue(key: string, written: string, slid = false): Promise<void> {
  changing();
  if (page.refused[key]) {
    const { [key]: _, ...rest } = page.refused;
    page.refused = rest;
  }
  if (!keeper) return Promise.resolve();
  if (keeper.edits.length === 0 && page.worked) showAhead(key, written);
  return keeper.set(key, written, slid);
}

export async function apply(finding: Finding, mend: Mend): Promise<void> {
  if (mend.key === null || mend.write === null) return;
  await setValue(mend.key, mend.write);
  if (page.pointed === findingKey(finding)) page.pointed = null;
  page.notice = { says: words.findings.applied(mend.says), grave: false, action: { label: words.bar.undo, act: undo } };
}

let typing: ReturnType<typeof setTimeout> | undefined;
/** A pause in typing after which the text is handed to the server, ms. */
const PAUSE = 600;

/** Shows a text as it is typed; it is kept at the next pause. */
export function typeText(text: string): void {
  clearTimeout(typing);
  const here = keeper;
  if (!here) return;
  changing();
  here.draft(text);
  typing = setTimeout(() => void here.type(here.text), PAUSE);
}

export function undo(): void {
  changing();
  page.notice = null;
  page.refused = {};
  void keeper?.undo();
}

export function redo(): void {
  changing();
  page.notice = null;
  page.refused = {};
  void keeper?.redo();
}

export function takeBackMine(): void {
  void keeper?.takeBack();
}

export function letMineGo(): void {
  keeper?.letGo();
}

export async function tick(id: string, on: boolean): Promise<void> {
  const here = keeper;
  if (!here) return;
  ticksWaiting.set(id, on);
  showKept();
  try {
    const sheet = await api.tick(here.name, id, on);
    if (ticksWaiting.get(id) === on) ticksWaiting.delete(id);
    here.ticked(sheet);
  } catch (trouble) {
    if (!(trouble instanceof Gone)) ticksWaiting.delete(id);
    failed(trouble);
    showKept();
  }
}

/** Looks whether the plan was changed elsewhere. */
export function lookAgain(): void {
  void keeper?.look();
}

/** Hands over what waited while the server was gone. */
export async function resume(): Promise<void> {
  const here = keeper;
  if (!here) return;
  await here.resume();
  for (const [id, on] of ticksWaiting) await tick(id, on);
  await here.look();
  reshow();
  if (here.kept && page.connected) say({ says: words.server.back, grave: false });
}
