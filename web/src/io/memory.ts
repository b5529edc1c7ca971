// What the browser keeps between visits: how the page is shown, and changes the server has
// not taken yet. A browser that keeps nothing is no trouble; the page then lives without.
import type { Value } from "./api";

/** A change to a plan's value. */
export interface Edit extends Value {
  /** Set by the slider. */
  slid?: boolean;
}

/** Work on a plan that the server has not kept yet. */
export interface Unsaved {
  /** The revision it was based on. */
  revision: string;
  text: string;
  /** Changes not in `text` yet: the server writes them into it. */
  edits: Edit[];
}

const unsavedKey = (name: string) => `rondure.unsaved.${name}`;

export function recall<T>(key: string): T | null {
  try {
    const kept = localStorage.getItem(key);
    return kept === null ? null : (JSON.parse(kept) as T);
  } catch {
    return null;
  }
}

export function remember(key: string, value: unknown): void {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // A full or forbidden store: the server keeps the plan, this was only the second net.
  }
}

export const recallUnsaved = (name: string) => recall<Unsaved>(unsavedKey(name));
export const rememberUnsaved = (name: string, unsaved: Unsaved | null) => remember(unsavedKey(name), unsaved);
