import type { MountedScene } from "../piece";
export type * from "./hand";
export type Scene = MountedScene;
