// What can be done on the shelf.
import * as api from "../io/api";
import { words } from "../words";
import { tellOthers } from "./others";
import { page } from "./page.svelte";
import { goTo } from "./place";
import { tried } from "./trouble";

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

/** Puts a plan's text on the shelf as a plan of its own beside the one it came from, and opens it. */
export async function makeBeside(from: string, name: string, text: string): Promise<void> {
  const card = await tried(async () => {
    const copied = await api.copy(from, name);
    await api.put(copied.name, text, copied.revision, false);
    return copied;
  });
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
