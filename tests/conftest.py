from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

DEMO = Path(__file__).parents[1] / "specs" / "herbarium-copy-light.yaml"


@pytest.fixture(scope="session")
def demo_design() -> Any:
    """The settled design of the demonstration fixture; nobody changes it."""
    from guidegen.road import design_of

    return design_of(DEMO)


@pytest.fixture(scope="session")
def demo_guide(demo_design: Any) -> Any:
    """The guide of the demonstration fixture; nobody changes it."""
    from guidegen.road import guide_of

    return guide_of(DEMO, demo_design)
