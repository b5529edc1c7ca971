// The server's scene as the viewer takes it.
import type { Scene } from "../io/wire";
import type { MountedScene } from "../piece";

/** A tool's path begins at its first point; a path without points is no path. */
export function mountable(scene: Scene): MountedScene {
  const paths = scene.paths.flatMap((path) => {
    const starts = path.points[0];
    return starts ? [{ ...path, tool: path.tool ?? "", starts }] : [];
  });
  return { ...scene, paths };
}
