// How a slider's number is written into the plan: as a turner would, with its unit.

/** The fractions of an inch on a rule, finest last. */
const FINEST = 64;

/** A number without needless places. */
export function plain(value: number, places = 3): string {
  return String(Number(value.toFixed(places)));
}

/** Inches as a whole number and a fraction in 64ths or coarser, `2 3/8`. */
export function fraction(inches: number): string {
  const sign = inches < 0 ? "-" : "";
  let count = Math.round(Math.abs(inches) * FINEST);
  let of = FINEST;
  while (of > 1 && count % 2 === 0) {
    count /= 2;
    of /= 2;
  }
  const whole = Math.floor(count / of);
  const rest = count - whole * of;
  if (rest === 0) return `${sign}${whole}`;
  return `${sign}${whole > 0 ? `${whole} ` : ""}${rest}/${of}`;
}

/** A value of a slider as it is written into the plan. */
export function writtenOf(value: number, unit: string): string {
  switch (unit) {
    case "in":
      return `${fraction(value)} in`;
    case "mm":
      return `${plain(value)} mm`;
    default:
      return plain(value);
  }
}

/** The same for reading; a percentage and a speed show their unit. */
export function readOf(value: number, unit: string): string {
  switch (unit) {
    case "deg":
      return `${plain(value)}°`;
    case "%":
    case "rpm":
      return `${plain(value)} ${unit}`;
    default:
      return writtenOf(value, unit);
  }
}

/** The nearest place of a slider to a value. */
export function onStep(value: number, range: { from: number; to: number; step: number }): number {
  const held = Math.min(Math.max(value, range.from), range.to);
  const steps = Math.round((held - range.from) / range.step);
  return Math.min(range.to, Number((range.from + steps * range.step).toFixed(6)));
}

/** Where a value stands between the ends of a range, from 0 to 1. */
export function share(value: number, range: { from: number; to: number }): number {
  return Math.min(1, Math.max(0, (value - range.from) / (range.to - range.from)));
}

/** A length in the plan's units, as it is read in the picture. */
export function lengthOf(mm: number, units: string): string {
  return units === "in" ? `${fraction(mm / 25.4)} in` : `${plain(mm, 1)} mm`;
}
