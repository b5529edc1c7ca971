// Finds out when a server that was gone answers again: soon at first, then every few seconds.

const PAUSES = [300, 600, 1200, 2500];

export class Connection {
  private waiting: ReturnType<typeof setTimeout> | null = null;
  private tries = 0;
  private asking = false;

  /** `answers` asks the server something small; `back` is told once it has answered. */
  constructor(
    private answers: () => Promise<unknown>,
    private back: () => void,
  ) {}

  /** The server was found gone. */
  lost(): void {
    if (this.waiting !== null || this.asking) return;
    const pause = PAUSES[Math.min(this.tries, PAUSES.length - 1)];
    this.waiting = setTimeout(() => void this.try(), pause);
  }

  /** Asks at once. */
  async try(): Promise<void> {
    if (this.waiting !== null) clearTimeout(this.waiting);
    this.waiting = null;
    if (this.asking) return;
    this.asking = true;
    this.tries += 1;
    const answered = await this.answers().then(
      () => true,
      () => false,
    );
    this.asking = false;
    if (answered) {
      this.tries = 0;
      this.back();
    } else {
      this.lost();
    }
  }
}
