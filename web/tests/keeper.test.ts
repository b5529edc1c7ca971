// The keeper against a server of a few lines: a plan, its revisions, and a plug to pull.
import { describe, expect, it, vi } from "vitest";
import { Gone, Newer, Unread } from "../src/io/api";
import type { Unsaved } from "../src/io/memory";
import { Keeper, type Server, type Told } from "../src/state/keeper";
import type { Problem, Sheet } from "../src/io/wire";

const PROBLEM: Problem = { file: "ball", key: "cove.depth", line: 2, column: 9, start: 20, end: 25, found: "`deep` is no length", allowed: "", mend: "" };

class Desk implements Server {
  texts: string[];
  undone: string[] = [];
  gone = false;
  /** Goes after having kept, before answering. */
  goneAfterPut = false;
  puts = 0;

  constructor(text: string) {
    this.texts = [text];
  }
  get text(): string {
    return this.texts.at(-1) ?? "";
  }
  get sheet(): Sheet {
    return {
      name: "ball",
      text: this.text,
      revision: `r${this.text}`,
      can_undo: this.texts.length > 1,
      can_redo: this.undone.length > 0,
      ticks: [],
    };
  }
  private async answer(revision: string | null, act: () => void): Promise<Sheet> {
    await Promise.resolve();
    if (this.gone) throw new Gone();
    if (revision !== null && revision !== this.sheet.revision) throw new Newer(this.sheet);
    act();
    if (this.goneAfterPut) throw new Gone();
    return this.sheet;
  }
  open = () => this.answer(null, () => undefined);
  put = (_: string, text: string, revision: string, joins: boolean) =>
    this.answer(revision, () => {
      this.puts += 1;
      if (joins) this.texts.pop();
      this.texts.push(text);
      this.undone = [];
    });
  undo = (_: string, revision: string) => this.answer(revision, () => this.undone.push(this.texts.pop() ?? ""));
  redo = (_: string, revision: string) => this.answer(revision, () => this.texts.push(this.undone.pop() ?? ""));
  change = async (text: string, key: string, written: string) => {
    await Promise.resolve();
    if (this.gone) throw new Gone();
    if (written === "deep") throw new Unread([PROBLEM]);
    return `${text};${key}=${written}`;
  };
}

class Drawer {
  held = new Map<string, Unsaved>();
  recallUnsaved = (name: string) => this.held.get(name) ?? null;
  rememberUnsaved = (name: string, unsaved: Unsaved | null) => {
    if (unsaved) this.held.set(name, structuredClone(unsaved));
    else this.held.delete(name);
  };
}

function open(desk: Desk, drawer = new Drawer()) {
  const told = { shown: [] as string[], refused: [] as string[], gone: 0, failed: [] as unknown[] };
  const on: Told = {
    text: (text) => told.shown.push(text),
    state: () => undefined,
    refused: (edit) => told.refused.push(edit.written),
    gone: () => (told.gone += 1),
    failed: (trouble) => told.failed.push(trouble),
  };
  return { keeper: new Keeper(desk.sheet, desk, drawer, on), told, drawer };
}

describe("keeping a plan", () => {
  it("hands each change over, in order, and says when all is kept", async () => {
    const desk = new Desk("a");
    const { keeper, drawer } = open(desk);
    const done = keeper.set("cove.depth", "5 mm");
    expect(keeper.kept).toBe(false);
    expect(drawer.held.get("ball")?.edits).toEqual([{ key: "cove.depth", written: "5 mm" }]);
    void keeper.set("ball.diameter", "60 mm");
    await done;
    expect(desk.text).toBe("a;cove.depth=5 mm;ball.diameter=60 mm");
    expect(keeper.kept).toBe(true);
    expect(drawer.held.size).toBe(0);
  });

  it("sends of one value typed twice only the last", async () => {
    const desk = new Desk("a");
    desk.gone = true;
    const { keeper } = open(desk);
    await keeper.set("k", "1");
    await keeper.set("k", "2");
    desk.gone = false;
    await keeper.resume();
    expect(desk.text).toBe("a;k=2");
  });

  it("takes the steps of one slider back together, until it rests or another value comes between", async () => {
    vi.useFakeTimers();
    const desk = new Desk("a");
    const { keeper } = open(desk);
    const texts = async (...steps: [string, string, boolean][]) => {
      for (const [key, written, slid] of steps) await keeper.set(key, written, slid);
      return desk.texts.length - 1;
    };
    expect(await texts(["k", "1", true], ["k", "2", true], ["k", "3", true])).toBe(1);
    expect(desk.text).toBe("a;k=1;k=2;k=3");
    expect(await texts(["k", "4", false], ["k", "5", true], ["l", "6", true])).toBe(4);
    vi.advanceTimersByTime(2000);
    expect(await texts(["l", "7", true])).toBe(5);
    // What was taken back meanwhile is no step to go on with.
    await keeper.undo();
    expect(await texts(["l", "8", true])).toBe(5);
    vi.useRealTimers();
  });

  it("tells a value that cannot be written and leaves the plan as it was", async () => {
    const desk = new Desk("a");
    const { keeper, told } = open(desk);
    await keeper.set("cove.depth", "deep");
    expect(told.refused).toEqual(["deep"]);
    expect(desk.texts).toEqual(["a"]);
    expect(keeper.kept).toBe(true);
  });

  it("goes back and forth through the server's history", async () => {
    const desk = new Desk("a");
    const { keeper } = open(desk);
    await keeper.type("b");
    await keeper.undo();
    expect(keeper.text).toBe("a");
    expect(keeper.sheet.can_redo).toBe(true);
    await keeper.redo();
    expect(keeper.text).toBe("b");
  });

  it("keeps what was typed before it goes back", async () => {
    const desk = new Desk("a");
    const { keeper } = open(desk);
    keeper.draft("b");
    await keeper.undo();
    expect(desk.undone).toEqual(["b"]);
    expect(keeper.text).toBe("a");
  });
});

describe("a server that is gone", () => {
  it("loses nothing: changes wait and go over when it is back", async () => {
    const desk = new Desk("a");
    const { keeper, told, drawer } = open(desk);
    desk.gone = true;
    await keeper.set("k", "1");
    expect(told.gone).toBe(1);
    expect(keeper.kept).toBe(false);
    expect(drawer.held.has("ball")).toBe(true);
    desk.gone = false;
    await keeper.resume();
    expect(desk.text).toBe("a;k=1");
    expect(keeper.kept).toBe(true);
  });

  it("loses nothing when the page is closed meanwhile", async () => {
    const desk = new Desk("a");
    const { keeper, drawer } = open(desk);
    desk.gone = true;
    await keeper.type("b");
    await keeper.set("k", "1");
    keeper.end();
    desk.gone = false;
    const again = open(desk, drawer);
    again.keeper.takeUp();
    await again.keeper.resume();
    expect(desk.text).toBe("b;k=1");
    expect(drawer.held.size).toBe(0);
  });

  it("does not take a change for a clash that arrived before the answer was lost", async () => {
    const desk = new Desk("a");
    const { keeper, told } = open(desk);
    desk.goneAfterPut = true;
    await keeper.type("b");
    expect(told.gone).toBe(1);
    desk.goneAfterPut = false;
    await keeper.resume();
    expect(keeper.mine).toBeNull();
    expect(keeper.kept).toBe(true);
    expect(desk.texts).toEqual(["a", "b"]);
  });
});

describe("leaving a plan", () => {
  it("still hands over what was typed, and tells nobody", async () => {
    const desk = new Desk("a");
    const { keeper, told, drawer } = open(desk);
    keeper.draft("b");
    keeper.end();
    await keeper.resume();
    expect(desk.text).toBe("b");
    expect(drawer.held.size).toBe(0);
    expect(told.shown).toEqual(["b"]);
  });

  it("leaves what another tab holds alone", async () => {
    const desk = new Desk("a");
    const drawer = new Drawer();
    const theirs = { revision: "ra", text: "theirs", edits: [] };
    const { keeper } = open(desk, drawer);
    drawer.rememberUnsaved("ball", theirs);
    await keeper.look();
    keeper.letGo();
    expect(drawer.held.get("ball")).toEqual(theirs);
  });
});

describe("a plan changed elsewhere", () => {
  it("is shown, and ours is held out to take back, as a change that can be undone", async () => {
    const desk = new Desk("a");
    const { keeper, told } = open(desk);
    desk.texts.push("theirs");
    await keeper.type("ours");
    expect(desk.text).toBe("theirs");
    expect(keeper.text).toBe("theirs");
    expect(told.shown.at(-1)).toBe("theirs");
    expect(keeper.mine?.text).toBe("ours");
    await keeper.takeBack();
    expect(desk.texts).toEqual(["a", "theirs", "ours"]);
    expect(keeper.mine).toBeNull();
  });

  it("is still held out after a reload, until it is let go", async () => {
    const desk = new Desk("a");
    const { keeper, drawer } = open(desk);
    desk.texts.push("theirs");
    await keeper.type("ours");
    keeper.end();
    const again = open(desk, drawer);
    again.keeper.takeUp();
    expect(again.keeper.text).toBe("theirs");
    expect(again.keeper.mine?.text).toBe("ours");
    again.keeper.letGo();
    expect(drawer.held.size).toBe(0);
  });

  it("is not overwritten by changes that waited in a closed page", async () => {
    const desk = new Desk("a");
    const { keeper, drawer } = open(desk);
    desk.gone = true;
    await keeper.type("ours");
    await keeper.set("k", "1");
    keeper.end();
    desk.gone = false;
    desk.texts.push("theirs");
    const again = open(desk, drawer);
    again.keeper.takeUp();
    expect(again.keeper.mine).toEqual({ text: "ours", edits: [{ key: "k", written: "1" }] });
    expect(desk.text).toBe("theirs");
    await again.keeper.takeBack();
    expect(desk.text).toBe("ours;k=1");
  });

  it("is not undone unseen", async () => {
    const desk = new Desk("a");
    const { keeper } = open(desk);
    await keeper.type("b");
    desk.texts.push("theirs");
    await keeper.undo();
    expect(desk.text).toBe("theirs");
    expect(keeper.text).toBe("theirs");
  });

  it("is taken up when nothing of ours waits", async () => {
    const desk = new Desk("a");
    const { keeper, told } = open(desk);
    desk.texts.push("theirs");
    await keeper.look();
    expect(keeper.text).toBe("theirs");
    expect(told.shown).toEqual(["theirs"]);
  });
});
