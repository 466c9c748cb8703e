"""What the multimeter must show, against the readings as the record prints them."""

from __future__ import annotations

import re
from typing import Any

from guidegen.guide.model import Guide


def page(guide: Guide, uri: str) -> str:
    text = next(one.markdown for one in guide.pages if one.uri == uri)
    return re.sub(r"<[^>]*>", "", text).replace("\u00a0", " ").replace("\u202f", " ")


def test_the_meter_shows_whatever_the_record_asks_for(demo_guide: Any) -> None:
    assert isinstance(demo_guide, Guide)
    needs = next(line for line in page(demo_guide, "parts.md").splitlines()
                 if line.startswith("| multimeter"))  # fmt: skip
    fine = float(re.findall(r"in hundredths to ([\d.]+) V", needs)[0])
    tenths = [float(end) for end in re.findall(r"in tenths to ([\d.]+) V", needs)]
    lines = [line for line in page(demo_guide, "record.md").splitlines() if "multimeter" in line]
    assert len(lines) > 8
    volts = [float(one) for line in lines if "DC volts" in line
             for one in re.findall(r"(\d+\.\d+) V", line)]  # fmt: skip
    assert max(volts) <= max([fine, *tenths])
    hundredths = [float(one) for line in lines if "DC volts" in line
                  for one in re.findall(r"(\d+\.\d\d) V", line)]  # fmt: skip
    assert max(hundredths) <= fine
    # The hand must see where it has to stop.
    assert demo_guide.design.values["tape.highest_voltage"].si <= fine
    assert ("200 mV range in tenths" in needs) == any("200 mV range" in one for one in lines)
    assert any("2 MΩ range" in one for one in lines)
    assert "to 2 MΩ" in needs
    assert ("socket for 10 A" in needs) == any("across the output" in one for one in lines)
