"""What a maker may write: the fixture spec, read and checked."""

from guidegen.spec.canonical import canonical
from guidegen.spec.load import fixture_of
from guidegen.spec.load import load_fixture as load
from guidegen.spec.model import Fixture
from guidegen.spec.part import Part
from guidegen.spec.parts import catalogue, catalogue_part
from guidegen.spec.quantities import AUTO, Auto
from guidegen.spec.starter import starter

__all__ = [
    "AUTO",
    "Auto",
    "Fixture",
    "Part",
    "canonical",
    "catalogue",
    "catalogue_part",
    "fixture_of",
    "load",
    "starter",
]
