"""The stress solver beside CalculiX and scikit-fem, written to docs/benchmarks.md.

`python bench/stress.py EXAMPLE SCRATCH PAGE`, as `cargo xtask bench stress` calls it: EXAMPLE is the example
`pierced` of rondure-stress. Every figure is the median of the processes of one tool, in turns with the others;
processor time stands beside wall time, since others may use the machine.
"""

import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "outside"))

import lattice  # noqa: E402

ALONE = (2.0, 1.0, 0.75, 0.5)
SAME = (2.0, 1.0)
ROUNDS = 3


def busy() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def ours(program: Path, edge: float, *more: str) -> dict:
    words = [str(program), str(edge), *more]
    return json.loads(subprocess.run(words, capture_output=True, text=True, check=True).stdout)


def alone(program: Path) -> str:
    text = (
        "| cubes, mm | unknowns | rounds | build | one load | another | all of it | processor time "
        "| memory, bytes for each unknown | work of the loads, N mm |\n" + "|---" * 10 + "|\n"
    )
    for edge in ALONE:
        runs = [ours(program, edge) for _ in range(ROUNDS)]
        first = runs[0]
        build = median(run["build_s"] for run in runs)
        cases = [median(run["case_s"][case] for run in runs) for case in (0, 1)]
        whole = median(run["build_s"] + run["case_s"][0] for run in runs)
        used = median(run["busy_s"][0] + run["busy_s"][1] for run in runs)
        memory = 2**20 * median(run["peak_mb"] for run in runs) / first["unknowns"]
        text += (
            f"| {edge:g} | {first['unknowns']} | {first['rounds'][0]} and {first['rounds'][1]} | {build:.2f} s "
            f"| {cases[0]:.2f} s | {cases[1]:.2f} s | {whole:.2f} s | {used:.2f} s | {memory:.0f} "
            f"| {first['work'][0]:.3f}, {first['work'][1]:.3f} |\n"
        )
        print(f"  {edge:g} mm: {whole:.2f} s, {used:.2f} s of processor time", flush=True)
    return text


def peer(name: str, folder: Path) -> dict:
    """One peer in a process of its own, with what it used; run by this same script."""
    before, start = busy(), time.perf_counter()
    words = [sys.executable, __file__, "one", name, str(folder)]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    wall = time.perf_counter() - start
    if done.returncode != 0:
        print(f"  {name} failed: {done.stderr[-300:]}")
        return {}
    told = json.loads(done.stdout.splitlines()[-1])
    return {"wall": told["seconds"], "busy": busy() - before, "whole": wall, **told}


def one(name: str, folder: Path) -> None:
    cubes = lattice.read(folder)
    before = resource.getrusage(resource.RUSAGE_SELF)
    begun = before.ru_utime + before.ru_stime
    if name == "CalculiX":
        earlier = busy()
        theirs, seconds = lattice.calculix(cubes, folder)
        used = busy() - earlier
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    else:
        theirs, seconds = lattice.scikit_fem(cubes, pardiso=name.endswith("pardiso"))
        after = resource.getrusage(resource.RUSAGE_SELF)
        used = after.ru_utime + after.ru_stime - begun
        peak = after.ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "used": used, "peak": peak, "apart": lattice.apart(cubes, theirs)}))


def same(program: Path, scratch: Path) -> str:
    try:
        import pypardiso  # noqa: F401

        finite = "scikit-fem and pardiso"
    except (ImportError, OSError):
        finite = "scikit-fem and scipy"
    text = (
        "| cubes, mm | unknowns | tool | time | processor time | memory | times ours, time "
        "| times ours, processor time | motions apart |\n" + "|---" * 9 + "|\n"
    )
    for edge in SAME:
        folder = scratch / f"same-{edge:g}"
        own, peers = [], {"CalculiX": [], finite: []}
        for _ in range(ROUNDS):
            own.append(ours(program, edge, str(folder)))
            for name, list_ in peers.items():
                list_.append(peer(name, folder))
        wall = median(run["build_s"] + run["case_s"][0] for run in own)
        used = max(median(run["busy_s"][0] + run["busy_s"][1] for run in own), 0.01)
        memory = median(run["peak_mb"] for run in own)
        text += f"| {edge:g} | {own[0]['unknowns']} | ours | {wall:.2f} s | {used:.2f} s | {memory:.0f} MB | | | |\n"
        for name, runs in peers.items():
            runs = [run for run in runs if run]
            if not runs:
                text += f"| {edge:g} | | {name} | failed | | | | | |\n"
                continue
            theirs = median(run["seconds"] for run in runs)
            theirs_used = median(run["used"] for run in runs)
            text += (
                f"| {edge:g} | | {name} | {theirs:.2f} s | {theirs_used:.2f} s | {median(r['peak'] for r in runs):.0f} MB "
                f"| {theirs / wall:.1f} | {theirs_used / used:.1f} | {runs[0]['apart']:.0e} |\n"
            )
            print(f"  {edge:g} mm: {name} {theirs / wall:.1f} times our time, {theirs_used / used:.1f} of processor time", flush=True)
    return text


def version() -> str:
    said = subprocess.run(["ccx", "-v"], capture_output=True, text=True, check=False).stdout
    import skfem

    number = said.split("Version")[-1].strip() if "Version" in said else said.strip()
    cpu = "unknown processor"
    for line in Path("/proc/cpuinfo").read_text().splitlines():
        if line.startswith("model name"):
            cpu = line.split(":", 1)[1].strip()
            break
    load = ", ".join(f"{x:.1f}" for x in os.getloadavg())
    return (
        f"{cpu}, {os.cpu_count()} processors; CalculiX {number}, scikit-fem {skfem.__version__}. "
        f"Load of the machine before the run (1, 5 and 15 minutes): {load}.\n"
    )


def fill(page: str, name: str, block: str) -> str:
    begin, end = f"<!-- {name}: written by cargo xtask bench -->", f"<!-- end of {name} -->"
    before, rest = page.split(begin, 1)
    _, after = rest.split(end, 1)
    return f"{before}{begin}\n{block}{end}{after}"


def main() -> None:
    program, scratch, page = (Path(word) for word in sys.argv[1:4])
    blocks = {"stress, machine": version()}
    blocks["stress, one set-up"] = alone(program)
    blocks["stress, same cubes"] = same(program, scratch)
    text = page.read_text()
    for name, block in blocks.items():
        text = fill(text, name, block)
    page.write_text(text)


if sys.argv[1] == "one":
    one(sys.argv[2], Path(sys.argv[3]))
else:
    main()
