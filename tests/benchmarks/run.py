"""Speed against an outside reference: `python tests/benchmarks/run.py [NAME ...]`.

One JSON object a line: `name, case, ours_s, reference, reference_s, ratio`. Both times are
medians of runs that take turns, so that a busy moment of the machine meets both.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP))

import drawing  # noqa: E402 - beside this file
import serving  # noqa: E402 - as above
from cutting import GOAL, seconds  # noqa: E402 - as above
from network import faults, network, spreads  # noqa: E402 - as above

from guidegen.publish.drawn import ChartProcess  # noqa: E402 - found by the line above
from guidegen.publish.pages import files  # noqa: E402 - as above
from guidegen.road import design_of, guide_of  # noqa: E402 - as above

SPEC = TOP / "specs" / "herbarium-copy-light.yaml"
RUNS = 7
PLAIN = """
site_name: Bare pages
use_directory_urls: false
theme: {name: material, font: false}
plugins: {search: {}, offline: {}}
extra: {polyfills: [assets/iframe-worker-shim.js]}
markdown_extensions: [attr_list, def_list, md_in_html, tables, {toc: {permalink: true}}]
"""
Bench = Callable[[Path], Iterator[dict[str, Any]]]


def taking_turns(
    ours: list[str], theirs: list[str], runs: int = RUNS, cold: Path | None = None
) -> tuple[float, float]:
    """Median wall times of two programs that run one after the other. [s]

    The folder `cold` is emptied before each turn: what is up to date costs nothing to build.
    """
    took: tuple[list[float], list[float]] = ([], [])
    for _ in range(runs):
        if cold:
            shutil.rmtree(cold, ignore_errors=True)
        for command, times in zip((ours, theirs), took, strict=True):
            start = time.perf_counter()
            subprocess.run(command, check=True, capture_output=True, env=environment())
            times.append(time.perf_counter() - start)
    return statistics.median(took[0]), statistics.median(took[1])


def environment() -> dict[str, str]:
    """This one, with the checkout on the search path and the theme's notice off."""
    paths = os.pathsep.join(filter(None, [str(TOP), os.environ.get("PYTHONPATH")]))
    return {**os.environ, "PYTHONPATH": paths, "NO_MKDOCS_2_WARNING": "1"}


def line(name: str, case: str, ours: float, reference: str, theirs: float) -> dict[str, Any]:
    """One result, as every benchmark prints it."""
    return {
        "name": name,
        "case": case,
        "ours_s": round(ours, 4),
        "reference": reference,
        "reference_s": round(theirs, 4),
        "ratio": round(ours / theirs, 3),
    }


def plain_project(spec: Path, folder: Path) -> Path:
    """The same pages as a project that knows nothing of guidegen."""
    guide = guide_of(spec, design_of(spec))
    for name, content in files(guide, ChartProcess(guide.charts).drawn()).items():
        path = folder / "docs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    # The print page is made by guidegen alone; its link must lead somewhere here too.
    (folder / "docs" / "print.html").write_text("<p>Print</p>", encoding="utf-8")
    configuration = folder / "mkdocs.yml"
    configuration.write_text(PLAIN, encoding="utf-8")
    return configuration


def build(folder: Path) -> Iterator[dict[str, Any]]:
    """A cold build of the demo guide against bare MkDocs on the same pages."""
    configuration = plain_project(SPEC, folder / "plain")
    ours = [sys.executable, "-m", "guidegen.cli", "build", "--no-pdf", str(SPEC)]
    theirs = [sys.executable, "-m", "mkdocs", "build", "-q", "-f", str(configuration)]
    out = folder / "guides"
    times = taking_turns([*ours, "-o", str(out)], theirs, cold=out)
    yield line("build", SPEC.stem, times[0], "bare MkDocs, same theme and pages", times[1])


def again(folder: Path) -> Iterator[dict[str, Any]]:
    """A second build of the demo guide against bare MkDocs, which makes its pages anew."""
    configuration = plain_project(SPEC, folder / "plain")
    ours = [sys.executable, "-m", "guidegen.cli", "build", "--no-pdf", str(SPEC)]
    ours += ["-o", str(folder / "guides")]
    theirs = [sys.executable, "-m", "mkdocs", "build", "-q", "-f", str(configuration)]
    subprocess.run(ours, check=True, capture_output=True, env=environment())
    times = taking_turns(ours, theirs)
    yield line("again", f"{SPEC.stem}, unchanged", times[0], "bare MkDocs, same pages", times[1])


def serve(folder: Path) -> Iterator[dict[str, Any]]:
    """A saved spec to its page in the browser."""
    took = serving.seconds(SPEC, folder, environment(), saves=5)
    yield line("serve", f"{SPEC.stem}, 5 saves", took, "goal", serving.GOAL)


def version(folder: Path) -> Iterator[dict[str, Any]]:
    """The start of the program against its goal, and against an empty interpreter."""
    ours = [sys.executable, "-m", "guidegen.cli", "--version"]
    took, empty = taking_turns(ours, [sys.executable, "-c", ""], runs=15)
    yield line("version", "--version", took, "goal", 0.15)
    yield line("version", "--version", took, "empty interpreter", empty)


def cutting(folder: Path) -> Iterator[dict[str, Any]]:
    """Plans for the sheets and bars of a demonstration job against their goal."""
    yield line("cutting", "8 copies, 3 sheets, 1 bar", seconds(RUNS), "goal", GOAL)


def drawings(folder: Path) -> Iterator[dict[str, Any]]:
    """All drawings of a guide against their goal, and against matplotlib with as many shapes."""
    for spec, goal in ((SPEC, 1.0), (drawing.MANY, 3.0)):
        ours, theirs, shapes = drawing.seconds(spec, RUNS)
        yield line("drawings", spec.stem, ours, "goal", goal)
        yield line("drawings", spec.stem, ours, f"matplotlib, {shapes} shapes and texts", theirs)


SHEETS = """
import sys, time
from pathlib import Path
from guidegen.publish import pdf
from guidegen.road import design_of, guide_of
guide, page = guide_of(Path(sys.argv[1]), design_of(Path(sys.argv[1]))), Path(sys.argv[2])
start = time.perf_counter()
sheets = pdf.rendered(guide, page.read_text(encoding="utf-8"))
print((time.perf_counter() - start) / sheets.count, sheets.count)
"""


def pdf(folder: Path) -> Iterator[dict[str, Any]]:
    """One sheet of the demo guide's PDF, its share of loading the program included."""
    build = [sys.executable, "-m", "guidegen.cli", "build", "--no-pdf", str(SPEC)]
    subprocess.run([*build, "-o", str(folder)], check=True, capture_output=True, env=environment())
    page = folder / SPEC.stem / "print.html"
    # A process for each run: what one has loaded must not help the next.
    runs = [
        subprocess.run(
            [sys.executable, "-c", SHEETS, str(SPEC), str(page)],
            check=True, capture_output=True, encoding="utf-8", env=environment(),
        ).stdout.split()
        for _ in range(3)
    ]  # fmt: skip
    took = statistics.median(float(seconds) for seconds, _ in runs)
    yield line("pdf", f"a sheet of {runs[0][1]}, {SPEC.stem}", took, "goal", 0.1)


BENCHMARKS: dict[str, Bench] = {
    "build": build,
    "again": again,
    "serve": serve,
    "version": version,
    "cutting": cutting,
    "drawings": drawings,
    "network": network,
    "bands": spreads,
    "faults": faults,
    "pdf": pdf,
}


def main(names: list[str]) -> int:
    """Run the named benchmarks, or all."""
    if unknown := sorted(set(names) - set(BENCHMARKS)):
        print(f"{unknown[0]}: unknown. Accepted: {', '.join(BENCHMARKS)}", file=sys.stderr)  # noqa: T201 - a program
        return 2
    for name in names or BENCHMARKS:
        with tempfile.TemporaryDirectory() as folder:
            for result in BENCHMARKS[name](Path(folder)):
                print(json.dumps(result), flush=True)  # noqa: T201 - its output
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
