"""Every word that stands in a drawing and is no name of a part; one place for a translation."""

from __future__ import annotations

from typing import Final

FRONT: Final = "Front: light side"
BACK: Final = "Back"
SIDE: Final = "Side"
FROM_BACK: Final = "seen from the back"
FROM_FRONT: Final = "seen from the front"
LINES: Final = "solid +, dashed −, dotted signal"
NOT_TO_SCALE: Final = "Not to scale"
