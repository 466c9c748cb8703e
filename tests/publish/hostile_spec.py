"""The demonstration spec with a payload in each of its text fields."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml

from guidegen.publish.build import build
from guidegen.road import design_of, guide_of
from guidegen.units import tidy

TESTS = Path(__file__).parents[1]
DEMO = TESTS.parent / "specs" / "herbarium-copy-light.yaml"
PAYLOADS = [
    json.loads(line)
    for line in (TESTS / "data" / "payloads.jsonl").read_text(encoding="utf-8").splitlines()
]
LINES = {"fixture.name": 60, "fixture.purpose": 200, "revisions.0.revision": 20,
         "revisions.0.change": 200, "supplies.0.name": 40, "light.placed.0.name": 40,
         "guide.publisher": 80, "body.pieces.0.piece": 40,
         "body.board.holes.0.name": 40}  # fmt: skip
QUANTITIES = ("making.kerf", "body.board.width", "chain.1.length", "limits.board_temperature")
PARTS = {"rows.0.tape": "tape-12v-10w-cri95", "supplies.0.adapter": "adapter-19v-65w",
         "chain.0.connector": "barrel-5525", "chain.1.lead": "twin-flex",
         "chain.2.fuse": "fuse-5x20", "chain.3.switch": "switch-dc-6a",
         "chain.4.regulator": "step-down-36v-8a", "chain.5.feed": "hook-up-flex",
         "chain.4.control.potentiometer": "potentiometer-16mm",
         "body.board.sheet": "mdf", "body.border.bar": "softwood-12x25",
         "body.mount.insert": "insert-quarter-20", "body.finish.coat": "paint-white"}  # fmt: skip
#: Free words of a part by the place where it is used.
WORDS = {"chain.1.lead": "insulation", "chain.2.fuse": "ratings", "body.mount.insert": "thread"}
ABOUT = ("label", "typical_of", "source")


def put(tree: Any, path: str, value: str | None = None) -> Any:
    """Set what stands at a path, and return what stood there."""
    *homes, last = path.split(".")
    for home in homes:
        tree = tree[int(home)] if home.isdigit() else tree[home]
    before = tree.get(last, "")
    if value is not None:
        tree[last] = value
    return before


def spec_text(said: Callable[[int], str]) -> tuple[str, dict[int, str]]:
    """The demonstration spec with a word in every text field, and these words."""
    words: dict[int, str] = {}

    def word(longest: int, but: str = "") -> str:
        text = re.sub(but, "", said(len(words)))[:longest] if but else said(len(words))[:longest]
        words[len(words)] = text = text if tidy(text) else "x"
        return text

    tree = yaml.load(DEMO.read_text(encoding="utf-8"), yaml.BaseLoader)
    tree["body"]["pieces"] = [{"sheet": "mdf", "width": "20 mm", "height": "20 mm",
                               "across": "30 mm from left", "up": "middle"}]  # fmt: skip
    tree["body"]["board"]["holes"] = [{"across": "60 mm from left", "up": "20 mm from top",
                                       "diameter": "4 mm"}]  # fmt: skip
    for path, longest in LINES.items():
        put(tree, path, word(longest))
    for path in QUANTITIES:
        put(tree, path, f"{put(tree, path)} ({word(40, '[()]')})")
    tree["parts"] = {}
    for path, like in PARTS.items():
        about = {name: word(200) for name in ABOUT}
        key = tidy(word(60))
        tree["parts"][key] = {"like": like, **about}
        if path in WORDS:
            tree["parts"][key][WORDS[path]] = word(120)
        put(tree, path, key)
    tree["parts"]["screw"] = {"like": "wood-screw-3x16", "rating": word(120)}
    tree["parts"]["glue"] = {"like": "wood-glue", "rating": word(120), "unit": word(120)}
    tree["parts"]["charger"] = {"like": "adapter-negotiated-30w", "trigger": word(120)}
    put(tree, "making.stock.0.tape", put(tree, "rows.0.tape"))
    tree["parts"][put(tree, "supplies.0.adapter")]["plug"] = put(tree, "chain.0.connector")
    # Each text on a line of its own, so that every place is the same in every guide.
    return yaml.safe_dump(tree, default_style='"', width=9999, sort_keys=False), words


def payload(turn: int, number: int) -> str:
    """The payload of a field; another one each turn."""
    return PAYLOADS[(turn + number) % len(PAYLOADS)]


def site_of(said: Callable[[int], str], home: Path) -> tuple[Path, dict[int, str]]:
    home.mkdir(parents=True)
    spec = home / "light.yaml"
    text, words = spec_text(said)
    spec.write_text(text, encoding="utf-8")
    build(guide_of(spec, design_of(spec)), home / "out" / "light")
    return home / "out" / "light", words
