// The pipeline with questions that are answered by hand.
import { describe, expect, it } from "vitest";
import { Gone, Unread } from "../src/io/api";
import type { Worked } from "../src/io/wire";
import { CHORD, Pipeline, type Wish } from "../src/state/pipeline";
import { Preview } from "../src/state/preview";

interface Asked {
  what: string;
  chord: number;
  signal: AbortSignal;
  answer: (value: unknown) => void;
  fail: (trouble: unknown) => void;
}

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
      mesh: (wish, _look, chord, signal) => ask<ArrayBuffer>(`mesh ${wish.text}`, chord, signal),
      work: (text, signal) => ask<Worked>(`work ${text}`, 0, signal),
    },
    {
      mesh: (_mesh, _look, wish) => log.push(`mesh ${wish.text}`),
      worked: (_worked, wish) => log.push(`worked ${wish.text}`),
      problems: (problems) => log.push(`problems ${problems.length}`),
      gone: () => log.push("gone"),
      failed: (trouble) => log.push(`failed ${String(trouble)}`),
      busy: (busy) => log.push(busy ? "busy" : "rest"),
    },
  );
  return { asked, log, pipeline };
}

const wish = (text: string, dragging = false): Wish => ({
  text,
  look: { setup: null, piece: "ball", moment: "after" },
  thickness: false,
  dragging,
  since: 0,
});
const settle = () => new Promise((done) => setTimeout(done));

describe("from a text to its picture", () => {
  it("asks for surface and findings side by side and shows each as it comes", async () => {
    const { asked, log, pipeline } = kitchen();
    pipeline.show(wish("a"));
    expect(asked.map((each) => each.what)).toEqual(["mesh a", "work a"]);
    asked[0]!.answer(new ArrayBuffer(0));
    await settle();
    expect(log).toEqual(["busy", "mesh a"]);
    asked[1]!.answer({});
    await settle();
    expect(log).toEqual(["busy", "mesh a", "worked a", "rest"]);
  });

  it("calls off what is under way for an older text", async () => {
    const { asked, log, pipeline } = kitchen();
    pipeline.show(wish("a"));
    pipeline.show(wish("b"));
    expect(asked[0]!.signal.aborted && asked[1]!.signal.aborted).toBe(true);
    asked[2]!.answer(new ArrayBuffer(0));
    asked[3]!.answer({});
    await settle();
    expect(log.filter((line) => line.endsWith("a"))).toEqual([]);
    expect(log.slice(-3)).toEqual(["mesh b", "worked b", "rest"]);
  });

  it("lets pictures keep coming while something is dragged, and skips those in between", async () => {
    const { asked, pipeline } = kitchen();
    for (const text of ["a", "b", "c"]) pipeline.show(wish(text, true));
    expect(asked.map((each) => each.what)).toEqual(["mesh a", "work a"]);
    expect(asked[0]!.signal.aborted).toBe(false);
    expect(asked[0]!.chord).toBe(CHORD.dragging);
    asked[0]!.answer(new ArrayBuffer(0));
    asked[1]!.answer({});
    await settle();
    expect(asked.slice(2).map((each) => each.what)).toEqual(["mesh c", "work c"]);
  });

  it("shows what is let go at once, finely", () => {
    const { asked, pipeline } = kitchen();
    pipeline.show(wish("a", true));
    pipeline.show(wish("b", true));
    pipeline.show(wish("b"));
    expect(asked[0]!.signal.aborted).toBe(true);
    expect(asked.slice(2).map((each) => [each.what, each.chord])).toEqual([
      ["mesh b", CHORD.still],
      ["work b", 0],
    ]);
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

describe("a value under way", () => {
  it("asks one question at a time and of the values in between only for the last", async () => {
    const answers: ((text: string) => void)[] = [];
    const asked: string[] = [];
    const shown: string[] = [];
    const preview = new Preview(
      (_text, _key, written) => {
        asked.push(written);
        return new Promise((resolve) => answers.push(resolve));
      },
      { text: (text) => shown.push(text), gone: () => shown.push("gone") },
    );
    for (const written of ["1", "2", "3"]) preview.show("a", "k", written, 0);
    answers[0]!("a1");
    await settle();
    expect(asked).toEqual(["1", "3"]);
    preview.stop();
    answers[1]!("a3");
    await settle();
    expect(shown).toEqual(["a1"]);
  });
});
