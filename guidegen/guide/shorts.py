"""For every conductor: what a fault behind it can drive for long, what it bears, the verdict."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from guidegen.content.words import Words
from guidegen.design.dead_short import DRIVES
from guidegen.design.result import Design, Finding

#: Findings that judge a short, each with the conductor that it judges where it names none.
JUDGED: Mapping[str, str] = {
    "fuse-wire": "", "short-behind": "", "short-in-row": "jumper", "short-in-track": "track",
    "short-of-control": "control_lead", "fan-wire": "fan_wire",
    "pilot-wire": "pilot_wire", "guard-warm": "",
}  # fmt: skip
#: Conductors of the same wire and behind the same guard as the one that is judged.
WITH: Mapping[str, tuple[str, ...]] = {
    "lead": ("battery_wire", "link"), "link": ("battery_wire",), "feed": ("stage_link",),
}  # fmt: skip


def shorts(design: Design, words: Words) -> list[dict[str, Any]]:
    """A line for each conductor that a finding judges, and for those that are like it."""
    found = []
    for one in design.findings:
        if one.id not in JUDGED or one.required is None or one.found is None:
            continue
        role = JUDGED[one.id] or str(one.names["conductor"])
        if one.id == "guard-warm":
            place = words.phrases["in_the_box" if one.names["in_box"] else "on_the_board"]
            found.append(_line(f"{_name(role, design, words)}, {place}", one, words))
            continue
        like = [other for other in WITH.get(role, ()) if design.model.wires(other)]
        names = (_name(role, design, words), *(words.role(other).many for other in like))
        found += [_line(name, one, words) for name in names]
    return found


def dead_shorts(design: Design, words: Words) -> list[dict[str, str]]:
    """For both ends of each conductor before the regulator: a short, its fuse, and what it bears.

    Empty behind an adapter, which gives no more into a short than it shuts off at.
    """
    found = []
    for role in design.result("protection"):
        for where, drives in DRIVES.items():
            names = {"drives": drives, "opens": f"{where}_opens", "bears": f"{where}_bears"}
            values = {key: str(design.values[f"short_{role}.{name}"])
                      for key, name in names.items()}  # fmt: skip
            found.append({"what": _name(role, design, words),
                          "where": words.phrases[f"short_{where}"], **values})  # fmt: skip
    return found


def _name(role: str, design: Design, words: Words) -> str:
    if role == "track":
        return words.phrases["tracks"]
    if role == "lead" and design.facts["supply_lead"]:
        return words.role("supply_lead").many
    if role == "lead_2":
        return words.role("lead").many if design.facts["supply_lead"] else words.phrases["lead_2"]
    return words.role(role).many


def _line(name: str, one: Finding, words: Words) -> dict[str, Any]:
    return {
        "what": name,
        "drives": str(one.found),
        "bears": str(one.required),
        "verdict": words.phrases["bears_it" if one.names["kept"] else "bears_not"],
        "memory": bool(one.names.get("from_memory")),
    }
