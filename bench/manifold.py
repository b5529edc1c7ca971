"""manifold3d at work on a body: meshes of its parts, taken from one another.

One measurement in a process of its own, asked and answered in JSON as in `src/job.rs`.
Every circle gets the sides its chord error asks for. Told `balanced`, every polygon has the
area of its circle and the ball its volume: far closer volumes, with vertices off the surface.
Otherwise all vertices lie on the surface.
"""

import json
import math
import os
import sys
import time

import numpy as np
from manifold3d import CrossSection, Manifold, OpType


def chord(body, step):
    """Chord error at a step: from a twentieth of the ball's radius, 8 steps to a tenth of it."""
    return 0.05 * body["ball"] * 10.0 ** (-step / 8)


def segments(radius, chord):
    """Sides of a polygon in a circle that stray from it by no more than the chord error."""
    return max(8, math.ceil(math.pi / math.acos(max(0.0, 1.0 - chord / radius))))


BALANCED = "balanced" in sys.argv[1:]


def fair(radius, sides):
    """The radius of a polygon that stands for a circle."""
    if not BALANCED:
        return radius
    angle = 2.0 * math.pi / sides
    return radius * math.sqrt(angle / math.sin(angle))


def frame(origin, axis):
    """The matrix that lays the z axis along `axis` through `origin`."""
    a = np.array(axis)
    pick = np.array([0.0, 0.0, 1.0]) if abs(a[2]) < 0.9 else np.array([1.0, 0.0, 0.0])
    u = np.cross(a, pick)
    u /= np.linalg.norm(u)
    return np.column_stack([u, np.cross(a, u), a, origin])


def groove(shape, ball, chord):
    w, r, c = shape["half_width"], shape["radius"], shape["centre"]
    far = 4.0 / 3.0 * ball
    half = math.asin(w / r)
    parts = max(2, math.ceil(segments(r, chord) * half / math.pi))
    sides = segments(ball, chord)
    wide = fair(1.0, sides)
    deep = fair(r, math.pi * parts / half)
    arc = [
        (wide * (c - deep * math.cos(angle)), deep * math.sin(angle))
        for angle in np.linspace(-half, half, parts + 1)
    ]
    outline = CrossSection([[(far, arc[0][1]), (far, arc[-1][1]), *arc[::-1]]])
    outline ^= CrossSection.square([far, 2.0 * w]).translate([0.0, -w])
    turned = Manifold.revolve(outline, sides)
    return turned.transform(frame([0.0, 0.0, 0.0], shape["axis"]))


def hole(shape, chord):
    sides = segments(shape["radius"], chord)
    radius = fair(shape["radius"], sides)
    cylinder = Manifold.cylinder(shape["length"], radius, radius, sides)
    return cylinder.transform(frame(shape["from"], shape["axis"]))


def made(body, chord):
    ball = Manifold.sphere(body["ball"], segments(body["ball"], chord))
    if BALANCED:
        full = 4.0 / 3.0 * math.pi * body["ball"] ** 3
        ball = ball.scale([(full / ball.volume()) ** (1.0 / 3.0)] * 3)
    cuts = [groove(shape, body["ball"], chord) for shape in body["grooves"]]
    cuts += [hole(shape, chord) for shape in body["holes"]]
    mesh = Manifold.batch_boolean([ball, *cuts], OpType.Subtract).to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts)


def inside(vertices, triangles):
    """Volume and inertia inside triangles, from cones to the origin."""
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    squares = a * a + b * b + c * c + (a + b + c) ** 2
    xx, yy, zz = (six[:, None] * squares).sum(axis=0) / 120.0
    return float(six.sum() / 6.0), [yy + zz, zz + xx, xx + yy]


def memory(name):
    """A line of the process's status, MB. Linux tells; elsewhere there is none."""
    try:
        with open("/proc/self/status", encoding="ascii") as status:
            for line in status:
                if line.startswith(name):
                    return float(line.split()[1]) / 1024.0
    except OSError:
        pass
    return None


def sample(job, step):
    fineness = chord(job["body"], step)

    def run():
        vertices, triangles = made(job["body"], fineness)
        if job["task"] == "moments":
            inside(vertices, triangles)
        return vertices, triangles

    before = memory("VmRSS")
    begun = time.perf_counter()
    vertices, triangles = run()
    times = [(time.perf_counter() - begun) * 1e3]
    peak = memory("VmHWM")
    volume, inertia = inside(vertices, triangles)
    busy = None
    if job["seconds"] > 0.0:
        times = []
        whole, processor = time.perf_counter(), time.process_time()
        while not times or time.perf_counter() - whole < job["seconds"]:
            begun = time.perf_counter()
            run()
            times.append((time.perf_counter() - begun) * 1e3)
        busy = (time.process_time() - processor) / (time.perf_counter() - whole)
    return {
        "step": step,
        "setting": f"chord {fineness:.3f} mm",
        "milliseconds": times,
        "busy": busy,
        "volume": volume,
        "inertia": [float(entry) for entry in inertia],
        "triangles": len(triangles),
        "peak": None if peak is None else peak - before,
        "trouble": None,
    }


def main():
    job = json.load(sys.stdin)
    if job["cores"] == 1 and hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:1])
    print(json.dumps([sample(job, step) for step in job["steps"]]))


main()
