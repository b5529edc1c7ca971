// Keeps one plan: every change goes to the server at once, in order, each on the revision it
// was made on. Nothing is overwritten silently and nothing typed is lost:
//   - a newer plan on the server is shown, and what was typed here is held out to take back;
//   - while the server is gone, changes wait here and in the browser's store.
// Knows no page: what happens is told through `Told`, and the server is handed in.
import { Gone, Newer, Unread } from "../io/api";
import type { Edit, Unsaved } from "../io/memory";
import type { Problem, Sheet } from "../io/wire";

/** What the keeper asks of the server. */
export interface Server {
  open(name: string): Promise<Sheet>;
  /** `joins` takes the change back together with the one before. */
  put(name: string, text: string, revision: string, joins: boolean): Promise<Sheet>;
  undo(name: string, revision: string): Promise<Sheet>;
  redo(name: string, revision: string): Promise<Sheet>;
  change(text: string, key: string, written: string): Promise<string>;
}

/** Where unsaved work is held meanwhile. */
export interface Store {
  recallUnsaved(name: string): Unsaved | null;
  rememberUnsaved(name: string, unsaved: Unsaved | null): void;
}

/** What the keeper tells. */
export interface Told {
  /** The text to show has changed. */
  text(text: string): void;
  /** Anything else has changed: revision, what waits, whether all is kept. */
  state(): void;
  /** A value could not be written into the plan. */
  refused(edit: Edit, problems: Problem[]): void;
  /** The server is gone; call `resume` when it is back. */
  gone(): void;
  /** Something else went wrong. */
  failed(trouble: unknown): void;
}

/** A text, and the changes not written into it yet. */
export interface Mine {
  text: string;
  edits: Edit[];
}

type Move = "undo" | "redo";

/** Steps of one slider that follow each other sooner than this are one change, ms. */
const ONE_SLIDE = 1500;

/** Nobody is told any more. */
const SILENCE: Told = {
  text: () => undefined,
  state: () => undefined,
  refused: () => undefined,
  gone: () => undefined,
  failed: () => undefined,
};

export class Keeper {
  /** The text shown: what is kept, and what was changed since. */
  text: string;
  /** Changes the server has not written into the text yet. */
  edits: Edit[] = [];
  /** Work of ours that gave way to a newer plan. */
  mine: Mine | null = null;

  private moves: Move[] = [];
  private running: Promise<void> | null = null;
  private typed = false;
  /** The value whose slider made the change under way, and the last one kept. */
  private sliding: string | null = null;
  private slid: { key: string; revision: string; at: number } | null = null;
  /** Whether the browser holds work of this keeper; that of another tab is not ours to drop. */
  private held = false;

  constructor(
    public sheet: Sheet,
    private server: Server,
    private store: Store,
    private told: Told,
  ) {
    this.text = sheet.text;
  }

  get name(): string {
    return this.sheet.name;
  }

  /** Whether the server has everything. */
  get kept(): boolean {
    return this.edits.length === 0 && this.text === this.sheet.text;
  }

  /** Takes up what an earlier visit could not hand over. */
  takeUp(): void {
    const left = this.store.recallUnsaved(this.name);
    if (!left) return;
    this.held = true;
    const changed = left.edits.length > 0 || left.text !== this.sheet.text;
    if (!changed) {
      this.store.rememberUnsaved(this.name, null);
    } else if (left.revision === this.sheet.revision) {
      this.edits = left.edits;
      this.show(left.text);
      void this.pump();
    } else if (left.text !== this.sheet.text) {
      this.mine = { text: left.text, edits: left.edits };
      this.told.state();
    } else {
      // The text arrived before the server went; only what came after it is missing.
      this.edits = left.edits;
      void this.pump();
    }
  }

  /** Sets one value of the plan; a step of its slider joins the step before. */
  set(key: string, written: string, slid = false): Promise<void> {
    const edit: Edit = slid ? { key, written, slid } : { key, written };
    this.edits = [...this.edits.filter((edit) => edit.key !== key), edit];
    this.note();
    return this.pump();
  }

  /** Shows a text under way and holds it in the browser; `type` hands it to the server. */
  draft(text: string): void {
    this.typed = true;
    this.edits = [];
    this.show(text);
  }

  /** Replaces the whole text. */
  type(text: string): Promise<void> {
    this.draft(text);
    return this.pump();
  }

  undo(): Promise<void> {
    this.moves.push("undo");
    return this.pump();
  }

  redo(): Promise<void> {
    this.moves.push("redo");
    return this.pump();
  }

  /** Puts our text over the newer one, as a change like any other. */
  takeBack(): Promise<void> {
    const mine = this.mine;
    if (mine === null) return Promise.resolve();
    this.mine = null;
    this.draft(mine.text);
    this.edits = mine.edits;
    this.note();
    return this.pump();
  }

  /** Lets our text go. */
  letGo(): void {
    this.mine = null;
    this.note();
  }

  /** Tries again after the server was gone. */
  resume(): Promise<void> {
    return this.pump();
  }

  /** Looks whether the plan was changed elsewhere. */
  async look(): Promise<void> {
    if (this.running || !this.kept) return;
    try {
      const sheet = await this.server.open(this.name);
      if (this.running || !this.kept || sheet.revision === this.sheet.revision) return;
      this.take(sheet);
    } catch (trouble) {
      this.trouble(trouble);
    }
  }

  /** Ticks came back with a sheet: they change nothing but themselves. */
  ticked(sheet: Sheet): void {
    this.sheet = { ...this.sheet, ticks: sheet.ticks };
    this.told.state();
  }

  /** Ends this keeper: what waits is still handed over, but nothing is told any more. */
  end(): void {
    this.told = SILENCE;
    void this.pump();
  }

  private show(text: string): void {
    this.text = text;
    this.note();
    this.told.text(text);
  }

  private take(sheet: Sheet): void {
    this.sheet = sheet;
    if (this.text !== sheet.text) this.show(sheet.text);
    else this.note();
  }

  private note(): void {
    const unsaved = this.unsaved();
    if (unsaved || this.held) this.store.rememberUnsaved(this.name, unsaved);
    this.held = unsaved !== null;
    this.told.state();
  }

  private unsaved(): Unsaved | null {
    if (!this.kept) return { revision: this.sheet.revision, text: this.text, edits: this.edits };
    // No plan has this revision, so that the next visit holds it out again.
    return this.mine && { revision: "", ...this.mine };
  }

  private pump(): Promise<void> {
    this.running ??= this.run().finally(() => {
      this.running = null;
    });
    return this.running;
  }

  private async run(): Promise<void> {
    try {
      for (;;) {
        const edit = this.edits[0];
        if (edit) await this.write(edit);
        else if (this.text !== this.sheet.text) await this.put();
        else if (this.moves.length > 0) await this.move();
        else break;
      }
    } catch (trouble) {
      this.trouble(trouble);
    }
  }

  private async write(edit: Edit): Promise<void> {
    this.typed = false;
    let text: string | null = null;
    try {
      text = await this.server.change(this.text, edit.key, edit.written);
    } catch (trouble) {
      if (!(trouble instanceof Unread)) throw trouble;
      this.told.refused(edit, trouble.problems);
    }
    // Typed over meanwhile: the text typed holds.
    if (this.typed) return;
    this.sliding = edit.slid ? edit.key : null;
    this.edits = this.edits.filter((waiting) => waiting !== edit);
    if (text !== null) this.show(text);
    else this.note();
  }

  private async put(): Promise<void> {
    const sent = this.text;
    const { sliding, slid } = this;
    this.sliding = null;
    const joins =
      slid !== null && slid.key === sliding && slid.revision === this.sheet.revision && Date.now() - slid.at < ONE_SLIDE;
    try {
      const sheet = await this.server.put(this.name, sent, this.sheet.revision, joins);
      this.sheet = sheet;
      this.slid = sliding === null ? null : { key: sliding, revision: sheet.revision, at: Date.now() };
      if (this.text === sent && sheet.text !== sent) this.show(sheet.text);
      else this.note();
    } catch (trouble) {
      if (!(trouble instanceof Newer)) throw trouble;
      this.giveWay(trouble.sheet);
    }
  }

  private async move(): Promise<void> {
    const move = this.moves[0];
    if (!move) return;
    try {
      const sheet = await this.server[move](this.name, this.sheet.revision);
      this.moves.shift();
      this.take(sheet);
    } catch (trouble) {
      if (!(trouble instanceof Newer)) throw trouble;
      // What would be undone is not what was seen: show it first.
      this.moves = [];
      this.take(trouble.sheet);
    }
  }

  private giveWay(newer: Sheet): void {
    const mine = { text: this.text, edits: this.edits };
    this.sheet = newer;
    this.moves = [];
    if (mine.text !== newer.text) {
      this.mine = mine;
      this.edits = [];
      this.show(newer.text);
    } else {
      this.note();
    }
  }

  private trouble(trouble: unknown): void {
    if (trouble instanceof Gone) {
      this.told.gone();
      return;
    }
    this.moves = [];
    this.told.failed(trouble);
  }
}
