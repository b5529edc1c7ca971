// Light and dark: as the screen asks, or as chosen here.
import * as memory from "../io/memory";
import { page, type Theme } from "./page.svelte";

const NIGHT = "(prefers-color-scheme: dark)";

export function beginTheme(): void {
  setTheme(memory.recall<Theme>("rondure.theme") ?? "system");
  matchMedia(NIGHT).addEventListener("change", () => setTheme(page.theme));
}

export function setTheme(theme: Theme): void {
  page.theme = theme;
  page.dark = theme === "dark" || (theme === "system" && matchMedia(NIGHT).matches);
  document.documentElement.dataset.theme = page.dark ? "dark" : "light";
  memory.remember("rondure.theme", theme);
}
