"""The demonstration spec, its variations, and their designs, each settled once."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from guidegen.design import Design, settle
from guidegen.folders import folder
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture

DEMO = folder("templates").parent / "specs" / "herbarium-copy-light.yaml"
VARIATIONS: dict[str, dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent.parent / "variations.yaml").read_text("utf-8")
)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "variation" in metafunc.fixturenames:
        metafunc.parametrize("variation", VARIATIONS)


@pytest.fixture(scope="session")
def variations() -> Mapping[str, Mapping[str, Any]]:
    return VARIATIONS


@pytest.fixture(scope="session")
def demo() -> Fixture:
    return load(DEMO)


@pytest.fixture(scope="session")
def settled(demo: Fixture) -> Callable[[str], Design]:
    """The design of a variation, mends not tried."""

    @functools.cache
    def one(name: str) -> Design:
        return settle(changed(demo, VARIATIONS[name].get("change", {})), mends=False)

    return one
