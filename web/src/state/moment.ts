// When the turner last did something, by the clock of the event itself: what comes of it is
// timed from there, not from when the page got round to it.

let last = 0;

for (const kind of ["keydown", "input", "change", "click"]) {
  addEventListener(kind, (event) => (last = event.timeStamp), { capture: true });
}

/** The moment of the last input, on the page's clock. */
export const lastInput = () => last;
