// What can be done on the page. Each action changes the page's state or sets going what will.
import * as api from "../io/api";
import { Gone, calledOff } from "../io/api";
import * as memory from "../io/memory";
import { findingKey, pieceOf } from "../logic/findings";
import { readRoute, writeRoute, type Route, type Side } from "../logic/route";
import type { Finding, Mend, Sheet, Worked } from "../io/wire";
import { words } from "../words";
import { Connection } from "./connection";
import { Keeper } from "./keeper";
import { forget as forgetLimits } from "./limits";
import { page, type Colour, type CutOpen, type Notice, type Theme } from "./page.svelte";
import { Pictures } from "./pictures";
import { Pipeline, type Wish } from "./pipeline";
import { Preview } from "./preview";

let keeper: Keeper | null = null;
/** When the change under way was made, on the page's clock. */
let changedAt = 0;
let slowTimer: ReturnType<typeof setTimeout> | undefined;
/** Ticks the server has not taken yet. */
const ticksWaiting = new Map<string, boolean>();

const others = new BroadcastChannel("rondure.plans");
others.onmessage = (message: MessageEvent<{ name: string | null }>) => {
  if (page.route.plan === null) void loadShelf();
  else if (message.data.name === page.route.plan) void keeper?.look();
};
const tellOthers = (name: string | null) => others.postMessage({ name });

const connection = new Connection(api.about, () => {
  page.connected = true;
  void comeBack();
});

const pictures = new Pictures();

const pipeline = new Pipeline(
  {
    mesh: (wish, look, chord, signal) => api.mesh(wish.text, look, chord, wish.thickness, signal),
    work,
  },
  {
    mesh(mesh, { setup, piece }, wish) {
      const same = page.surface?.setup === setup && page.surface.piece === piece ? page.surface : null;
      page.surface = {
        piece,
        setup,
        mesh,
        before: same?.before ?? null,
        scene: same?.scene ?? null,
        since: wish.since,
      };
      if (!wish.dragging && setup !== null) void mount(wish);
    },
    worked(worked, wish) {
      page.worked = worked;
      page.problems = [];
      if (page.route.setup !== null && !worked.report.setups.some((setup) => setup.id === page.route.setup)) {
        goTo({ setup: null });
      } else if (!sameLook(wish.look, currentLook())) {
        reshow();
      }
      if (!wish.dragging) pictures.plan(wish.text, worked.report.setups.map((setup) => setup.id));
    },
    problems(problems) {
      page.problems = problems;
    },
    gone,
    failed,
    busy(busy) {
      clearTimeout(slowTimer);
      if (busy) slowTimer = setTimeout(() => (page.slow = true), 300);
      else page.slow = false;
    },
  },
);

/** The last text worked out, so that another look at it asks for a surface only. */
let lastWork: { text: string; worked: Worked } | null = null;

async function work(text: string, signal: AbortSignal): Promise<Worked> {
  if (lastWork?.text === text) return lastWork.worked;
  const worked = await api.work(text, keeper?.name ?? "", signal);
  lastWork = { text, worked };
  return worked;
}

const preview = new Preview(api.change, {
  text: (text, since) => pipeline.show(wishOf(text, true, since)),
  gone,
});

// The page as a whole ------------------------------------------------------------------------

export async function begin(): Promise<void> {
  setTheme(memory.recall<Theme>("rondure.theme") ?? "system");
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => setTheme(page.theme));
  addEventListener("hashchange", () => void follow(readRoute(location.hash)));
  addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    if (page.route.plan === null) void loadShelf();
    else void keeper?.look();
  });
  await Promise.all([follow(readRoute(location.hash)), tried(async () => void (page.about = await api.about()))]);
}

export function setTheme(theme: Theme): void {
  page.theme = theme;
  page.dark = theme === "dark" || (theme === "system" && matchMedia("(prefers-color-scheme: dark)").matches);
  document.documentElement.dataset.theme = page.dark ? "dark" : "light";
  memory.remember("rondure.theme", theme);
}

export function say(notice: Notice | null): void {
  page.notice = notice;
}

export function retry(): void {
  void connection.try();
}

/** Goes to another place of the page; what is not named stays. */
export function goTo(to: Partial<Route>): void {
  const route = { ...page.route, ...to };
  const address = writeRoute(route);
  // Steps through set-ups and sides are no pages to go back through one by one.
  if (route.plan === page.route.plan) history.replaceState(null, "", address);
  else history.pushState(null, "", address);
  void follow(route);
}

async function follow(route: Route): Promise<void> {
  const before = page.route;
  page.route = route;
  if (route.plan !== before.plan || (route.plan !== null && keeper === null)) {
    leave();
    if (route.plan === null) await loadShelf();
    else await openPlan(route.plan);
  } else if (route.plan === null) {
    await loadShelf();
  } else if (route.setup !== before.setup) {
    page.compare = 1;
    page.step = null;
    page.touched = [];
    reshow();
  }
}

function gone(): void {
  page.connected = false;
  connection.lost();
}

function failed(trouble: unknown): void {
  if (calledOff(trouble)) return;
  if (trouble instanceof Gone) return gone();
  const says = trouble instanceof Error ? trouble.message : String(trouble);
  page.notice = { says: words.server.failed(says), grave: true };
}

/** Does something with the server; trouble is told, not thrown, after what is to be done when
 * the server says no. */
async function tried<T>(act: () => Promise<T>, refused?: () => void): Promise<T | null> {
  try {
    return await act();
  } catch (trouble) {
    if (trouble instanceof api.Refused) refused?.();
    failed(trouble);
    return null;
  }
}

async function comeBack(): Promise<void> {
  if (page.about === null) page.about = await tried(api.about);
  if (page.route.plan === null) return loadShelf();
  if (keeper === null) return openPlan(page.route.plan);
  const here = keeper;
  await here.resume();
  for (const [id, on] of ticksWaiting) await tick(id, on);
  await here.look();
  reshow();
  if (here.kept && page.connected) page.notice = { says: words.server.back, grave: false };
}

// The shelf ----------------------------------------------------------------------------------

export async function loadShelf(): Promise<void> {
  await tried(async () => {
    const [cards, bin] = await Promise.all([api.shelf(), api.bin()]);
    page.cards = cards;
    page.bin = bin;
    if (page.examples.length === 0) page.examples = await api.examples();
  });
}

export async function make(what: Parameters<typeof api.create>[0]): Promise<void> {
  const card = await tried(() => api.create(what));
  if (!card) return;
  tellOthers(null);
  goTo({ plan: card.name, setup: null, side: "numbers" });
}

/** Puts one of the plans that come with the program on the shelf, and opens it. */
export async function takeExample(name: string): Promise<void> {
  const card = await tried(() => api.takeExample(name));
  if (!card) return;
  tellOthers(null);
  goTo({ plan: card.name, setup: null, side: "numbers" });
}

async function onShelf(act: () => Promise<unknown>): Promise<boolean> {
  const done = await tried(async () => {
    await act();
    return true;
  });
  await loadShelf();
  tellOthers(null);
  return done ?? false;
}

export const copyPlan = (name: string, to: string) => onShelf(() => api.copy(name, to));
export const renamePlan = (name: string, to: string) => onShelf(() => api.rename(name, to));
export const restorePlan = (id: string) => onShelf(() => api.restore(id));

export async function removePlan(name: string, title: string): Promise<void> {
  if (!(await onShelf(() => api.remove(name)))) return;
  const lying = page.bin.filter((binned) => binned.name === name).sort((a, b) => b.removed_at - a.removed_at)[0];
  page.notice = {
    says: words.shelf.removed(title),
    grave: false,
    ...(lying && { action: { label: words.shelf.takeBack, act: () => void restorePlan(lying.id) } }),
  };
}

// One plan -----------------------------------------------------------------------------------

async function openPlan(name: string): Promise<void> {
  const sheet = await tried(() => api.open(name), () => goTo({ plan: null, setup: null }));
  if (sheet === null || page.route.plan !== name || keeper !== null) return;
  keeper = new Keeper(sheet, api, memory, {
    text: (text) => {
      page.text = text;
      preview.stop();
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
function leave(): void {
  keeper?.end();
  keeper = null;
  pipeline.stop();
  pictures.stop();
  preview.stop();
  forgetLimits();
  ticksWaiting.clear();
  Object.assign(page, {
    sheet: null,
    text: "",
    waiting: [],
    kept: true,
    mine: null,
    worked: null,
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
export function setValue(key: string, written: string): Promise<void> {
  changedAt = performance.now();
  if (page.refused[key]) {
    const { [key]: _, ...rest } = page.refused;
    page.refused = rest;
  }
  return keeper?.set(key, written) ?? Promise.resolve();
}

/** Shows what a value would make, while it is still being dragged; nothing is kept. */
export function tryValue(key: string, written: string): void {
  if (keeper) preview.show(keeper.text, key, written, performance.now());
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
  changedAt = performance.now();
  here.draft(text);
  typing = setTimeout(() => void here.type(here.text), PAUSE);
}

export function undo(): void {
  changedAt = performance.now();
  page.notice = null;
  page.refused = {};
  void keeper?.undo();
}

export function redo(): void {
  changedAt = performance.now();
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
    const sheet: Sheet = await api.tick(here.name, id, on);
    if (ticksWaiting.get(id) === on) ticksWaiting.delete(id);
    here.ticked(sheet);
  } catch (trouble) {
    if (!(trouble instanceof Gone)) ticksWaiting.delete(id);
    failed(trouble);
    showKept();
  }
}

// What is shown of it ------------------------------------------------------------------------

/** The wood to show: a set-up's, or a finished piece; none before the plan is known. */
export function currentLook(): api.Look | null {
  const report = page.worked?.report;
  const setup = report?.setups.find((each) => each.id === page.route.setup);
  if (setup) return { setup: setup.id, piece: setup.piece, moment: "after" };
  const piece = report?.pieces.find((each) => each.id === page.piece)?.id ?? report?.pieces[0]?.id;
  return piece === undefined ? null : { setup: null, piece, moment: "after" };
}

function sameLook(a: api.Look | null, b: api.Look | null): boolean {
  return a?.setup === b?.setup && a?.piece === b?.piece;
}

function wishOf(text: string, dragging: boolean, since: number): Wish {
  return { text, look: currentLook(), thickness: page.colour === "thickness", dragging, since };
}

function reshow(): void {
  if (!keeper) return;
  pipeline.show(wishOf(keeper.text, false, changedAt));
  changedAt = 0;
}

/** Brings what belongs to a mounting: the lathe's parts, and the wood before the set-up. */
async function mount(wish: Wish): Promise<void> {
  const look = wish.look;
  if (!look || look.setup === null) return;
  const { setup, piece } = look;
  const surface = () => {
    const now = page.surface;
    return now && now.setup === setup && now.piece === piece && keeper?.text === wish.text ? now : null;
  };
  await tried(async () => {
    const [scene, before] = await Promise.all([
      api.scene(wish.text, setup),
      api.mesh(wish.text, { ...look, moment: "before" }, 0.08, false),
    ]);
    const now = surface();
    if (now) page.surface = { ...now, scene, before, since: 0 };
  });
}

export function showSide(side: Side): void {
  goTo({ side });
}

export function showSetup(setup: string | null): void {
  goTo({ setup });
}

export function showPiece(piece: string): void {
  page.piece = piece;
  page.touched = [];
  if (page.route.setup !== null) goTo({ setup: null });
  else reshow();
}

/** The next set-up (1) or the one before (-1); the finished piece stands after the last. */
export function stepSetup(by: 1 | -1): void {
  const ids = page.worked?.report.setups.map((setup) => setup.id) ?? [];
  const at = page.route.setup === null ? ids.length : ids.indexOf(page.route.setup);
  const to = at + by;
  if (to < 0 || to > ids.length) return;
  showSetup(ids[to] ?? null);
}

export function setColour(colour: Colour): void {
  page.colour = colour;
  if (colour === "thickness") reshow();
}

export function setCut(cut: Partial<CutOpen>): void {
  page.cut = { ...page.cut, ...cut };
}

export function setCompare(share: number): void {
  page.compare = share;
}

/** Shows a finding's place: its set-up, its piece, and the place itself. */
export function pointAt(finding: Finding): void {
  const report = page.worked?.report;
  if (!report) return;
  page.pointed = findingKey(finding);
  const piece = pieceOf(finding, report);
  const pieceShown = page.surface?.piece;
  if (finding.setup === null) {
    if (page.route.setup !== null || (piece && piece !== pieceShown)) showPiece(piece ?? "");
  } else if (page.route.setup !== finding.setup) {
    showSetup(finding.setup);
  }
}

let touching: ReturnType<typeof setTimeout> | undefined;
/** How long the pointer rests on a place before it is asked about, ms. */
const RESTS = 120;

/** Asks what is known of a place on the surface: at once when tapped, else after a rest. */
export function touch(at: number[] | null, tapped: boolean): void {
  clearTimeout(touching);
  const look = currentLook();
  if (at === null || look === null || !keeper) {
    page.touched = [];
    return;
  }
  const text = keeper.text;
  touching = setTimeout(
    () =>
      void tried(async () => {
        page.touched = (await api.probe(text, look, at)).shown;
      }),
    tapped ? 0 : RESTS,
  );
}

/** Shows the tool's path of one step alone, or of all again. */
export function showStep(step: string | null): void {
  page.step = step;
}

// Playing the job ----------------------------------------------------------------------------

const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));
let played = 0;

/** Plays the job from the set-up shown, or from the first; called again, stops. */
export function play(): void {
  page.playing = !page.playing;
  played += 1;
  if (page.playing) void playOn(played);
}

async function playOn(round: number): Promise<void> {
  const on = () => page.playing && played === round && page.worked !== null;
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  if (page.route.setup === null) showSetup(page.worked?.report.setups[0]?.id ?? null);
  while (on() && page.route.setup !== null) {
    const here = page.route.setup;
    setCompare(0);
    for (let waited = 0; waited < 4000 && on() && !(page.surface?.setup === here && page.surface.before); waited += 50) await pause(50);
    await pause(700);
    for (let share = still ? 1 : 0.04; on() && page.route.setup === here && share <= 1; share += 0.04) {
      setCompare(Math.min(1, share));
      await pause(30);
    }
    setCompare(1);
    await pause(900);
    if (on() && page.route.setup === here) stepSetup(1);
  }
  if (played === round) page.playing = false;
}
