// From a plan's text to the picture: the surface and the findings are asked for side by side,
// and each is shown as soon as it is there. A new text calls off what is under way for an
// older one. While something is dragged, what is under way may end first, so that pictures
// keep coming; of the texts in between only the last is asked for.
import { Gone, Unread, calledOff, type Look } from "../io/api";
import type { Problem, Worked } from "../io/wire";

/** What is to be shown. */
export interface Wish {
  text: string;
  /** Which wood; none while the plan's pieces are not known yet. */
  look: Look | null;
  thickness: boolean;
  /** Under way by dragging: a coarser surface, sooner. */
  dragging: boolean;
  /** When the change was made, on the page's clock; for measuring how long its picture took. */
  since: number;
}

/** Allowed distance between surface and solid, mm. */
export const CHORD = { dragging: 0.12, still: 0.04, before: 0.08 };

export interface Kitchen {
  mesh(wish: Wish, look: Look, chord: number, signal: AbortSignal): Promise<ArrayBuffer>;
  work(text: string, signal: AbortSignal): Promise<Worked>;
}

export interface Served {
  /** The surface came; ends when it is drawn. */
  mesh(mesh: ArrayBuffer, look: Look, wish: Wish): void;
  worked(worked: Worked, wish: Wish): void;
  problems(problems: Problem[], wish: Wish): void;
  gone(): void;
  failed(trouble: unknown): void;
  /** Whether anything is under way. */
  busy(busy: boolean): void;
}

export class Pipeline {
  private call: AbortController | null = null;
  private wish: Wish | null = null;
  private next: Wish | null = null;

  constructor(
    private kitchen: Kitchen,
    private served: Served,
  ) {}

  /** Asks for a wish to be shown. */
  show(wish: Wish): void {
    if (wish.dragging && this.call && this.wish?.dragging) {
      this.next = wish;
      return;
    }
    void this.run(wish);
  }

  /** Calls off whatever is under way. */
  stop(): void {
    this.next = null;
    this.call?.abort();
    this.call = null;
    this.served.busy(false);
  }

  private async run(wish: Wish): Promise<void> {
    this.call?.abort();
    const call = new AbortController();
    this.call = call;
    this.wish = wish;
    this.next = null;
    this.served.busy(true);
    const current = () => this.call === call;

    const chord = wish.dragging ? CHORD.dragging : CHORD.still;
    const { look } = wish;
    const surface =
      look &&
      this.kitchen
        .mesh(wish, look, chord, call.signal)
        .then((mesh) => current() && this.served.mesh(mesh, look, wish));
    const work = this.kitchen.work(wish.text, call.signal).then((worked) => current() && this.served.worked(worked, wish));
    // Both fail alike when the text cannot be read or the server is gone: told once.
    const ends = await Promise.allSettled([work, surface]);
    if (!current()) return;
    this.call = null;
    const trouble = ends.find((end) => end.status === "rejected")?.reason as unknown;
    if (trouble instanceof Unread) this.served.problems(trouble.problems, wish);
    else if (trouble instanceof Gone) this.served.gone();
    else if (trouble && !calledOff(trouble)) this.served.failed(trouble);
    if (this.next) void this.run(this.next);
    else this.served.busy(false);
  }
}
