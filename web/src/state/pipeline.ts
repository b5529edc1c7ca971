// From a plan's text to what is seen of it: a coarse surface as soon as can be, then the
// findings, then those of their mends that have to be tried, then the fine surface. Each step
// waits for the one before, so that the picture shares the machine with nothing. A new text
// calls off what is under way for an older one. While something is dragged the step under way
// ends first, so that pictures keep coming; of the values in between only the last is asked for.
//
// A value just set is drawn before it is known what text it gives: the server sets it itself.
// The text that comes of it then finds its picture under way.
import { Gone, Refused, Unread, calledOff, type Look, type Value } from "../io/api";
import type { Problem, Worked } from "../io/wire";

/** What is to be shown. */
export interface Wish {
  text: string;
  /** A value to be set in it first: one that is dragged past, or that is on its way into the text. */
  set: Value | null;
  /** Which wood. */
  look: Look;
  thickness: boolean;
  /** Under way by dragging. */
  dragging: boolean;
  /** When the change was made, on the page's clock; for measuring how long its picture took. */
  since: number;
}

/** Allowed distance between surface and solid, mm. */
export const CHORD = { coarse: 0.3, fine: 0.04, before: 0.08 };
/** How long pictures that follow each other while something is dragged may keep findings waiting, ms. */
const PATIENCE = 400;
/** A rest after the last change before the surface is made finely, ms. */
const REST = 250;

export interface Kitchen {
  /** Nothing where the value to be set makes no plan. */
  mesh(wish: Wish, chord: number, signal: AbortSignal): Promise<ArrayBuffer | null>;
  work(wish: Wish, quick: boolean, signal: AbortSignal): Promise<Worked>;
}

export interface Served {
  /** The surface came; ends when it is drawn. */
  mesh(mesh: ArrayBuffer, wish: Wish, fine: boolean): Promise<void>;
  worked(worked: Worked, wish: Wish): void;
  problems(problems: Problem[], wish: Wish): void;
  gone(): void;
  failed(trouble: unknown): void;
  /** Whether anything but finer surfaces is under way. */
  busy(busy: boolean): void;
}

export class Pipeline {
  private call: AbortController | null = null;
  private dragging = false;
  private next: Wish | null = null;
  private busy = false;
  /** The text whose findings are served, until another is asked for. */
  private known: string | null = null;
  /** When findings were last served; never for a plan just opened. */
  private worked = -Infinity;
  /** The picture of a value that is on its way into the text. */
  private ahead: { since: number; call: AbortController; drawn: Promise<void> } | null = null;
  /** The findings that are asked for while something is dragged, beside the pictures. */
  private beside: AbortController | null = null;
  private wanted: Wish | null = null;

  constructor(
    private kitchen: Kitchen,
    private served: Served,
    private clock: () => number = () => performance.now(),
  ) {}

  /** Asks for a wish to be shown. */
  show(wish: Wish): void {
    if (wish.dragging && this.call && this.dragging) this.next = wish;
    else void this.run(wish);
  }

  /** Calls off whatever is under way. */
  stop(): void {
    this.next = null;
    this.known = null;
    this.worked = -Infinity;
    this.call?.abort();
    this.call = null;
    this.ahead?.call.abort();
    this.endBeside();
    this.rest();
  }

  private rest(): void {
    if (this.busy) this.served.busy(false);
    this.busy = false;
  }

  private async run(wish: Wish): Promise<void> {
    const ahead = !wish.set && wish.since > 0 && this.ahead?.since === wish.since ? this.ahead : null;
    if (!ahead) {
      this.call?.abort();
      this.ahead?.call.abort();
    }
    if (!wish.dragging) this.endBeside();
    const call = new AbortController();
    this.call = call;
    this.dragging = wish.dragging;
    this.next = null;
    this.busy = true;
    this.served.busy(true);
    const served = this.serve(wish, ahead?.drawn ?? null, call.signal);
    this.ahead = wish.set && !wish.dragging ? { since: wish.since, call, drawn: served } : ahead;
    try {
      await served;
    } catch (trouble) {
      if (this.call !== call) return;
      if (trouble instanceof Unread) this.served.problems(trouble.problems, wish);
      else if (trouble instanceof Gone) this.served.gone();
      else if (!calledOff(trouble)) this.served.failed(trouble);
    }
    if (this.call !== call) return;
    this.call = null;
    if (this.next) void this.run(this.next);
    else this.rest();
  }

  private async serve(wish: Wish, ahead: Promise<void> | null, signal: AbortSignal): Promise<void> {
    const ask = async <T>(question: Promise<T>) => {
      const answer = await question;
      signal.throwIfAborted();
      return answer;
    };
    const surface = async (fine: boolean) => {
      const mesh = await ask(this.kitchen.mesh(wish, fine ? CHORD.fine : CHORD.coarse, signal));
      if (mesh) await ask(this.served.mesh(mesh, wish, fine));
      return mesh !== null;
    };
    const work = (quick: boolean) => this.find(wish, quick, signal);

    if (wish.set) {
      const drawn = await surface(false);
      const due = !this.next || this.clock() - this.worked > PATIENCE;
      if (wish.dragging && drawn && due) void this.findBeside(wish);
      return;
    }
    if (wish.text === this.known) {
      // Other wood of the same plan.
      await surface(true);
      return;
    }
    this.known = null;
    let worked: Worked;
    if (this.worked === -Infinity) {
      // A plan just opened is drawn and worked out side by side. Which set-ups it has is not
      // known before: an address may name one that is gone.
      const drawn = surface(false).catch((trouble: unknown) => {
        if (!(trouble instanceof Refused)) throw trouble;
      });
      [worked] = await Promise.all([work(true), drawn]);
    } else {
      await (ahead ? ask(ahead) : surface(false));
      worked = await work(true);
    }
    if (worked.mends_untried) await work(false);
    this.known = wish.text;
    this.rest();
    await ask(new Promise((done) => setTimeout(done, REST)));
    await surface(true);
  }

  private async find(wish: Wish, quick: boolean, signal: AbortSignal): Promise<Worked> {
    const worked = await this.kitchen.work(wish, quick, signal);
    signal.throwIfAborted();
    this.worked = this.clock();
    this.served.worked(worked, wish);
    return worked;
  }

  /** Findings of what is dragged past, beside the pictures: one question at a time, and at a
   * rest their mends too. */
  private async findBeside(wish: Wish): Promise<void> {
    this.wanted = wish;
    if (this.beside) return;
    const call = (this.beside = new AbortController());
    try {
      while (this.wanted && this.beside === call) {
        const wanted = this.wanted;
        this.wanted = null;
        const { mends_untried } = await this.find(wanted, true, call.signal);
        if (mends_untried && !this.wanted) await this.find(wanted, false, call.signal);
      }
    } catch {
      // Whatever it is, it is met again when the value is let go.
    }
    if (this.beside === call) this.beside = null;
  }

  private endBeside(): void {
    this.beside?.abort();
    this.beside = null;
    this.wanted = null;
  }
}
