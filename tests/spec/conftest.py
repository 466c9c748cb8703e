from collections.abc import Callable
from pathlib import Path

import pytest

from guidegen.errors import SpecError
from guidegen.spec import Fixture, fixture_of

SPECS = Path(__file__).parents[2] / "specs"

#: The shortest spec: everything else is chosen.
SHORT = """\
fixture:
  name: Shelf light
rows:
  - tape: tape-12v-10w-cri95
supplies:
  - adapter: adapter-15v-30w
body:
  board:
    sheet: plywood
"""


@pytest.fixture
def short() -> str:
    return SHORT


@pytest.fixture
def demo() -> str:
    return (SPECS / "herbarium-copy-light.yaml").read_text(encoding="utf-8")


@pytest.fixture
def read(tmp_path: Path) -> Callable[[str | bytes], Fixture]:
    """Reads a spec called `shelf-light.yaml` that stands alone in its folder."""

    def run(text: str | bytes) -> Fixture:
        data = text.encode() if isinstance(text, str) else text
        return fixture_of(data, tmp_path / "shelf-light.yaml")

    return run


@pytest.fixture
def faults(read: Callable[[str | bytes], Fixture]) -> Callable[[str | bytes], list[str]]:
    """The lines a builder sees."""

    def run(text: str | bytes) -> list[str]:
        with pytest.raises(SpecError) as caught:
            read(text)
        return str(caught.value).splitlines()

    return run
