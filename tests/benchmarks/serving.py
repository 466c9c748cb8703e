"""From a saved spec to the page that shows it: the server as a builder uses it."""

from __future__ import annotations

import signal
import socket
import statistics
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

GOAL = 1.0  # s
PAUSE = 2.5  # s between two saves: the chart of the save before is drawn by then
LONGEST = 120  # s until the benchmark gives up


def free_port() -> int:
    """A port that nobody has at the moment."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def page(port: int) -> str:
    """The first page of the guide."""
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/index.html", timeout=LONGEST) as answer:
        return str(answer.read().decode())


def until(port: int, words: str) -> None:
    """Wait for a page that has these words."""
    end = time.monotonic() + LONGEST
    while time.monotonic() < end:
        try:
            if words in page(port):
                return
        except OSError:
            pass  # it does not listen yet
        time.sleep(0.01)
    raise TimeoutError(words)


def seconds(spec: Path, folder: Path, environment: dict[str, str], saves: int) -> float:
    """Median time from a save to its page, each with other numbers. [s]"""
    text = spec.read_text(encoding="utf-8")
    copy, port, took = folder / "light.yaml", free_port(), []
    copy.write_text(text, encoding="utf-8")
    server = subprocess.Popen(
        [sys.executable, "-m", "guidegen.cli", "serve", str(copy), "--port", str(port)],
        stderr=subprocess.DEVNULL,
        env=environment,
    )
    try:
        until(port, "Herbarium copy light")
        for number in range(saves):
            # Not in step with the server's looks at the files.
            time.sleep(PAUSE + 0.037 * number)
            new = text.replace("Herbarium copy light", f"Saved {number}")
            new = new.replace("count: 12", f"count: {11 - number % 3}")
            start = time.perf_counter()
            copy.write_text(new, encoding="utf-8")
            until(port, f"Saved {number}")
            took.append(time.perf_counter() - start)
    finally:
        server.send_signal(signal.SIGINT)
        server.wait()
    return statistics.median(took)
