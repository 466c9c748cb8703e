"""What counts for a fingerprint, and what does not."""

import json
from collections.abc import Callable

import pytest

from guidegen.spec import Fixture, canonical

Read = Callable[[str | bytes], Fixture]


def said(fixture: Fixture) -> str:
    return json.dumps(canonical(fixture), sort_keys=True, ensure_ascii=False)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("fixture:\n", "# a comment more\n\nfixture:\n"),
        ("count: 12\n    length: 300 mm", "length: 300 mm\n    count: 12"),
        ("length: 300 mm", "length: 0.3 m"),
        ("length: 300 mm", "length:   300mm   # cut to fit"),
        ("thickness: 9 mm", "thickness: 0.9 cm"),
        ("size: 0.75 mm²", "size: 0.75 mm2"),
        ("track: 2 kohm ± 20 %", "track: 2 kΩ +/- 400 ohm"),
        ("    current_limit: auto\n", ""),
        ("region: europe", "region: europe\n  paper: A4"),
        ("{bar: softwood-12x25}", "{bar: softwood-12x25, height: auto}"),
        ("faces: 45 ° down", "faces: 45 deg down"),
        ("ambient: 15 °C to 30 °C", "ambient: 59 °F to 86 °F"),
        ("\n", "\r\n"),
    ],
)
def test_writing_does_not_count(read: Read, demo: str, old: str, new: str) -> None:
    assert old in demo
    assert said(read(demo.replace(old, new))) == said(read(demo))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("name: Herbarium copy light", "name: Herbarium light"),
        ("count: 12", "count: 11"),
        ("count: 12", "count: auto"),
        ("length: 300 mm", "length: 300 mm ± 1 mm"),
        ("length: 300 mm", "length: 300 mm (measured)"),
        ("rating: 3.15 A", "rating: 4 A"),
        ("transmittance: 70 % ± 5 %", "transmittance: 70 % ± 6 %"),
        ("gap: auto at least 20 mm", "gap: auto at least 21 mm"),
        ("switch: switch-dc-6a", "switch: none"),
        ("date: 2026-11-20", "date: 2026-11-21"),
        ("region: europe", "region: elsewhere"),
        ("faces: 45 ° down", "faces: 45 ° up"),
        ("copies: 8", "copies: 9"),
    ],
)
def test_meaning_counts(read: Read, demo: str, old: str, new: str) -> None:
    assert old in demo
    assert said(read(demo.replace(old, new))) != said(read(demo))


def test_no_place_and_no_path_is_in_it(read: Read, demo: str) -> None:
    text = said(read(demo))
    assert "shelf-light" not in text
    assert "yaml" not in text


def test_a_catalogue_figure_counts(read: Read, demo: str) -> None:
    own = demo + "parts: {tape-12v-10w-cri95: {like: tape-12v-10w-cri95, flux: 860 lm/m}}\n"
    assert said(read(own)) != said(read(demo))
