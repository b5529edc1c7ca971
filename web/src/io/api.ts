// The server's routes as functions. Each ends in its answer or in one of four troubles:
// the server cannot be reached, it has a newer plan, it cannot read the text, or it refuses.
import type { About, Binned, Card, Changed, Example, Probed, Problem, Resized, Scene, Sheet, Worked } from "./wire";

/** The server cannot be reached. */
export class Gone extends Error {}

/** The plan was changed elsewhere meanwhile; the newer one is here. */
export class Newer extends Error {
  readonly sheet: Sheet;
  constructor(sheet: Sheet) {
    super("newer");
    this.sheet = sheet;
  }
}

/** The plan's text cannot be read as a plan, and why. */
export class Unread extends Error {
  readonly problems: Problem[];
  constructor(problems: Problem[]) {
    super(problems[0]?.found ?? "unread");
    this.problems = problems;
  }
}

/** The server says no, in a sentence. */
export class Refused extends Error {
  readonly status: number;
  constructor(status: number, says: string) {
    super(says);
    this.status = status;
  }
}

/** Whether the request was called off by the page itself. */
export function calledOff(trouble: unknown): boolean {
  return trouble instanceof DOMException && trouble.name === "AbortError";
}

async function ask(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<Response> {
  const request: RequestInit = { method, signal: signal ?? null, cache: "no-store" };
  if (body !== undefined) {
    request.headers = { "content-type": "application/json" };
    request.body = JSON.stringify(body);
  }
  let answer: Response;
  try {
    answer = await fetch(path, request);
  } catch (trouble) {
    if (calledOff(trouble)) throw trouble;
    throw new Gone();
  }
  if (answer.ok) return answer;
  const told = (await answer.json().catch(() => null)) as Partial<{ says: string; problems: Problem[] }> & Partial<Sheet> | null;
  if (answer.status === 409 && told?.revision !== undefined) throw new Newer(told as Sheet);
  if (answer.status === 422 && told?.problems) throw new Unread(told.problems);
  throw new Refused(answer.status, told?.says ?? `${answer.status} ${answer.statusText}`);
}

/** A body that ends early means the server went away in the middle of it. */
async function whole<T>(reading: Promise<T>): Promise<T> {
  try {
    return await reading;
  } catch (trouble) {
    if (calledOff(trouble)) throw trouble;
    throw new Gone();
  }
}

async function json<T>(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  return whole((await ask(method, path, body, signal)).json() as Promise<T>);
}

const plan = (name: string) => `/api/shelf/${encodeURIComponent(name)}`;

export const about = () => json<About>("GET", "/api/about");
export const shelf = () => json<Card[]>("GET", "/api/shelf");
export const create = (what: { name?: string; form: string; diameter: string; units: string }) =>
  json<Card>("POST", "/api/shelf", what);
export const examples = () => json<Example[]>("GET", "/api/examples");
export const takeExample = (name: string) => json<Card>("POST", `/api/examples/${encodeURIComponent(name)}`, {});
export const open = (name: string) => json<Sheet>("GET", plan(name));
export const put = (name: string, text: string, revision: string, joins: boolean) =>
  json<Sheet>("PUT", plan(name), { text, revision, joins });
export const undo = (name: string, revision: string) => json<Sheet>("POST", `${plan(name)}/undo`, { revision });
export const redo = (name: string, revision: string) => json<Sheet>("POST", `${plan(name)}/redo`, { revision });
export const tick = (name: string, id: string, on: boolean) => json<Sheet>("POST", `${plan(name)}/ticks`, { id, on });
export const copy = (name: string, to: string) => json<Card>("POST", `${plan(name)}/copy`, { to });
export const rename = (name: string, to: string) => json<Card>("POST", `${plan(name)}/rename`, { to });
export const remove = async (name: string) => void (await ask("DELETE", plan(name)));
export const bin = () => json<Binned[]>("GET", "/api/bin");
export const restore = (id: string) => json<Card>("POST", `/api/bin/${encodeURIComponent(id)}/restore`, {});

export const work = (text: string, set: Value | null, name: string, quick: boolean, signal?: AbortSignal) =>
  json<Worked>("POST", "/api/work", { text, set, name, quick }, signal);
/** The plan's text with a value set; {@link Unread} where the value makes no plan. */
export async function change(text: string, key: string, written: string): Promise<string> {
  const changed = await json<Changed>("POST", "/api/change", { text, key, written });
  if (changed.text === null) throw new Unread(changed.problems);
  return changed.text;
}

/** A value of a plan, as the turner wrote it. */
export interface Value {
  key: string;
  written: string;
}

export const rescale = (text: string, diameter: string, keep: string[], signal?: AbortSignal) =>
  json<Resized>("POST", "/api/rescale", { text, diameter, keep }, signal);

/** What surface is wanted. */
export interface Look {
  setup: string | null;
  /** The piece; none for the set-up's, or else the plan's first. */
  piece: string | null;
  moment: "before" | "after";
}

/** A surface; none where the value to be set first makes no plan. */
export async function mesh(
  text: string,
  set: Value | null,
  look: Look,
  chord: number,
  thickness: boolean,
  signal?: AbortSignal,
): Promise<ArrayBuffer | null> {
  const answer = await ask("POST", "/api/mesh", { text, set, ...look, chord, thickness }, signal);
  return answer.status === 204 ? null : whole(answer.arrayBuffer());
}
export const scene = (text: string, setup: string, signal?: AbortSignal) =>
  json<Scene>("POST", "/api/scene", { text, setup }, signal);

export const probe = (text: string, look: Look, at: number[], signal?: AbortSignal) =>
  json<Probed>("POST", "/api/probe", { text, ...look, at }, signal);

async function drawing(path: string, body: unknown, signal?: AbortSignal): Promise<string> {
  return whole((await ask("POST", path, body, signal)).text());
}
export const setupDrawing = (text: string, setup: string, signal?: AbortSignal) =>
  drawing("/api/setup.svg", { text, setup }, signal);
export const packetDrawing = (text: string, of: string, signal?: AbortSignal) =>
  drawing("/api/drawing.svg", { text, drawing: of }, signal);
export const stripDrawing = (text: string, signal?: AbortSignal) => drawing("/api/strip.svg", { text }, signal);
export const sectionDrawing = (
  text: string,
  look: Look,
  plane: { origin: number[]; normal: number[] },
  signal?: AbortSignal,
) => drawing("/api/section.svg", { text, ...look, plane }, signal);
export const cardPicture = async (name: string, revision: string, signal?: AbortSignal) =>
  whole((await ask("GET", `${plan(name)}/picture.svg?revision=${revision}`, undefined, signal)).text());

/** Addresses of files that the browser opens by itself. */
export const packetAt = (name: string, paper: "a4" | "letter") => `${plan(name)}/packet.pdf?paper=${paper}`;
export const solidAt = (name: string, kind: "stl" | "3mf" | "glb", piece: string, setup: string | null) =>
  `${plan(name)}/solid.${kind}?piece=${encodeURIComponent(piece)}${setup ? `&setup=${encodeURIComponent(setup)}` : ""}`;

export const startJob = (body: { kind: string; text: string; key: string }, signal?: AbortSignal) =>
  json<{ id: string }>("POST", "/api/jobs", body, signal);
export const jobEventsAt = (id: string) => `/api/jobs/${encodeURIComponent(id)}/events`;
export const endJob = async (id: string) => void (await ask("DELETE", `/api/jobs/${encodeURIComponent(id)}`));
