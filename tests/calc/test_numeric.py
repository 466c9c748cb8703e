"""The root search of the solvers."""

import pytest

from guidegen.calc.numeric import root
from guidegen.errors import GuidegenError


@pytest.mark.parametrize("power", [1, 1.25, 4, 9])
def test_powers(power):
    assert root(lambda x: x**power - 2, 0, 3) == pytest.approx(2 ** (1 / power), abs=1e-9)


@pytest.mark.parametrize(("function", "most"), [(lambda x: x**9 - 2, 25), (lambda x: x - 2, 6)])
def test_few_calls(function, most):
    calls = []
    root(lambda x: (calls.append(x), function(x))[1], 0, 3)
    assert len(calls) <= most


def test_bracket_is_widened():
    assert root(lambda x: x - 1000, 0, 1) == pytest.approx(1000)


def test_a_step_upward_is_found():
    found = root(lambda x: -1.0 if x < 0.3 else 1.0, 0, 1)
    assert found == pytest.approx(0.3, abs=1e-8)


def test_start_that_is_already_there():
    assert root(lambda x: x, 0, 1) == 0


def test_no_root_is_said():
    with pytest.raises(GuidegenError, match="no solution between"):
        root(lambda x: -1.0, 0, 1)
