// Where findings begin on a value's slider: a job of the server, asked for when the slider is
// taken up, and called off when the plan changes elsewhere.
import * as api from "../io/api";
import { listen } from "../io/events";
import type { Limits } from "../io/wire";
import { page, type LimitSearch } from "./page.svelte";

const running = new Map<string, AbortController>();

function note(key: string, search: LimitSearch | null): void {
  const { [key]: _, ...rest } = page.limits;
  page.limits = search ? { ...rest, [key]: search } : rest;
}

/** What the limits of a value hang on: every other value of the plan. */
function basisOf(key: string): string {
  const fields = page.worked?.fields ?? [];
  return fields.map((field) => (field.key === key ? "" : `${field.key}=${field.written ?? ""}`)).join("\n");
}

/** Looks for the limits of a value unless they are known for the plan as it stands. */
export async function search(key: string): Promise<void> {
  const basis = basisOf(key);
  if (page.limits[key]?.basis === basis) return;
  running.get(key)?.abort();
  const call = new AbortController();
  running.set(key, call);
  note(key, { done: 0, of: 0, result: null, basis });
  try {
    const { id } = await api.startJob({ kind: "limits", text: page.text, key }, call.signal);
    const result = await listen<Limits>(
      api.jobEventsAt(id),
      (done, of) => note(key, { done, of, result: null, basis }),
      call.signal,
    ).catch((trouble: unknown) => {
      if (call.signal.aborted) void api.endJob(id).catch(() => undefined);
      throw trouble;
    });
    note(key, { done: 0, of: 0, result, basis });
  } catch {
    // Limits are a help: without them the slider and the findings still work.
    if (running.get(key) === call) note(key, null);
  } finally {
    if (running.get(key) === call) running.delete(key);
  }
}

/** The limits of a value, if they hold for the plan as it stands. */
export function limitsOf(key: string): LimitSearch | null {
  const search = page.limits[key];
  return search && search.basis === basisOf(key) ? search : null;
}

/** Calls off every search. */
export function forget(): void {
  for (const call of running.values()) call.abort();
  running.clear();
  page.limits = {};
}
