// The pipeline with questions that are answered by hand.
import { describe, expect, it } from "vitest";
import { Gone, Unread } from "../src/io/api";
import type { Worked } from "../src/io/wire";
import { CHORD, Pipeline, type Wish } from "../src/state/pipeline";

interface Asked {
  what: string;
  chord: number;
  signal: AbortSignal;
  answer: (value: unknown) => void;
  fail: (trouble: unknown) => void;
}

const named = ({ text, set }: Wish) => (set ? `${text}+${set.written}` : text);

function kitchen() {
  const asked: Asked[] = [];
  const ask = <T>(what: string, chord: number, signal: AbortSignal) =>
    new Promise<T>((resolve, reject) => {
      asked.push({ what, chord, signal, answer: resolve as (value: unknown) => void, fail: reject });
      signal.addEventListener("abort", () => reject(new DOMException("", "AbortError")));
    });
  const log: string[] = [];
  const pipeline = new Pipeline(
    {
      mesh: (wish, chord, signal) => ask<ArrayBuffer | null>(`mesh ${named(wish)}`, chord, signal),
      work: (wish, quick, signal) => ask<Worked>(`${quick ? "work" : "mends"} ${named(wish)}`, 0, signal),
    },
    {
      mesh: async (_mesh, wish, fine) => {
        log.push(`${fine ? "fine" : "mesh"} ${named(wish)}`);
      },
      worked: (_worked, wish) => log.push(`worked ${named(wish)}`),
      problems: (problems) => log.push(`problems ${problems.length}`),
      gone: () => log.push("gone"),
      failed: (trouble) => log.push(`failed ${String(trouble)}`),
      busy: (busy) => log.push(busy ? "busy" : "rest"),
    },
  );
  return { asked, log, pipeline };
}

const wish = (text: string): Wish => ({
  text,
  set: null,
  look: { setup: null, piece: "ball", moment: "after" },
  thickness: false,
  dragging: false,
  since: 0,
});
/** A value set in the text "a", dragged past or on its way into it. */
const dragged = (written: string): Wish => ({ ...wish("a"), set: { key: "k", written }, dragging: true });
const ahead = (written: string): Wish => ({ ...dragged(written), dragging: false, since: 7 });
const settle = () => new Promise((done) => setTimeout(done));

/** A pipeline that has shown `text` to its end, but for the fine surface. */
async function opened(text = "a") {
  const all = kitchen();
  all.pipeline.show(wish(text));
  all.asked[0]!.answer(new ArrayBuffer(0));
  all.asked[1]!.answer({});
  await settle();
  all.asked.length = 0;
  all.log.length = 0;
  return all;
}
const names = (asked: Asked[]) => asked.map((each) => each.what);

describe("from a text to its picture", () => {
  it("draws and works out a plan just opened side by side", async () => {
    const { asked, log, pipeline } = kitchen();
    pipeline.show(wish("a"));
    expect(names(asked)).toEqual(["mesh a", "work a"]);
    asked[1]!.answer({});
    await settle();
    expect(log).toEqual(["busy", "worked a"]);
    asked[0]!.answer(new ArrayBuffer(0));
    await settle();
    expect(log).toEqual(["busy", "worked a", "mesh a", "rest"]);
  });

  it("draws a changed text before it is worked out, then tries mends, then draws finely", async () => {
    const { asked, log, pipeline } = await opened();
    pipeline.show(wish("b"));
    expect(names(asked)).toEqual(["mesh b"]);
    expect(asked[0]!.chord).toBe(CHORD.coarse);
    asked[0]!.answer(new ArrayBuffer(0));
    await settle();
    expect(names(asked)).toEqual(["mesh b", "work b"]);
    asked[1]!.answer({ mends_untried: true });
    await settle();
    expect(names(asked).at(-1)).toBe("mends b");
    asked[2]!.answer({ mends_untried: false });
    await settle();
    expect(log).toEqual(["busy", "mesh b", "worked b", "worked b", "rest"]);
    await new Promise((done) => setTimeout(done, 300));
    expect(asked[3]).toMatchObject({ what: "mesh b", chord: CHORD.fine });
    asked[3]!.answer(new ArrayBuffer(0));
    await settle();
    expect(log.slice(5)).toEqual(["fine b"]);
  });

  it("draws other wood of a known text finely at once", async () => {
    const { asked, pipeline } = await opened();
    pipeline.show(wish("a"));
    expect(asked).toMatchObject([{ what: "mesh a", chord: CHORD.fine }]);
  });

  it("calls off what is under way for an older text", async () => {
    const { asked, log, pipeline } = await opened();
    pipeline.show(wish("b"));
    pipeline.show(wish("c"));
    expect(asked[0]!.signal.aborted).toBe(true);
    asked[1]!.answer(new ArrayBuffer(0));
    await settle();
    asked[2]!.answer({});
    await settle();
    expect(log.filter((line) => line.endsWith("b"))).toEqual([]);
    expect(log.slice(-3)).toEqual(["mesh c", "worked c", "rest"]);
  });

  it("lets pictures keep coming while something is dragged, skips those in between, and finds at a rest", async () => {
    const { asked, log, pipeline } = await opened();
    for (const written of ["1", "2", "3"]) pipeline.show(dragged(written));
    expect(names(asked)).toEqual(["mesh a+1"]);
    expect(asked[0]!.signal.aborted).toBe(false);
    asked[0]!.answer(new ArrayBuffer(0));
    await settle();
    expect(names(asked)).toEqual(["mesh a+1", "mesh a+3"]);
    asked[1]!.answer(new ArrayBuffer(0));
    await settle();
    expect(names(asked).slice(2)).toEqual(["work a+3"]);
    // A further picture does not wait for these findings.
    pipeline.show(dragged("4"));
    expect(names(asked).slice(3)).toEqual(["mesh a+4"]);
    asked[3]!.answer(new ArrayBuffer(0));
    asked[2]!.answer({});
    await settle();
    expect(names(asked).slice(4)).toEqual(["work a+4"]);
    expect(log).toContain("worked a+3");
  });

  it("passes over a value that makes no plan", async () => {
    const { asked, log, pipeline } = await opened();
    pipeline.show(dragged("deep"));
    asked[0]!.answer(null);
    await settle();
    expect(names(asked)).toEqual(["mesh a+deep"]);
    expect(log).toEqual(["busy", "rest"]);
  });

  it("calls off what is asked for a drag when it is let go", async () => {
    const { asked, pipeline } = await opened();
    pipeline.show(dragged("1"));
    asked[0]!.answer(new ArrayBuffer(0));
    await settle();
    pipeline.show(dragged("2"));
    pipeline.show(ahead("2"));
    expect(asked.slice(0, 3).map((each) => each.signal.aborted)).toEqual([false, true, true]);
    expect(names(asked).slice(3)).toEqual(["mesh a+2"]);
  });

  it("draws a value that is on its way into the text, once", async () => {
    const { asked, log, pipeline } = await opened();
    pipeline.show(ahead("2"));
    expect(names(asked)).toEqual(["mesh a+2"]);
    // The text comes before the picture.
    pipeline.show({ ...wish("b"), since: 7 });
    await settle();
    expect(names(asked)).toEqual(["mesh a+2"]);
    asked[0]!.answer(new ArrayBuffer(0));
    await settle();
    expect(names(asked)).toEqual(["mesh a+2", "work b"]);
    asked[1]!.answer({});
    await settle();
    expect(log).toEqual(["busy", "busy", "mesh a+2", "worked b", "rest"]);
  });

  it("calls off a picture on its way when something else is to be shown", async () => {
    const { asked, pipeline } = await opened();
    pipeline.show(ahead("2"));
    pipeline.show({ ...wish("b"), since: 7 });
    pipeline.show(wish("c"));
    await settle();
    expect(asked[0]!.signal.aborted).toBe(true);
    expect(names(asked)).toEqual(["mesh a+2", "mesh c"]);
  });

  it("tells trouble once", async () => {
    const { asked, log, pipeline } = kitchen();
    pipeline.show(wish("a"));
    for (const each of asked) each.fail(new Gone());
    await settle();
    expect(log).toEqual(["busy", "gone", "rest"]);
    pipeline.show(wish("b"));
    for (const each of asked.slice(2)) each.fail(new Unread([]));
    await settle();
    expect(log.slice(3)).toEqual(["busy", "problems 0", "rest"]);
  });
});
