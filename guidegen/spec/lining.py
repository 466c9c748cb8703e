"""The lining: a film that sends light back, on the rim, on the board, or on both."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from guidegen.spec.keys import Context, Key, part_key, some_words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Fault
from guidegen.spec.section import Section
from guidegen.spec.tree import Text
from guidegen.units import clip, tidy

#: What can be lined.
PLACES = ("border", "board")
UNDER = "insulating-tape-15mm"


def _under() -> Key:
    plain = part_key("under", ("hardware",), "Insulating tape over a film that conducts, wherever"
                     " bare metal lies near it; none: there is none", UNDER,
                     default="none")  # fmt: skip

    def convert(node: Any, context: Context) -> Part | None:
        if not hasattr(node, "place") or (isinstance(node, Text) and tidy(node) == "none"):
            return None
        found: Part = plain.convert(node, context)
        if found and found.words.get("role") != "insulation":
            raise Fault(f"{clip(found.key)} does not insulate. Accepted: such as '{UNDER}'")
        return found

    return replace(plain, convert=convert)


class Lining(Section):
    """A film that sends light back."""

    film: Annotated[Part, part_key("lining", ("film",), "Film", "film-white-50mm")]
    under: Annotated[Part | None, _under()]
    where: Annotated[
        tuple[str, ...], some_words("What is lined", PLACES, "border", "takes no lining")
    ]

    @property
    def conducts(self) -> bool:
        """Whether the film is metal."""
        return self.film.words.get("conducting") == "yes"
