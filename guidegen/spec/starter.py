"""A first spec to change: short, commented, and built as it stands."""

from __future__ import annotations

from guidegen.spec.quantities import free_text
from guidegen.spec.tree import Text

_STARTER = """\
# yaml-language-server: $schema=fixture-spec.schema.json
# (`guidegen schema` writes that file: an editor then knows every key and its examples.)
# A value is a number with its unit, and may carry a tolerance: 9.6 W/m ± 10 %.
# What is left out, or says 'auto', is chosen, and the record says against what.

fixture:
  name: {name}

light:
  distance: 0.5 m  # from the light to what it lights

rows:
  - tape: tape-12v-10w-cri95
    count: 3
    length: 500 mm
    pitch: 25 mm

supplies:
  - adapter: adapter-15v-30w

chain:  # as the current flows from the supply to the rows
  - connector: auto
  - fuse: auto
  - switch: auto
  - regulator: auto
    output: 8 V to 11.5 V  # from dim to full; less than the tape's label, so it stays cool

body:
  board:
    sheet: plywood
    thickness: 6 mm
  cover: none
"""


def starter(name: str) -> str:
    """The text of a first spec.

    Parameters
    ----------
    name : str
        Name of the light, as a reader sees it.

    Raises
    ------
    Fault
        If the name is empty, or longer than a name may be.
    """
    clean = free_text(Text(name), 60, "a name")
    # Quoted: a name may hold a colon, or look like a number.
    return _STARTER.format(name="'" + clean.replace("'", "''") + "'")
