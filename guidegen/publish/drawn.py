"""Charts drawn by a second process while this one makes the site."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from guidegen.publish.protocol import Drawn, PublishError

PROGRAM = "guidegen.diagrams.charts"


def expected(requests: Sequence[Mapping[str, Any]]) -> dict[str, Drawn]:
    """The charts of some requests, still without a drawing."""
    return {
        request["name"]: Drawn("", request.get("alt", ""), request.get("caption", ""))
        for request in requests
    }


class ChartProcess:
    """One run of the chart program, beside this one.

    Parameters
    ----------
    requests : sequence of mapping
        What to draw; each names its `name` and `alt`, and may have a `caption`.
    """

    def __init__(self, requests: Sequence[Mapping[str, Any]] = ()) -> None:
        self.requests: tuple[Mapping[str, Any], ...] = ()
        self.found: dict[str, Drawn] | None = {}
        self.process: subprocess.Popen[str] | None = None
        self.ask(requests)

    @classmethod
    def waiting(cls) -> ChartProcess:
        """A program that loads what it draws with, before anyone knows what to draw."""
        made = cls()
        made.process = made._started()
        return made

    def ask(self, requests: Sequence[Mapping[str, Any]]) -> None:
        """Tell the program what to draw: once."""
        self.requests = tuple(requests)
        if not requests:
            return
        self.found = None
        self.process = self.process or self._started()
        stdin, self.process.stdin = self.process.stdin, None
        assert stdin is not None  # a pipe was asked for
        # The program begins when its input ends. One that is dead already is found later.
        try:
            with stdin:
                json.dump(self.requests, stdin, default=str)
        except BrokenPipeError:
            pass

    def _started(self) -> subprocess.Popen[str]:
        home = str(Path(__file__).parents[2])
        paths = os.pathsep.join(filter(None, [home, os.environ.get("PYTHONPATH")]))
        return subprocess.Popen(
            [sys.executable, "-m", PROGRAM],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            env={**os.environ, "PYTHONPATH": paths, "PYTHONIOENCODING": "utf-8"},
        )

    def expected(self) -> dict[str, Drawn]:
        """The charts that will come, still without a drawing."""
        return expected(self.requests)

    def drawn(self) -> dict[str, Drawn]:
        """The charts by their name; waits for the program the first time.

        Raises
        ------
        PublishError
            If the program failed or left a chart out.

        """
        if self.found is None:
            self.found = self._collected()
        return self.found

    def _collected(self) -> dict[str, Drawn]:
        assert self.process is not None  # only an empty request starts none
        try:
            out, trouble = self.process.communicate()
        except BrokenPipeError:
            out, trouble = "", ""
        if self.process.returncode:
            last = (trouble.strip().splitlines() or ["no message"])[-1]
            raise PublishError(f"the charts could not be drawn: {last}")
        drawings: dict[str, str] = json.loads(out)
        wanted = self.expected()
        if missing := sorted(set(wanted) - set(drawings)):
            raise PublishError(f"the charts could not be drawn: nothing came for {missing[0]}")
        return {
            name: Drawn(drawings[name], chart.alt, chart.caption) for name, chart in wanted.items()
        }

    def stop(self) -> None:
        """End the program; whoever waits for its charts is told that none came."""
        if self.process and self.process.poll() is None:
            self.process.kill()

    def close(self) -> None:
        """End the program if it still runs: the guide it drew for is not wanted any more."""
        if self.process and self.process.poll() is None:
            self.process.kill()
            self.process.communicate()
