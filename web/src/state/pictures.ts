// The small pictures of the strip: drawn by the server one after another, when nothing more
// urgent is under way. Those of an older text stay until the new ones are there.
import * as api from "../io/api";
import { page } from "./page.svelte";

/** A rest after the last change before pictures are drawn anew, ms. */
const REST = 250;

export class Pictures {
  private timer: ReturnType<typeof setTimeout> | undefined;
  private call: AbortController | null = null;
  private drawn = "";

  plan(text: string, setups: string[]): void {
    if (text === this.drawn) return;
    this.stop();
    const first = Object.keys(page.pictures).length === 0;
    this.timer = setTimeout(() => void this.draw(text, setups), first ? 0 : REST);
  }

  stop(): void {
    clearTimeout(this.timer);
    this.call?.abort();
    this.call = null;
    this.drawn = "";
  }

  private async draw(text: string, setups: string[]): Promise<void> {
    const call = new AbortController();
    this.call = call;
    for (const setup of setups) {
      try {
        const picture = await api.setupDrawing(text, setup, call.signal);
        if (this.call !== call) return;
        page.pictures = { ...page.pictures, [setup]: picture };
      } catch {
        // A strip without a picture still has its number and title; trouble with the server
        // is told by the requests that matter.
        if (this.call !== call) return;
      }
    }
    this.drawn = text;
  }
}
