// The small pictures of the strip: drawn by the server one after another, when nothing more
// urgent is under way. Those of an older text stay until the new ones are there.
import * as api from "../io/api";
import { page } from "./page.svelte";

/** A rest after the last change before pictures are drawn anew, ms. */
const REST = 600;
/** What the finished piece's picture is found by; no set-up is called so. */
export const FINISHED = "";

export class Pictures {
  private timer: ReturnType<typeof setTimeout> | undefined;
  private call: AbortController | null = null;
  private drawn = "";

  /** Has pictures of a text drawn, unless they are there. */
  plan(text: string, setups: string[]): void {
    if (text === this.drawn) return;
    this.wait();
    const first = Object.keys(page.pictures).length === 0;
    this.timer = setTimeout(() => void this.draw(text, setups), first ? 0 : REST);
  }

  /** Gives way to something more urgent. */
  wait(): void {
    clearTimeout(this.timer);
    this.call?.abort();
    this.call = null;
  }

  stop(): void {
    this.wait();
    this.drawn = "";
  }

  private async draw(text: string, setups: string[]): Promise<void> {
    const call = new AbortController();
    this.call = call;
    const current = () => this.call === call;
    for (const setup of setups) await this.one(setup, () => api.setupDrawing(text, setup, call.signal), current);
    // The finished piece is drawn of the plan as kept.
    const sheet = page.sheet;
    if (sheet?.text === text) await this.one(FINISHED, () => api.cardPicture(sheet.name, sheet.revision, call.signal), current);
    if (current()) this.drawn = text;
  }

  private async one(of: string, draw: () => Promise<string>, current: () => boolean): Promise<void> {
    if (!current()) return;
    try {
      const picture = await draw();
      if (current()) page.pictures = { ...page.pictures, [of]: picture };
    } catch {
      // A strip without a picture still has its number and title; trouble with the server
      // is told by the requests that matter.
    }
  }
}
