"""A real server on a free port: what is saved is what is served."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
DEMO = TOP / "specs" / "herbarium-copy-light.yaml"
TEXT = DEMO.read_text(encoding="utf-8")
#: Long: the machine may be busy; what should happen in a second fails only if it never does.
DEADLINE = 60.0
STOPPED = TEXT.replace("rating: 3.15 A", "rating: 1 A")


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def command(spec: Path, port: int) -> list[str]:
    return [sys.executable, "-m", "guidegen.cli", "serve", str(spec), "--port", str(port)]


def environment() -> dict[str, str]:
    paths = os.pathsep.join(filter(None, [str(TOP), os.environ.get("PYTHONPATH")]))
    return {**os.environ, "PYTHONPATH": paths}


class Served:
    """A server that runs, the spec that it follows, and what it says."""

    def __init__(self, home: Path, text: str) -> None:
        self.spec, self.port = home / "light.yaml", free_port()
        self.spec.write_text(text, encoding="utf-8")
        self.said = home / "said.txt"
        with self.said.open("w") as out:
            self.process = subprocess.Popen(
                command(self.spec, self.port), stdout=out, stderr=out, env=environment()
            )

    def page(self, name: str = "index.html") -> str:
        address = f"http://127.0.0.1:{self.port}/{name}"
        with urllib.request.urlopen(address, timeout=DEADLINE) as answer:
            return str(answer.read().decode())

    def until(self, wanted: Callable[[str], bool], name: str = "index.html") -> str:
        """The page, as soon as it is as wanted."""
        page, end = "", time.monotonic() + DEADLINE
        while time.monotonic() < end:
            assert self.process.poll() is None, self.said.read_text()
            try:
                page = self.page(name)
            except (urllib.error.URLError, ConnectionError):
                page = ""  # it does not listen yet
            if page and wanted(page):
                return page
            time.sleep(0.05)
        raise AssertionError(f"never came; strips {strips(page)}; said {self.said.read_text()}")

    def shows(self, words: str) -> str:
        return self.until(lambda page: words in page and not trouble(page))

    def end(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(DEADLINE)


def trouble(page: str) -> str:
    found = re.search(r'<pre class="gg-trouble" role="alert">(.*?)</pre>', page, re.DOTALL)
    return found[1] if found else ""


def strips(page: str) -> str:
    return " ".join(re.findall(r'<p class="gg-moved" role="status">(.*?)</p>', page))


def called(name: str) -> str:
    return TEXT.replace("Herbarium copy light", name)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    one = Served(tmp_path_factory.mktemp("served"), TEXT)
    one.shows("Herbarium copy light")  # from here on only a save can change it
    yield one
    assert one.end() == 0
    assert "Traceback" not in one.said.read_text()


def plain(spec: Path, text: str) -> None:
    spec.write_text(text, encoding="utf-8")


def atomic(spec: Path, text: str) -> None:
    beside = spec.with_name(".light.yaml.swp")
    beside.write_text(text, encoding="utf-8")
    beside.replace(spec)


def away_for_a_while(spec: Path, text: str) -> None:
    spec.rename(spec.with_name("light.yaml~"))
    time.sleep(0.4)  # several looks of the server
    spec.write_text(text, encoding="utf-8")


def rapid(spec: Path, text: str) -> None:
    for number in range(12):
        spec.write_text(called(f"In between {number}"), encoding="utf-8")
        time.sleep(0.05)
    spec.write_text(text, encoding="utf-8")


def in_pieces(spec: Path, text: str) -> None:
    spec.write_text("", encoding="utf-8")
    time.sleep(0.3)
    with spec.open("w", encoding="utf-8") as file:
        file.write(text[:700])
        file.flush()
        time.sleep(0.3)
        file.write(text[700:])


def test_a_save_during_the_first_build_is_seen(tmp_path: Path) -> None:
    one = Served(tmp_path, TEXT)
    try:
        end = time.monotonic() + DEADLINE
        while not one.said.read_text() and time.monotonic() < end:
            time.sleep(0.01)
        plain(one.spec, called("Saved early"))
        one.shows("Saved early")
    finally:
        assert one.end() == 0


#: The other two are these in small; they are tried with `GUIDEGEN_THOROUGH`.
SAVES = [atomic, away_for_a_while, rapid]
if os.environ.get("GUIDEGEN_THOROUGH"):
    SAVES += [plain, in_pieces]


@pytest.mark.parametrize("save", SAVES)
def test_every_kind_of_save_ends_with_what_was_saved_last(
    served: Served, save: Callable[[Path, str], None]
) -> None:
    name = f"Light saved {save.__name__}"
    save(served.spec, called(name))
    served.shows(name)
    assert name in served.page("safety.html")


def test_a_strip_and_the_terminal_tell_which_main_numbers_moved(served: Served) -> None:
    plain(served.spec, called("Before"))
    served.shows("Before")
    plain(served.spec, called("After").replace("count: 12", "count: 10"))
    page = served.shows("After")
    # Power of the tape goes with the number of rows: 10 rows of 12 take 10/12 of it.
    moved = re.search(r"power of the tape at full: ([\d.]+)\sW → ([\d.]+)\sW", strips(page))
    assert moved
    assert float(moved[2]) == pytest.approx(float(moved[1]) * 10 / 12, abs=0.1)
    assert strips(page).startswith("Changed: ")
    assert "power of the tape at full: " in strips(served.page("safety.html"))
    assert "After, revision A: " in served.said.read_text()
    assert moved[0] in served.said.read_text()


def test_the_chart_follows(served: Served) -> None:
    plain(served.spec, called("Twelve"))
    served.shows("Twelve")
    first = served.until(lambda page: "it is being drawn" not in strips(page))
    drawing = chart(served)
    plain(served.spec, called("Eight").replace("count: 12", "count: 8"))
    served.shows("Eight")
    served.until(lambda page: "it is being drawn" not in strips(page))
    assert first
    assert chart(served) != drawing
    # The strip tells of the save, not of the redrawing that came after it.
    assert "power of the tape at full" in strips(served.page())


def chart(served: Served) -> str:
    names = re.findall(r'id="figure-(light-[\w-]+)"', served.page("performance.html"))
    assert names
    return served.page(f"figures/{names[0]}.svg")


def test_trouble_stands_on_the_last_good_guide(served: Served) -> None:
    plain(served.spec, called("Still good"))
    served.shows("Still good")
    plain(served.spec, called("Bad").replace("count: 12", "count: <b>"))
    for name in ("index.html", "safety.html"):
        page = served.until(lambda page: bool(trouble(page)), name)
        assert trouble(page).startswith("light.yaml:27:12: rows.1.count:")
        assert "<b>" not in trouble(page)
        assert "Still good" in page
    assert "light.yaml:27:12: rows.1.count:" in served.said.read_text()
    plain(served.spec, called("Mended"))
    served.shows("Mended")


def test_parts_and_templates_beside_the_spec_are_followed(served: Served) -> None:
    plain(served.spec, TEXT)
    served.shows("Herbarium copy light")
    parts = served.spec.with_name("own-parts.yaml")
    parts.write_text("nonsense: [\n", encoding="utf-8")
    assert trouble(served.until(lambda page: bool(trouble(page)))).startswith("own-parts.yaml:")
    parts.unlink()
    served.until(lambda page: not trouble(page))
    own = served.spec.with_name("templates") / "pages"
    own.mkdir(parents=True)
    base = (TOP / "templates" / "pages" / "care.md").read_text(encoding="utf-8")
    (own / "care.md").write_text(base + "\nZebrawords of mine.\n", encoding="utf-8")
    served.until(lambda page: "Zebrawords of mine." in page, "care.html")
    (own / "care.md").write_text(base + "\n{{ nosuchvalue }}\n", encoding="utf-8")
    page = served.until(lambda page: bool(trouble(page)), "care.html")
    assert "own templates/pages/care.md" in trouble(page)
    assert "Zebrawords of mine." in page
    shutil.rmtree(own.parent)
    served.until(lambda page: not trouble(page) and "Zebrawords" not in page, "care.html")


def test_a_design_that_a_check_stops_carries_the_warning_on_every_page(served: Served) -> None:
    plain(served.spec, STOPPED)
    for name in ("index.html", "safety.html", "steps.html", "workings.html"):
        assert "Do not build from this guide." in served.until(lambda p: "gg-stop" in p, name)
    assert "stop: " in served.said.read_text()
    plain(served.spec, TEXT)
    served.until(lambda page: "gg-stop" not in page)


def test_a_browser_is_told_to_load_again(served: Served) -> None:
    found = re.search(r"livereload\((\d+), (\d+)\)", served.page())
    assert found
    plain(served.spec, called("Loaded again"))
    # The server answers only when there is something newer than what the page knows.
    assert int(served.page(f"livereload/{found[1]}/{found[2]}")) > int(found[1])


def test_a_port_in_use_is_one_sentence(served: Served) -> None:
    served.until(bool)
    run = subprocess.run(
        command(served.spec, served.port),
        capture_output=True, encoding="utf-8", env=environment(), timeout=DEADLINE,
    )  # fmt: skip
    assert run.returncode == 2
    assert run.stderr.startswith(f"port {served.port} of 127.0.0.1: ")
    assert run.stderr.endswith("Name another with --port\n")
    assert run.stderr.count("\n") == 1


def test_a_missing_spec_is_one_sentence(tmp_path: Path) -> None:
    run = subprocess.run(
        command(tmp_path / "none.yaml", free_port()),
        capture_output=True, encoding="utf-8", env=environment(), timeout=DEADLINE,
    )  # fmt: skip
    assert (run.returncode, run.stderr) == (2, "none.yaml: there is no such file.\n")


def test_a_spec_that_is_broken_from_the_start_can_be_mended(tmp_path: Path) -> None:
    served = Served(tmp_path, TEXT.replace("count: 12", "cuont: 12"))
    try:
        page = served.until(bool)
        assert "light.yaml:27:5: rows.1: unknown key" in trouble(page)
        assert "No guide yet" in page
        plain(served.spec, TEXT)
        served.shows("Herbarium copy light")
        assert strips(served.page()) == ""
        assert served.page("safety.html")
    finally:
        status = served.end()
    assert status == 0
    said = served.said.read_text()
    assert "Traceback" not in said
    assert f"http://127.0.0.1:{served.port}/" in said
