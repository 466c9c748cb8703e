"""All laws of guidegen.calc alike: dimension, guards, source, workings text, docstring.

Every formula is computed with quantities: dimension and scale of the result must be right.
"""

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from textwrap import dedent
from types import ModuleType

import pint
import pytest

import guidegen.calc
from guidegen.folders import folder
from guidegen.kinds import Ampere, Hour, Kelvin, Second, Volt, Watt, kinds
from guidegen.values import as_html, formula, is_formula, references


def modules() -> Iterator[ModuleType]:
    """All modules of guidegen.calc; packages inside it hold no laws."""
    for found in pkgutil.iter_modules(guidegen.calc.__path__):
        if not found.ispkg:
            yield importlib.import_module(f"guidegen.calc.{found.name}")


def functions() -> Iterator[Callable[..., object]]:
    """All public functions, each once, from the module that defines it."""
    for module in modules():
        for name, item in vars(module).items():
            plain = inspect.unwrap(item) if callable(item) else item
            if (
                inspect.isfunction(plain)
                and plain.__module__ == module.__name__
                and not name.startswith("_")
            ):
                yield item


def laws() -> list[Callable[..., float]]:
    """All functions whose result has a kind."""
    return [item for item in functions() if "return" in kinds(item)]


def name_of(law: Callable[..., object]) -> str:
    return law.__name__


UNITS = pint.UnitRegistry()

# Plausible values by argument, so that guards let them pass; else by unit.
BY_NAME = {
    "efficiency": 0.9, "transmittance": 0.7, "usable": 0.9, "share": 0.6, "light_share": 0.2,
    "emissivity": 0.9, "reference": 1.25, "output": 5.0, "output_voltage": 5.0,
    "forward_voltage": 3.0, "leds_per_group": 3.0, "angle": 1.5, "exponent": 1.2,
    "temperature": 350.0, "surface": 330.0, "rayleigh": 1e6, "high": 11.8, "full": 12.0,
    "tangent": 7.0, "insulation_temperature": 363.0,
    "threshold": 9.0, "line_end": 38.65, "reel": 5.0, "duty": 0.4, "dimmest": 0.2,
}  # fmt: skip
BY_UNIT = {"V": 12.0, "A": 2.0, "1": 4.0, "K": 300.0, "m": 0.4}

PRINTABLE = {"abs", "atan", "ceil", "cos", "exp", "floor", "hypot", "log", "max", "min", "round",
             "sin", "sqrt", "tan", "math.ceil", "math.cos", "math.floor", "math.hypot", "math.sin",
             "math.sqrt", "math.tan"}  # fmt: skip

FORMULAS = [law for law in laws() if is_formula(law)]
OTHERS = [law for law in laws() if not is_formula(law)]


def arguments(law):
    """A value for each argument that has a kind, no two of a law alike."""
    found = {}
    for position, (name, kind) in enumerate(kinds(law).items()):
        if name != "return":
            base = BY_NAME.get(name, BY_UNIT.get(kind.si, 0.5))
            found[name] = base * (1 + 0.01 * position)
    return found


def check_dimension(law):
    """Compute with quantities, and compare unit and number with the plain floats."""
    plain = arguments(law)
    units = kinds(law)
    quantities = {
        name: UNITS.Quantity(value, "" if units[name].si == "1" else units[name].si)
        for name, value in plain.items()
    }
    found = UNITS.Quantity(1, "") * law(**quantities)
    wanted = "" if units["return"].si == "1" else units["return"].si
    assert found.to(wanted).magnitude == pytest.approx(law(**plain), rel=1e-9)


@pytest.mark.parametrize("law", FORMULAS, ids=name_of)
def test_formula_gives_the_unit_that_it_promises(law):
    check_dimension(law)


def test_the_formulas_are_found():
    assert {"row_drop_one_end", "divider_output", "peukert", "centre_illuminance"} <= {
        law.__name__ for law in FORMULAS
    }
    assert "ampacity" in {law.__name__ for law in OTHERS}


def power_as_voltage(voltage: Volt, current: Ampere) -> Volt:
    return voltage * current


def sum_of_unlike(voltage: Volt, current: Ampere) -> Watt:
    return voltage + current


def hours_for_seconds(time: Second) -> Hour:
    return time / 1


def offset_forgotten(temperature: Kelvin) -> Kelvin:
    return temperature - 20


@pytest.mark.parametrize(
    "law", [power_as_voltage, sum_of_unlike, hours_for_seconds, offset_forgotten], ids=name_of
)
def test_a_spoiled_law_fails(law):
    with pytest.raises((pint.DimensionalityError, AssertionError)):
        check_dimension(law)


@pytest.mark.parametrize("law", FORMULAS, ids=name_of)
def test_before_the_formula_stand_guards_only(law):
    tree = ast.parse(dedent(inspect.getsource(inspect.unwrap(law)))).body[0]
    guards = [node for node in tree.body if isinstance(node, ast.If)]
    assert all(isinstance(line, ast.Raise) for guard in guards for line in guard.body)
    assert not any(guard.orelse for guard in guards)


@pytest.mark.parametrize("law", FORMULAS, ids=name_of)
def test_the_formula_can_be_printed(law):
    calls = [node for node in ast.walk(formula(law)) if isinstance(node, ast.Call)]
    # A call of a solver of our own would print as a name and explain nothing.
    assert {ast.unparse(call.func) for call in calls} <= PRINTABLE
    assert as_html(formula(law), {})


@pytest.mark.parametrize("law", OTHERS, ids=name_of)
def test_what_is_no_formula_is_described(law):
    file = folder("templates") / "workings" / f"{law.__name__}.md"
    assert file.is_file(), f"{law.__name__} is no formula and has no {file.name}"
    lines = file.read_text(encoding="utf-8").strip().splitlines()
    assert 2 <= len(lines) <= 6
    assert lines[-1].startswith("Source: ")


@pytest.mark.parametrize("law", laws(), ids=name_of)
def test_every_law_names_its_source(law):
    assert len(references(law)) > 8


def documented(function):
    """Name and type of each argument as the Parameters section has them, in order."""
    text = inspect.getdoc(function) or ""
    section = re.search(r"Parameters\n-+\n(.*?)(?:\n\n[A-Z][a-z]+\n-+\n|\Z)", text, re.S)
    if not section:
        return None
    return [
        (name.strip(), kind.removesuffix(", optional"))
        for names, kind in re.findall(r"^(\S[^:\n]*) : (.+)$", section[1], re.M)
        for name in names.split(",")
    ]


def signature(function):
    parameters = inspect.signature(inspect.unwrap(function)).parameters.values()
    stars = {inspect.Parameter.VAR_KEYWORD: "**"}
    return [(stars.get(p.kind, "") + p.name, str(p.annotation)) for p in parameters]


def same_type(said, annotated):
    """Arrays say their shape; an optional argument may leave its None to the sentence."""
    return (
        said.startswith("array, shape")
        or annotated in (said, f"{said} | None")
        or (annotated.startswith(f"{said} | ") or said in annotated)
    )


DOCUMENTED = [f for f in functions() if documented(f) is not None]


@pytest.mark.parametrize("function", DOCUMENTED, ids=name_of)
def test_docstring_agrees_with_the_signature(function):
    said, written = documented(function), signature(function)
    assert [name for name, _ in said] == [name for name, _ in written]
    for (name, kind), (_, annotation) in zip(said, written, strict=True):
        assert same_type(kind, annotation), f"{name} : {kind}, but {annotation}"


def test_drift_is_seen():
    def drifted(length, width):
        """Area.

        Parameters
        ----------
        length : float
            Length. [m]
        height : float
            Width. [m]
        """

    assert [name for name, _ in documented(drifted)] != [name for name, _ in signature(drifted)]


def test_most_functions_are_documented():
    assert len(DOCUMENTED) > 80
