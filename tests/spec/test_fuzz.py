"""Whatever is in the file: a fixture, or all faults in words."""

import random
import time
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from guidegen import kinds
from guidegen.errors import SpecError
from guidegen.kinds import kind_of
from guidegen.measures import COUNT, LENGTH, TEMPERATURE, measure_of
from guidegen.spec import Fixture, fixture_of
from guidegen.spec.repairs import guess
from guidegen.units import UnitsError, read, read_span

DEMO = (Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml").read_text("utf-8")
NOWHERE = Path("/nowhere/shelf-light.yaml")
PIECES = st.sampled_from(
    "rows: - tape auto none at least 20 mm ± % 2,5 m [ ] { } , : 'x' \" # & * !!int << | > \n "
    "\t fuse chain supplies adapter like mains 230 V 1e400 nan \u202e \u0000 é 12 AWG".split(" ")
)


def outcome(data: bytes) -> str:
    """`fixture`, or all that a builder is told."""
    began = time.perf_counter()
    try:
        found = fixture_of(data, NOWHERE)
    except SpecError as error:
        said = str(error)
    else:
        assert isinstance(found, Fixture)
        said = "fixture"
    assert time.perf_counter() - began < 2
    return said


def is_told(said: str) -> bool:
    return all(line.startswith("shelf-light.yaml:") and len(line) > 24 for line in said.split("\n"))


@given(st.binary(max_size=300))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_any_bytes(data: bytes) -> None:
    assert is_told(outcome(data))


@given(st.text(max_size=200))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_any_text(text: str) -> None:
    assert is_told(outcome(text.encode("utf-8", "surrogatepass")))


@given(st.lists(PIECES, max_size=40))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_any_pieces(pieces: list[str]) -> None:
    assert is_told(outcome(" ".join(pieces).encode()))


@given(st.integers(0, len(DEMO) - 1), st.integers(0, 30), st.text(max_size=6))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_demo_with_a_wound(start: int, length: int, put: str) -> None:
    wounded = DEMO[:start] + put + DEMO[start + length :]
    said = outcome(wounded.encode("utf-8", "surrogatepass"))
    assert said == "fixture" or is_told(said)


@given(st.integers(0, 10_000))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_demo_with_lines_shuffled(seed: int) -> None:
    lines = DEMO.splitlines(keepends=True)
    chance = random.Random(seed)
    first, second = chance.sample(range(len(lines)), 2)
    lines[first], lines[second] = lines[second], lines[first]
    said = outcome("".join(lines).encode())
    assert said == "fixture" or is_told(said)


@pytest.mark.parametrize(
    "key",
    [
        "use",
        "light",
        "rows",
        "wiring",
        "supplies",
        "chain",
        "body",
        "parts",
        "making",
        "limits",
        "guide",
        "fixture",
        "revisions",
    ],
)
@given(
    value=st.recursive(
        st.sampled_from(["auto", "none", "", "3 mm", "x", "[]", "{}", "230 V"]),
        lambda inner: (
            st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
            | st.dictionaries(
                st.sampled_from(["tape", "fuse", "sheet", "like", "board", "chain", "side", "q"]),
                inner,
                max_size=3,
            ).map(lambda d: "{" + ", ".join(f"{k}: {v}" for k, v in d.items()) + "}")
        ),
        max_leaves=6,
    )
)
@settings(max_examples=15, deadline=None, derandomize=True)
def test_any_shape_under_any_key(key: str, value: str) -> None:
    text = "\n".join(line for line in DEMO.splitlines() if not line.startswith(f"{key}:"))
    said = outcome(f"{key}: {value}\n{text}".encode())
    assert said == "fixture" or is_told(said)
    assert is_told(outcome(f"{key}: {value}\n".encode()))


@given(st.text(max_size=60))
@settings(max_examples=200, deadline=None, derandomize=True)
def test_any_quantity(text: str) -> None:
    for measure in (LENGTH, TEMPERATURE, COUNT, measure_of(kind_of(kinds.ConductorArea))):
        for parse in (read, read_span):
            try:
                parse(text, measure)
            except UnitsError:
                repaired = guess(text, measure, partial(read, measure=measure))
                assert not repaired or read(repaired, measure)


@given(st.decimals(min_value=0, max_value=99999, places=3))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_a_plain_number_is_read_as_it_stands(number: object) -> None:
    assert read(f"{number} mm", LENGTH).si == pytest.approx(float(str(number)) / 1000, rel=1e-11)
