// The contract's types, by hand until the generated ones stand here.
export interface Card { name: string; title: string; says: string; verdict: "sound" | "watch" | "stops" | "unreadable"; changed_at: number; revision: string }
export interface About { version: string; shelf: string; forms: string[]; racks: string[] }
export interface Sheet { name: string; text: string; revision: string; can_undo: boolean; can_redo: boolean; ticks: string[] }
export interface Binned { id: string; name: string; title: string; removed_at: number }
export interface Offer { written: string; label: string }
export interface Range { from: number; to: number; step: number }
export interface Field { key: string; section: string; label: string; written: string | null; shown: string; value: number | null; kind: "length" | "count" | "percent" | "angle" | "speed" | "choice" | "text"; says: string; offers: Offer[]; range: Range | null; unit: string }
export interface Problem { key: string | null; line: number; column: number; start: number; end: number; found: string; allowed: string; mend: string }
export interface Mend { says: string; key: string | null; write: string | null }
export type Weight = "stops" | "watch" | "note";
export interface Finding { id: string; weight: Weight; setup: string | null; step: string | null; says: string; value: number; limit: number; unit: string; limit_from: string; at: [number, number, number] | null; gap?: [[number, number, number], [number, number, number]] | null; mend: Mend[] }
export interface Measure { id: string; setup: string; step: string; label: string; value: number; exact: number; unit: string; tool: string; shown: string }
export interface Step { id: string; says: string; tool: string | null; speed_rpm: { from: number; to: number } | null; cautions: string[] }
export interface Setup { id: string; number: number; piece: string; title: string; holding: string; steps: Step[]; after: { volume_mm3: number; mass_g: number | null } }
export interface PieceReport { id: string; name: string; wood: string; blank: string; solid: { says: string[] } }
export interface Report { title: string; form: string; units: string; pieces: PieceReport[]; setups: Setup[]; measures: Measure[]; findings: Finding[]; needs: { what: string; purpose: string }[]; cautions: string[] }
export interface Worked { report: Report; fields: Field[]; revision_of_text: string }
export interface Span { from: number; to: number; id: string; weight: Weight; says: string }
export interface Limits { key: string; from: number; to: number; spans: Span[] }
