// What is done about trouble with the server: told where it can be read, and when the server is
// gone, tried again until it is back.
import * as api from "../io/api";
import { Gone, calledOff } from "../io/api";
import { words } from "../words";
import { underWay } from "./busy";
import { Connection } from "./connection";
import { page, type Notice } from "./page.svelte";

let whenBack: () => void = () => undefined;

const connection = new Connection(api.about, () => {
  page.connected = true;
  whenBack();
});

/** What is done when the server answers again. */
export function onBack(act: () => void): void {
  whenBack = act;
}

export function say(notice: Notice | null): void {
  page.notice = notice;
}

export function retry(): void {
  void connection.try();
}

export function gone(): void {
  page.connected = false;
  connection.lost();
}

export function failed(trouble: unknown): void {
  if (calledOff(trouble)) return;
  if (trouble instanceof Gone) return gone();
  const says = trouble instanceof Error ? trouble.message : String(trouble);
  page.notice = { says: words.server.failed(says), grave: true };
}

/** Does something with the server; trouble is told, not thrown, after what is to be done when
 * the server says no. */
export async function tried<T>(act: () => Promise<T>, refused?: () => void): Promise<T | null> {
  const end = underWay();
  try {
    return await act();
  } catch (trouble) {
    if (trouble instanceof api.Refused) refused?.();
    failed(trouble);
    return null;
  } finally {
    end();
  }
}
