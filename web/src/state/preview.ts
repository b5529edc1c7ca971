// A value under way by dragging: the text it would give, one question at a time. Of the
// values in between only the last is asked for.
import { Gone } from "../io/api";

export interface Shown {
  text(text: string, since: number): void;
  gone(): void;
}

interface Value {
  base: string;
  key: string;
  written: string;
  since: number;
}

export class Preview {
  private asking = false;
  private next: Value | null = null;
  private round = 0;

  constructor(
    private change: (text: string, key: string, written: string) => Promise<string>,
    private shown: Shown,
  ) {}

  show(base: string, key: string, written: string, since: number): void {
    this.next = { base, key, written, since };
    if (!this.asking) void this.run();
  }

  /** Nothing asked so far is shown any more. */
  stop(): void {
    this.next = null;
    this.round += 1;
  }

  private async run(): Promise<void> {
    this.asking = true;
    while (this.next) {
      const { base, key, written, since } = this.next;
      const round = this.round;
      this.next = null;
      try {
        const text = await this.change(base, key, written);
        if (round === this.round) this.shown.text(text, since);
      } catch (trouble) {
        // A value that cannot be written is told when it is let go, not on the way past it.
        if (trouble instanceof Gone) this.shown.gone();
      }
    }
    this.asking = false;
  }
}
