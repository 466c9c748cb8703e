"""Findings and choices in words: one sentence for the terminal and the page alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from guidegen.content.files import SearchPath, search_path
from guidegen.content.headers import FindingHeader
from guidegen.content.load import load
from guidegen.content.render import Renderer
from guidegen.content.words import Words, load_words
from guidegen.design.result import Finding, Mend


@dataclass(frozen=True)
class Said:
    """A finding in words."""

    id: str
    level: str
    word: str
    """`do not build`, `limit passed`, `advice`, `holds`, in the guide's language."""
    title: str
    text: str
    mends: tuple[str, ...]
    place: str
    """`herbarium.yaml:14`; empty where no single line decides."""
    from_memory: bool
    line: str = "–"
    """`line 14` of the spec."""
    required: str = "–"
    found: str = "–"


def passed(finding: Finding) -> bool:
    """Whether an advice tells of a limit that is passed, or may be by the scatter of its law."""
    told = finding.required is not None and finding.found is not None
    return finding.level == "advice" and told and not finding.names.get("from_memory")


class Sentences:
    """Turns findings into words.

    Parameters
    ----------
    search : SearchPath
        Where the sentences are looked for.
    plain : bool
        For the terminal: nothing is escaped.
    """

    def __init__(self, search: SearchPath, plain: bool = False, words: Words | None = None) -> None:
        self.search, self.words = search, words or load_words(search)
        self.renderer = Renderer(search, plain)

    def say(self, finding: Finding) -> Said:
        """One finding in words.

        Raises
        ------
        ContentError
            If its template is missing, or names what the finding does not bring.
        """
        file = load(self.search, f"findings/{finding.id}.md", FindingHeader)
        context = {"required": finding.required, "found": finding.found,
                   **finding.names, **self._worded(finding.names)}  # fmt: skip
        text = str(self.renderer.body(file.words, context))
        memory = bool(finding.names.get("from_memory"))
        if memory:
            text = f"{text} {self.words.phrases['from_memory']}"
        return Said(
            finding.id,
            finding.level,
            self.words.levels["passed" if passed(finding) else finding.level],
            file.header.title,
            text,
            tuple(self.mend(mend) for mend in finding.mends),
            f"{finding.place.file}:{finding.place.line}"
            if finding.place and finding.place.line
            else "",
            memory,
            f"{self.words.phrases['line']} {finding.place.line}"
            if finding.place and finding.place.line
            else "–",
            str(finding.required) if finding.required else "–",
            str(finding.found) if finding.found else "–",
        )

    def mend(self, mend: Mend) -> str:
        """What to write and what comes of it: `chain.lead.size: 1.5 mm² (then 1.2 %)`."""
        changes = ", ".join(f"{path}: {text}" for path, text in mend.changes.items())
        usable = self.words.phrases["usable_light"]
        light = mend.light and usable.replace("{light}", str(mend.light))
        then = ", ".join(str(one) for one in (mend.effect, light) if one is not None)
        return f"{changes} ({self.words.phrases['then']} {then})" if then else changes

    def reason(self, finding: Finding) -> str:
        """Title and numbers of a finding: `Ampacity (6.2 A against 4 A)`."""
        title = load(self.search, f"findings/{finding.id}.md", FindingHeader).header.title
        if finding.required is None or finding.found is None:
            why = finding.names.get("why")
            return f"{title} ({why})" if why else title
        close = finding.names.get("by_tolerance")
        said = self.words.phrases["found_by_tolerance" if close else "found_against"]
        said = said.replace("{required}", str(finding.required))
        return f"{title} ({said.replace('{found}', str(finding.found))})"

    def _worded(self, names: Mapping[str, Any]) -> dict[str, str]:
        """Ids that a finding brings, as words of the language."""
        words = self.words
        found = {}
        if "conductor" in names:
            role = words.role(str(names["conductor"]).rstrip("_2"))
            found["conductor_word"] = role.one
            found["conductor_name"] = role.one[:1].upper() + role.one[1:]
        if "where" in names:
            found["where_word"] = words.phrases[f"short_{names['where']}"]
        if "contact" in names:
            found["contact_word"] = words.role(str(names["contact"])).one
        if "module" in names:
            found["module_word"] = words.role(str(names["module"])).one
        if "surface" in names:
            found["surface_word"] = words.surfaces[str(names["surface"])]
        if "reasons" in names:
            found["reason_words"] = "; ".join(dict.fromkeys(map(self.reason, names["reasons"])))
        if "quantities" in names:
            said = [words.phrases[f"points_{one}"] for one in names["quantities"]]
            found["quantity_words"] = ", ".join(said)
        if "fault" in names:
            found["fault_words"] = words.control_faults[str(names["fault"])]
        return found


@cache
def _plain() -> Sentences:
    return Sentences(search_path(), plain=True)


def finding_text(finding: Finding) -> str:
    """Sentence and mends of a finding as plain text, for the terminal.

    Raises
    ------
    ContentError
        If its template is missing, or names what the finding does not bring.
    """
    said = _plain().say(finding)
    mends = "".join(f" → {mend}" for mend in said.mends)
    return f"{said.title}: {said.text}{mends}"
