/**
 * How long frames take, and what share of the pixels can be drawn in time.
 */

/** What a frame may take while things move, milliseconds. */
const IN_TIME = 25;
/** What a pixel takes without a graphics card, milliseconds, until it is known better. */
export const BY_PROCESSOR = 1e-4;
/** Shares of a side that are tried; few, since a canvas of another size is made anew. */
const SHARES = [1, 0.75, 0.5] as const;

export class Pace {
  /** Milliseconds for a pixel, of late. */
  #cost: number;
  #frames = 0;

  constructor(cost: number) {
    this.#cost = cost;
  }

  /** A frame of so many pixels took so long. */
  took(milliseconds: number, pixels: number): void {
    // The first frames wait for shaders to be compiled.
    if (this.#frames++ < 2) return;
    const cost = milliseconds / Math.max(pixels, 1);
    this.#cost = this.#cost === 0 ? cost : 0.6 * this.#cost + 0.4 * cost;
  }

  /** The share of each side of a picture that can be drawn in time. */
  share(pixels: number): number {
    return SHARES.find((share) => share * share * pixels * this.#cost <= IN_TIME) ?? SHARES[SHARES.length - 1]!;
  }
}

/** Fulfilled when the card has done all it was told. */
export function finished(card: WebGL2RenderingContext): Promise<void> {
  const sync = card.fenceSync(card.SYNC_GPU_COMMANDS_COMPLETE, 0);
  card.flush();
  return new Promise((resolve) => {
    const look = () => {
      if (sync && !card.isContextLost() && card.getSyncParameter(sync, card.SYNC_STATUS) !== card.SIGNALED) {
        setTimeout(look, 1);
        return;
      }
      if (sync) card.deleteSync(sync);
      resolve();
    };
    look();
  });
}
