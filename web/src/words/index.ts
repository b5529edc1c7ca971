// The language in use. A second language is chosen here.
import { en, type Words } from "./en";

export const words: Words = en;

const day = new Intl.DateTimeFormat(words.language, { dateStyle: "medium", timeStyle: "short" });

/** A moment, ms since 1970, as it is read. */
export function moment(milliseconds: number): string {
  return day.format(milliseconds);
}
