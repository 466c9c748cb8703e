"""What a server keeps from one rebuild to the next: the last good guide above all."""

from __future__ import annotations

import logging
import traceback
from collections.abc import Callable, Mapping, Sequence
from html import escape
from pathlib import Path
from threading import Event, Thread
from typing import Any

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket

from guidegen.errors import GuidegenError
from guidegen.guide.sentences import finding_text
from guidegen.publish.drawn import ChartProcess, expected
from guidegen.publish.inputs import State, Watch, state
from guidegen.publish.moved import main_numbers, moved
from guidegen.publish.pages import files
from guidegen.publish.protocol import Drawn, GuideLike

# Apart from MkDocs' own: in a strict site its counter would end the server for one bad spec.
terminal = logging.getLogger("guidegen")
news = logging.getLogger("mkdocs.plugins.guidegen")
BLANK = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 1"><title>not drawn</title></svg>'


def stops(design: Any) -> list[str]:
    """A line for each finding that stops a design."""
    found = [one for one in getattr(design, "findings", ()) if one.level == "stop"]
    return [
        f"stop: {' '.join(finding_text(one).split())}" + (f" [{one.place}]" if one.place else "")
        for one in found
    ]


class Compiled(BytecodeCache):
    """The theme's templates, compiled once for all rebuilds."""

    def __init__(self) -> None:
        self.codes: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give the code, if the template is still the same."""
        if code := self.codes.get(bucket.key):
            bucket.bytecode_from_string(code)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep the code; a new version of a template takes the place of the old one."""
        self.codes[bucket.key] = bucket.bytecode_to_string()


class Charts:
    """The charts of the guide: the old ones until the new ones are drawn."""

    def __init__(self) -> None:
        self.wanted: tuple[Mapping[str, Any], ...] = ()
        self.asked: tuple[Mapping[str, Any], ...] = ()
        self.process = ChartProcess(())
        self.drawn: dict[str, Drawn] = {}
        self.ready = Event()
        self.ready.set()
        self.trouble = ""
        self.stale = False
        self.tell: Callable[[], None] = lambda: None

    def want(self, requests: Sequence[Mapping[str, Any]]) -> None:
        """Say which charts the guide has now; those it never had are drawn at once."""
        self.wanted = tuple(requests)
        if not set(self.expected()) <= set(self.drawn):
            self.draw()

    def draw(self) -> None:
        """Have them drawn beside this process, unless they are drawn already."""
        if self.wanted == self.asked:
            return
        self.process.stop()
        self.asked, self.trouble = self.wanted, ""
        self.process, self.ready = ChartProcess(self.wanted), Event()
        ends = (self.process, self.ready)
        Thread(target=self._collect, args=ends, name="guidegen-charts", daemon=True).start()

    def _collect(self, process: ChartProcess, ready: Event) -> None:
        trouble, found = "", {}
        try:
            found = process.drawn()
        except (GuidegenError, OSError, ValueError) as error:
            trouble = str(error)
        if process is self.process:  # else its guide is gone already, and so is what it drew
            self.drawn, self.trouble = found or self.drawn, trouble
            ready.set()
            if trouble:
                terminal.error("%s", trouble)
            if self.stale:
                self.tell()
        ready.set()

    def expected(self) -> dict[str, Drawn]:
        """The charts that will come, still without a drawing."""
        return expected(self.wanted)

    def shown(self) -> dict[str, Drawn]:
        """A drawing for each chart; waits only for one that was never drawn before."""
        wanted = self.expected()
        if not set(wanted) <= set(self.drawn):
            self.ready.wait()
        # Asked before the drawings are taken: what comes in between is then not missed.
        self.stale = self.wanted != self.asked or not self.ready.is_set()
        drawn = self.drawn
        return {
            name: Drawn(drawn[name].svg if name in drawn else BLANK, one.alt, one.caption)
            for name, one in wanted.items()
        }


class Live:
    """The guide of a server."""

    def __init__(self) -> None:
        self.good: GuideLike | None = None
        self.trouble = ""
        self.moved: list[str] = []
        self.charts = Charts()
        self.compiled = Compiled()
        self.watch: Watch | None = None
        self.made: State = frozenset()

    def settled(self, spec: Path, make: Callable[[], GuideLike]) -> GuideLike | None:
        """The guide as it is to be shown now: the new one, or the last good one."""
        # Before anything is read: what is saved meanwhile must be seen as a change.
        self.watch = self.watch or Watch(spec)
        now = state(spec)
        # A rebuild for a new chart or style, or for the second half of one save, must not take
        # away what the first one had to tell.
        if now != self.made or not self.watch.is_alive():
            self._make(make)
            self.made = now
        return self.good

    def _make(self, make: Callable[[], GuideLike]) -> None:
        try:
            guide = make()
            # A page that can't be written shows here, not in the midst of a site.
            files(guide, expected(guide.charts))
        except (GuidegenError, OSError) as error:
            self.fail(str(error))
        except Exception as error:  # a fault of ours; a server that raises hangs
            self.fail(fault_of_ours(error))
        else:
            self._show(guide)

    def fail(self, trouble: str) -> None:
        """Show what is wrong, over the last good guide."""
        self.trouble = trouble
        stays = "\nThe last good guide is still shown." if self.good else ""
        terminal.error("%s%s", trouble, stays)

    def _show(self, guide: GuideLike) -> None:
        before, self.good, self.trouble = self.good, guide, ""
        self.charts.want(guide.charts)
        self.moved = []
        for line in stops(getattr(guide, "design", None)):
            terminal.error("%s", line)
        if before:
            numbers = [main_numbers(one.data.get("guide.json", b"")) for one in (before, guide)]
            self.moved = moved(*numbers)
            changes = ", ".join(self.moved) or "no main number changed"
            news.info("%s", f"{guide.title}, revision {guide.revision}: {changes}.")

    def strips(self) -> str:
        """What stands on top of every page: trouble, and the numbers that moved."""
        found = ""
        if trouble := "\n".join(filter(None, [self.trouble, self.charts.trouble])):
            found += f'<pre class="gg-trouble" role="alert">{escape(trouble)}</pre>'
        notes = [f"Changed: {', '.join(self.moved)}"] if self.moved else []
        if self.charts.stale:
            notes.append("The chart is still the one before; it is being drawn.")
        if notes and not self.trouble:
            found += f'<p class="gg-moved" role="status">{escape(". ".join(notes))}</p>'
        return found

    def start(self, rebuild: Callable[[], None]) -> None:
        """From now on, ask for a rebuild when files change or charts come late."""
        self.charts.tell = rebuild
        if self.watch:
            self.watch.tell = rebuild
            self.watch.start()

    def close(self) -> None:
        """End what runs beside the server."""
        self.charts.process.stop()
        if self.watch:
            self.watch.over.set()


def fault_of_ours(error: Exception) -> str:
    """A line that tells of a fault in the program: what, and where."""
    frame = traceback.extract_tb(error.__traceback__)[-1]
    where = f"{Path(frame.filename).name}:{frame.lineno}"
    return f"a fault of guidegen itself, at {where}: {type(error).__name__}: {error}"
