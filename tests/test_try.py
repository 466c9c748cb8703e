"""`guidegen try`: the difference of two checks, and nothing written."""

from __future__ import annotations

import copy
import json
import os
from collections import Counter
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from guidegen.cli import main
from guidegen.design import Design, settle
from guidegen.design.settle import JUDGING
from guidegen.guide.record import MAIN
from guidegen.guide.trial import VERSION
from guidegen.guide.trial_schema import trial_schema
from guidegen.publish import trial_page
from guidegen.spec import load

HERBARIUM, PUPPET, BOATSHED = "herbarium-copy-light", "puppet-wash-light", "boatshed-work-bar"
#: The spec, what is typed, and the same change made by hand in the file: old text, new text.
CHANGES: dict[str, tuple[str, list[str], list[tuple[str, str]]]] = {
    "a thicker lead, by gauge": (
        HERBARIUM, ["chain.lead.size=14 AWG"],
        [("    size: 0.75 mm²\n    length", "    size: 14 AWG\n    length")]),
    "a thin lead": (
        HERBARIUM, ["chain.lead.size=26 AWG"],
        [("    size: 0.75 mm²\n    length", "    size: 26 AWG\n    length")]),
    "a weak adapter with its socket": (
        HERBARIUM, ["supply=adapter-15v-30w", "chain.connector=barrel-5521"],
        [("adapter: adapter-19v-65w", "adapter: adapter-15v-30w"),
         ("connector: barrel-5525", "connector: barrel-5521")]),
    "a fuse that is chosen": (
        HERBARIUM, ["chain.fuse.rating=auto"], [("rating: 3.15 A", "rating: auto")]),
    "a part as a map": (
        HERBARIUM, ["chain.switch={like: switch-dc-6a, current: 1 A}"],
        [("switch: switch-dc-6a", "switch: {like: switch-dc-6a, current: 1 A}")]),
    "no cover": (
        HERBARIUM, ["body.cover=(left out)"],
        [("  cover:\n    sheet: {like: acrylic-opal, transmittance: 70 % ± 5 %}\n"
          "    thickness: 3 mm\n    gap: auto at least 20 mm  # nearer, and the single LEDs show\n",
          "")]),
    "another battery": (
        PUPPET, ["supply=li-ion-4s-5ah"],
        [("battery: lifepo4-4s-20ah", "battery: li-ion-4s-5ah")]),
    "a thin feed": (
        PUPPET, ["chain.feed.size=1.5 mm²"],
        [("{feed: twin-silicone, size: 4 mm²}", "{feed: twin-silicone, size: 1.5 mm²}")]),
    "a slow pulse-width stage": (
        BOATSHED, ["chain.pulse_width=pulse-width-35v-5a"],
        [("pulse_width: pulse-width-30v-8a", "pulse_width: pulse-width-35v-5a")]),
    "a long lead at the bank": (
        BOATSHED, ["supplies.shed bank.chain.lead.length=15 m"],
        [("size: 2.5 mm², length: 8 m", "size: 2.5 mm², length: 15 m")]),
}  # fmt: skip


def spec_of(name: str) -> Path:
    return Path(__file__).parents[1] / "specs" / f"{name}.yaml"


def invoke(*words: str) -> Result:
    return CliRunner().invoke(main, ["try", *words], catch_exceptions=False)


def answer(*words: str) -> dict[str, Any]:
    found = json.loads(invoke(*words, "--json").stdout)
    assert isinstance(found, dict)
    return found


@pytest.fixture(scope="module")
def checked() -> Callable[[Path], tuple[Design, list[dict[str, Any]]]]:
    """A spec checked by the command that checks: its design, and the rows that it prints."""
    found: dict[bytes, Any] = {}

    def check(spec: Path) -> Any:
        text = spec.read_bytes()
        if text not in found:
            said = CliRunner().invoke(main, ["check", str(spec), "--json"], catch_exceptions=False)
            design = settle(load(spec), JUDGING, mends=False)
            found[text] = design, json.loads(said.stdout)["findings"]
        return found[text]

    return check


def edited(spec: Path, edits: list[tuple[str, str]], folder: Path) -> Path:
    text = spec.read_text("utf-8")
    for old, new in edits:
        assert text.count(old) == 1
        text = text.replace(old, new)
    other = folder / spec.name
    other.write_text(text, "utf-8")
    return other


def sentence(row: dict[str, Any]) -> tuple[str, str, str]:
    """What a reader sees of a finding; mends follow an arrow."""
    return row["id"], row["level"], row["text"].split(" → ")[0]


def changes_of(finding: dict[str, Any]) -> str:
    return json.dumps([mend["changes"] for mend in finding["mends"]])


def told(finding: dict[str, Any]) -> tuple[str, str, str]:
    return finding["id"], finding["level"], f"{finding['title']}: {finding['text']}"


@pytest.mark.parametrize("name", CHANGES)
def test_it_is_the_difference_of_two_checks(name: str, checked: Any, tmp_path: Path) -> None:
    spec, typed, edits = CHANGES[name]
    (before, old), (after, new) = checked(spec_of(spec)), checked(
        edited(spec_of(spec), edits, tmp_path))  # fmt: skip
    found = answer(str(spec_of(spec)), *typed)
    (column,) = found["columns"]
    was, now = (Counter(map(sentence, rows)) for rows in (old, new))
    assert was != now
    moved = column["findings"]
    assert Counter(told(one["before"]) for one in moved if one["before"]) == was - now
    assert Counter(told(one["after"]) for one in moved if one["after"]) == now - was
    shown = Counter((told(one["after"]), changes_of(one["after"])) for one in moved if one["after"])
    assert shown <= Counter((sentence(row), changes_of(row)) for row in new)
    numbers = [{n: str(d.values[n]) for n in MAIN if n in d.values} for d in (before, after)]
    assert {one["name"]: (one["before"] and one["before"]["text"],
                          one["after"] and one["after"]["text"]) for one in column["numbers"]} == {
        n: (numbers[0].get(n), numbers[1].get(n))
        for n in MAIN if numbers[0].get(n) != numbers[1].get(n)
    }  # fmt: skip
    chosen = [{c.id: c.chosen for c in d.choices} for d in (before, after)]
    assert {one["name"]: (one["before"], one["after"]) for one in column["choices"]} == {
        c: (chosen[0].get(c), chosen[1].get(c))
        for c in {**chosen[0], **chosen[1]} if chosen[0].get(c) != chosen[1].get(c)
    }  # fmt: skip
    stops = [any(row["level"] == "stop" for row in rows) for rows in (old, new)]
    assert [found["before"]["verdict"] == "stop", column["verdict"] == "stop"] == stops
    assert column["stays"]["findings"] == sum((was & now).values())
    assert column["complete"] is after.complete
    assert faults(found) == []


@pytest.fixture(scope="module")
def several() -> dict[str, Any]:
    """Columns of every sort: a weak part, a like one, a battery in place of an adapter."""
    return answer(str(spec_of(HERBARIUM)), "supply=adapter-15v-30w", "--or",
                  "chain.feed.size=0.75 mm2", "--or=supply=lifepo4-4s-20ah", "--or",
                  "chain.lead.size=26 AWG", "chain.fuse.rating=auto")  # fmt: skip


def faults(data: dict[str, Any]) -> list[str]:
    return [f"{error.json_path}: {error.message}"
            for error in Draft202012Validator(trial_schema()).iter_errors(data)]  # fmt: skip


def test_the_schema_is_one_and_is_kept(several: dict[str, Any]) -> None:
    Draft202012Validator.check_schema(trial_schema())
    assert trial_schema()["$id"].endswith(f":{VERSION}")
    assert faults(several) == []


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data.pop("columns"),
        lambda data: data["columns"][0].update(verdict="fine"),
        lambda data: data["columns"][0]["numbers"][0].update(before="2 A"),
        lambda data: data["columns"][0]["usable"].pop("limits"),
        lambda data: data["columns"][0]["findings"][0].update(more=1),
    ],
)
def test_a_spoiled_answer_is_seen(several: dict[str, Any], spoil: Any) -> None:
    data = copy.deepcopy(several)
    spoil(data)
    assert faults(data)


def test_columns_stand_as_they_were_typed(several: dict[str, Any]) -> None:
    changes = [[(one["argument"], one["key"]) for one in column["changes"]]
               for column in several["columns"]]  # fmt: skip
    assert changes == [[(1, "supply")], [(2, "chain.feed.size")], [(3, "supply")],
                       [(4, "chain.lead.size"), (5, "chain.fuse.rating")]]  # fmt: skip


def test_what_the_spec_says_already_is_told(several: dict[str, Any]) -> None:
    same = several["columns"][1]
    assert same["changes"][0]["same"] is True
    assert (same["findings"], same["numbers"], same["choices"]) == ([], [], [])
    assert not any(one["same"] for column in (several["columns"][0], several["columns"][3])
                   for one in column["changes"])  # fmt: skip


def test_what_auto_chose_is_told() -> None:
    found = answer(str(spec_of(HERBARIUM)), "wiring.jumpers.size=1 mm²", "chain.feed.length=1 m")
    changes = {one["key"]: one for one in found["columns"][0]["changes"]}
    before = settle(load(spec_of(HERBARIUM)), JUDGING, mends=False).values
    for key, name in (("wiring.jumpers.size", "jumper.size"), ("chain.feed.length", "feed.length")):
        assert changes[key]["before"] == "(left out)"
        assert changes[key]["chosen"] == str(before[name])
    chosen = {one["name"]: one for one in found["columns"][0]["choices"]}
    assert chosen["jumper.size"]["after"] is None


def test_what_stays_with_a_battery_goes_with_it() -> None:
    found = answer(str(spec_of(PUPPET)), "supply=adapter-24v-120w")
    (column,) = found["columns"]
    assert column["gone"] == ["supplies.1.chain"]
    ids = {one["id"] for one in column["findings"] if one["after"] is None}
    assert "run-time" in ids


def test_the_exit_status_is_that_of_check() -> None:
    spec = str(spec_of(HERBARIUM))
    assert invoke(spec, "chain.feed.size=1 mm²").exit_code == 0
    assert invoke(spec, "chain.feed.size=1 mm²", "--or", "rows.1.count=20").exit_code == 1
    assert invoke(spec, "chain.feed.sise=1 mm²").exit_code == 2
    assert invoke(spec).exit_code == 2
    assert invoke("nowhere.yaml", "chain.feed.size=1 mm²").exit_code == 2


def test_faults_of_all_columns_are_told_at_once() -> None:
    result = invoke(str(spec_of(HERBARIUM)), "wiring.lead.size=14 AWG", "--or",
                    "chain.fuse.rating=3 V", "--json")  # fmt: skip
    troubles = json.loads(result.stdout)["troubles"]
    assert [(one["file"], one["line"], one["column"]) for one in troubles] == [
        ("argument", 1, 8), ("argument", 2, 19)]  # fmt: skip
    assert "argument:1:8: wiring: unknown key 'lead'" in result.stderr
    assert "Did you mean 'chain.lead.size'?" in result.stderr


def test_a_line_has_eighty_signs_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    many = ["body.cover=(left out)", *["--or", "rows.1.count=9"] * 4]
    for typed in (["supply=adapter-15v-30w"], many):
        text = invoke(str(spec_of(HERBARIUM)), *typed).stdout
        assert len(text.splitlines()) > 20
        assert max(map(len, text.splitlines())) <= 80


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else b""
            for path in folder.rglob("*")}  # fmt: skip


def test_nothing_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "light.yaml").write_bytes(spec_of(HERBARIUM).read_bytes())
    before = snapshot(tmp_path)
    for words in (
        ["rows.1.count=10"],
        ["rows.1.count=20", "--or", "supply=auto", "--json"],
        ["x=1"],
    ):
        invoke("light.yaml", *words)
        assert snapshot(tmp_path) == before
    assert invoke("light.yaml", "rows.1.count=10", "--page", "tried.html").exit_code == 0
    after = snapshot(tmp_path)
    assert after.pop("tried.html")
    assert after == before


class Tags(HTMLParser):
    """Tags that are opened and closed in order, and every address that a page asks for."""

    EMPTY = frozenset({"meta", "br"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.asked: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.asked += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data if "style" not in self.open else ""


def test_the_page_says_what_the_terminal_says(
    tmp_path: Path, several: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    text = spec_of(HERBARIUM).read_text("utf-8").replace(
        "name: Herbarium copy light", "name: <b>Herbarium</b> & light")  # fmt: skip
    Path("light.yaml").write_text(text, "utf-8")
    invoke("light.yaml", "supply=adapter-15v-30w", "--or", "rows.1.count=10", "--page", "a.html")
    page = Path("a.html").read_text("utf-8")
    assert "<b>" not in page
    tags = Tags()
    tags.feed(page)
    assert tags.open == []
    assert tags.asked == []
    assert page.count("url(") == page.count('url("data:')
    assert "<b>Herbarium</b> & light" in tags.text
    column = several["columns"][0]
    sentences = [one["after"]["text"] for one in column["findings"] if one["after"]]
    for said in (column["usable"]["value"], column["usable"]["light"]["text"], *sentences):
        assert said in tags.text
    again = Path("a.html").read_bytes()
    invoke("light.yaml", "supply=adapter-15v-30w", "--or", "rows.1.count=10", "--page", "a.html")
    assert Path("a.html").read_bytes() == again


def test_a_page_takes_the_place_of_its_like_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("mine.html").write_text("<p>mine</p>")
    Path("folder.html").mkdir()
    Path("link.html").symlink_to("mine.html")
    old = f"<head>{trial_page.MARK}</head>"
    Path("old.html").write_text(old)
    for name in ("mine.html", "folder.html", "link.html", "light.yaml", "page", "no/where.html"):
        before = snapshot(tmp_path)
        with pytest.raises((trial_page.PublishError, OSError)):
            trial_page.write("new", Path(name))
        assert snapshot(tmp_path) == before

    def broken(*_: Any) -> None:
        raise OSError("no room")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", broken)
        with pytest.raises(OSError, match="no room"):
            trial_page.write("new", Path("old.html"))
    assert Path("old.html").read_text() == old
    assert sorted(os.listdir()) == ["folder.html", "link.html", "mine.html", "old.html"]
    trial_page.write("new", Path("old.html"))
    assert Path("old.html").read_text() == "new"
