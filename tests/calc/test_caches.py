"""A server that runs for days must not remember every number it has ever computed."""

from __future__ import annotations

import importlib

import pytest


@pytest.mark.parametrize("name", ["field", "panel", "heat", "wire", "network"])
def test_what_is_remembered_has_an_end(name: str) -> None:
    module = importlib.import_module(f"guidegen.calc.{name}")
    kept = [one for one in vars(module).values() if hasattr(one, "cache_info")]
    kept = [one for one in kept if one.__module__ == module.__name__]
    assert kept
    assert [one.__name__ for one in kept if one.cache_info().maxsize is None] == []
