"""How wide a text is, from a small table of the advance widths of DejaVu Sans."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

# Thousandths of the font size: advance widths of DejaVu Sans 2.37 (font file, table `hmtx`).
_TABLE: Final[dict[int, str]] = {
    200: "\u2009\u202f",
    275: "'",
    278: "ijlìíîïĩīĭįıĵĺļł",  # noqa: RUF001
    295: "IJÌÍÎÏĨĪĬĮİĴ",
    318: " ,.\xa0·‘’",  # noqa: RUF001 - the typographic ones
    337: "/:;\\|¦f",
    390: "()[]-tţťŧľ",
    401: "!¡²³¹rŕŗř",
    470: '"ªº',
    500: "*_`§¨¯°´¸–",  # noqa: RUF001
    525: "“”sśŝşšzźżž",
    550: "?¿cçćĉċč",
    562: "LĹĻĽĿŁ",
    592: "Fkķĸvxyýÿŷ•",
    612: "πPÞTYÝŢŤŦŶŸo«»ðòóôõöøōŏőaàáâãäåāăą",
    636: "eèéêëēĕėęěEÈÉÊËĒĔĖĘĚßhnuñùúûüĥńņňŋũūŭůűųσSbdgpqþďđĝğġģŚŜŞŠρ$0123456789{}¢£¤¥µ¶μ√",
    698: "KĶαAVÀÁÂÃÄÅĀĂĄΔXZŹŻŽBRħŔŖŘCÇĆĈĊČ",
    752: "UÙÚÛÜŨŪŬŮŰŲNÑŃŅŇŊHĤ",
    787: "ΩDĎGÐĐĜĞĠĢ&OQÒÓÔÕÖØŌŎŐ",
    838: "wŵ#+<=>^~¬±×÷−≤≥≈→←↑↓↻↺M∅",
    989: "%¼½¾mÆæWŴ",
    1000: "@©®—…",
}
_WIDTHS: Final = {sign: width for width, signs in _TABLE.items() for sign in signs}
# Letters of other scripts come from another font: what a wide one takes, to be on the safe side.
_OTHER: Final = 900
_EAST: Final = 1500
# These bind a number to its unit.
_KEPT: Final = "\u00a0\u2009\u202f"

ASCENT: Final = 0.76
DESCENT: Final = 0.24


def width(text: str, size: float) -> float:
    """Width of a line of text, in the unit of the font size.

    Examples
    --------
    >>> round(width("W11", 13.5), 1)
    30.5
    """
    return sum(_advance(sign) for sign in text) * size / 1000


def _advance(sign: str) -> int:
    if sign in _WIDTHS:
        return _WIDTHS[sign]
    if unicodedata.combining(sign):
        return 0
    return _EAST if unicodedata.east_asian_width(sign) in "WF" else _OTHER


def plain(text: str) -> str:
    r"""The text on one line, without signs that XML forbids or that turn the reading direction.

    Examples
    --------
    >>> plain("a\n b\u202e\x07c")
    'a bc'
    """
    spaced = (" " if sign.isspace() and sign not in _KEPT else sign for sign in text)
    kept = "".join(sign for sign in spaced if unicodedata.category(sign)[0] != "C")
    return re.sub(" +", " ", kept).strip(" ")


def clip(text: str, size: float, room: float) -> str:
    """The text, cut off with … where it is wider than the room.

    Examples
    --------
    >>> clip("regulator, step-down", 10, 60)
    'regulator…'
    """
    text = plain(text)
    if width(text, size) <= room:
        return text
    while text and width(text + "…", size) > room:
        text = text[:-1]
    return text.rstrip(" ,") + "…"
