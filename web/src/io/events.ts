// A job of the server, followed to its end.
import { Gone, Refused } from "./api";

/** Follows a job's events; ends with its result, or in trouble. */
export function listen<T>(
  address: string,
  progress: (done: number, of: number) => void,
  signal: AbortSignal,
): Promise<T> {
  return new Promise((resolve, reject) => {
    const events = new EventSource(address);
    const end = (act: () => void) => {
      events.close();
      act();
    };
    const on = <E>(name: string, act: (told: E) => void) =>
      events.addEventListener(name, (event) => act(JSON.parse((event as MessageEvent<string>).data) as E));
    on<{ done: number; of: number }>("progress", ({ done, of }) => progress(done, of));
    on<{ result: T }>("done", ({ result }) => end(() => resolve(result)));
    on<{ says: string }>("failed", ({ says }) => end(() => reject(new Refused(500, says))));
    events.onerror = () => end(() => reject(new Gone()));
    signal.addEventListener("abort", () => end(() => reject(new DOMException("called off", "AbortError"))));
  });
}
