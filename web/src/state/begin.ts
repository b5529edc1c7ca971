// How the page begins, and what it listens to for as long as it is open.
import * as api from "../io/api";
import type { Route } from "../logic/route";
import { hearOthers } from "./others";
import { page } from "./page.svelte";
import { beginPlace } from "./place";
import { isOpen, leave, lookAgain, openPlan, resume } from "./session";
import { loadShelf } from "./shelf";
import { reshow } from "./show";
import { beginTheme } from "./theme";
import { onBack, tried } from "./trouble";

export function begin(): void {
  beginTheme();
  onBack(() => void comeBack());
  hearOthers((plan) => {
    if (page.route.plan === null) void loadShelf();
    else if (plan === page.route.plan) lookAgain();
  });
  addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    if (page.route.plan === null) void loadShelf();
    else lookAgain();
  });
  beginPlace((now, before) => void follow(now, before));
  void learn();
}

async function learn(): Promise<void> {
  page.about = await tried(api.about);
}

async function follow(now: Route, before: Route): Promise<void> {
  if (now.plan === null) {
    leave();
    await loadShelf();
  } else if (now.plan !== before.plan || !isOpen()) {
    leave();
    await openPlan(now.plan);
  } else if (now.setup !== before.setup) {
    page.compare = 1;
    page.step = null;
    page.touched = [];
    reshow();
  }
}

async function comeBack(): Promise<void> {
  if (page.about === null) await learn();
  if (page.route.plan === null) await loadShelf();
  else if (isOpen()) await resume();
  else await openPlan(page.route.plan);
}
