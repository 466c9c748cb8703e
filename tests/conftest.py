from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

#: The demonstration fixtures: each is real, has no stop, and its guide can be followed.
DEMOS = sorted((Path(__file__).parents[1] / "specs").glob("*.yaml"))
SITE_DEMO = Path(__file__).parents[1] / "specs" / "herbarium-copy-light.yaml"


@pytest.fixture(scope="session", params=DEMOS, ids=lambda spec: spec.stem)
def demo_spec(request: pytest.FixtureRequest) -> Path:
    """The spec of each demonstration fixture."""
    spec: Path = request.param
    return spec


@pytest.fixture(scope="session")
def demo_design(demo_spec: Path) -> Any:
    """The settled design of each demonstration fixture; nobody changes it."""
    from guidegen.road import design_of

    return design_of(demo_spec)


@pytest.fixture(scope="session")
def demo_guide(demo_spec: Path, demo_design: Any) -> Any:
    """The guide of each demonstration fixture; nobody changes it."""
    from guidegen.road import guide_of

    return guide_of(demo_spec, demo_design)


@pytest.fixture(scope="session")
def site_guide() -> Any:
    """The guide that `site/mkdocs.yml` names; nobody changes it."""
    from guidegen.road import design_of, guide_of

    return guide_of(SITE_DEMO, design_of(SITE_DEMO))


@pytest.fixture(scope="session")
def plan_of() -> Callable[..., Any]:
    """Plans a cutting problem of `tests/data/cutting`: its pieces, its stock, the plan."""
    from guidegen.calc.cutting import Piece, SheetStock, sheet_plan

    def plan(item: Any, effort: int | None = None) -> Any:
        # The files count in millimetres.
        pieces = [
            Piece(f"P{n}", w / 1000, h / 1000, count, bool(turns))
            for n, (w, h, count, turns) in enumerate(item["parts"], 1)
        ]
        stock = [
            SheetStock(f"S{n}", w / 1000, h / 1000, p, q)
            for n, (w, h, p, q) in enumerate(item["stock"])
        ]
        saw = (item["kerf"] / 1000, item["trim"] / 1000, item["min_strip"] / 1000)
        return pieces, stock, sheet_plan(pieces, stock, *saw, effort=effort)

    return plan
