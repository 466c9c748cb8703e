"""For every conductor: what a short at its far end draws, what it bears, and the verdict."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from guidegen.content.words import Words
from guidegen.design.result import Finding

#: Findings that judge a short, each with the conductor that it judges where it names none.
JUDGED: Mapping[str, str] = {
    "fuse-wire": "", "short-behind": "", "short-in-row": "jumper", "short-in-track": "track",
    "short-of-control": "control_lead", "fan-wire": "fan_wire",
}  # fmt: skip


def shorts(findings: Iterable[Finding], words: Words) -> list[dict[str, Any]]:
    """A line for each conductor that a finding judges."""
    found = []
    for one in findings:
        if one.id not in JUDGED or one.required is None or one.found is None:
            continue
        role = JUDGED[one.id] or str(one.names["conductor"])
        name = words.phrases["tracks"] if role == "track" else words.role(role.rstrip("_2")).many
        found.append(
            {
                "what": name,
                "draws": str(one.found),
                "bears": str(one.required),
                "verdict": words.phrases["bears_it" if one.names["kept"] else "bears_not"],
                "memory": bool(one.names.get("from_memory")),
            }
        )
    return found
