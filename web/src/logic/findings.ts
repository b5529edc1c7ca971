// Which findings matter where.
import type { Finding, Report, Weight } from "../io/wire";

/** What can be said of a plan in one word: the weight of its gravest finding. */
export function verdict(findings: Finding[]): Weight | "sound" {
  if (findings.some((finding) => finding.weight === "stops")) return "stops";
  if (findings.some((finding) => finding.weight === "watch")) return "watch";
  return "sound";
}

/** How many of each weight. */
export function counts(findings: Finding[]): Record<Weight, number> {
  const count = { stops: 0, watch: 0, note: 0 };
  for (const finding of findings) count[finding.weight] += 1;
  return count;
}

/** The findings that setting this value could mend, the gravest first. */
export function mendedBy(findings: Finding[], key: string): Finding[] {
  return findings.filter((finding) => finding.weight !== "note" && finding.mend.some((mend) => mend.key === key));
}

/** A key to tell findings of one kind at different places apart. */
export function findingKey(finding: Finding): string {
  return [finding.id, finding.setup, finding.step, finding.says].join("|");
}

/** The piece a finding is about: that of its set-up, else the first. */
export function pieceOf(finding: Finding, report: Report): string | undefined {
  const setup = report.setups.find((each) => each.id === finding.setup);
  return setup?.piece ?? report.pieces[0]?.id;
}
