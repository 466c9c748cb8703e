"""What the pages print makes sense at the bench, held against the design by other ways."""

from __future__ import annotations

import re
from typing import Any

import pytest

from guidegen.guide.model import Guide

SPACE = "\u00a0"


@pytest.fixture(scope="module")
def guide(demo_guide: Any) -> Guide:
    assert isinstance(demo_guide, Guide)
    return demo_guide


def page(guide: Guide, uri: str) -> str:
    return next(one.markdown for one in guide.pages if one.uri == uri)


def test_the_meter_still_shows_where_the_hand_must_stop(guide: Guide) -> None:
    """A meter over its range shows no number: the trimmer would be turned on blindly."""
    text = page(guide, "calibration.md")
    ranges = re.findall(rf"DC volts, ([\d.]+){SPACE}V range", text)
    stops = re.findall(rf"[Aa]bove ([\d.]+){SPACE}V", text)
    assert bool(ranges) == bool(stops) == bool(guide.design.facts["trimmer"])
    assert all(float(end) > float(stop) for end in ranges for stop in stops)
