// What goes over the wire, as the server's own code says: `../types` is made from it.
export type { About } from "../types/About";
export type { Binned } from "../types/Binned";
export type { Card } from "../types/Card";
export type { Example } from "../types/Example";
export type { Field } from "../types/Field";
export type { Finding } from "../types/Finding";
export type { Limits } from "../types/Limits";
export type { Mend } from "../types/Mend";
export type { Offer } from "../types/Offer";
export type { Probed } from "../types/Probed";
export type { Problem } from "../types/Problem";
export type { Report } from "../types/Report";
export type { Scene } from "../types/Scene";
export type { Sheet } from "../types/Sheet";
export type { Verdict } from "../types/Verdict";
export type { Weight } from "../types/Weight";
export type { Worked } from "../types/Worked";
