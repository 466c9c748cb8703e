"""Published tables: the one module that reads `calc/tables/`. Every row names its source."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import NoReturn

from guidegen.errors import GuidegenError, accepted_words

_FOLDER = Path(__file__).parent / "tables"

_MM2 = 1e-6
_MM = 1e-3


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one table file, as text by heading.

    Parameters
    ----------
    name : str
        File name without its ending. [-]

    Raises
    ------
    FileNotFoundError
        If there is no such table.
    """
    with (_FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def source(name: str) -> str:
    """All sources that a table rests on, each once, in the order of its rows."""
    return "; ".join(dict.fromkeys(row["source"] for row in rows(name)))


@cache
def conductor_resistances(build: str) -> dict[float, float]:
    """Greatest resistance a metre at 20 °C by conductor area, both in SI. [ohm/m by m²].

    Parameters
    ----------
    build : str
        `solid` (class 1) or `flexible` (class 5). [-]
    """
    return {
        float(row["area_mm2"]) * _MM2: float(row["max_ohm_per_km_20C"]) * 1e-3
        for row in rows("conductors")
        if row["build"] == build
    }


@cache
def standard_sizes() -> tuple[float, ...]:
    """All metric conductor areas of the tables, smallest first. [m²]."""
    return tuple(sorted({float(row["area_mm2"]) * _MM2 for row in rows("conductors")}))


@cache
def boat_ampacities() -> dict[int, dict[float, float]]:
    """33 CFR 183.425 table 5: ampere by gauge, then by insulation temperature in kelvin. [A]."""
    return {
        int(row["awg"]): {
            float(head[2:-1]) + 273.15: float(text)
            for head, text in row.items()
            if head.startswith("A_")
        }
        for row in rows("ampacity_33cfr183")
    }


@cache
def building_ampacities(method: str, loaded: int) -> dict[float, float]:
    """IEC 60364-5-52, PVC 70 °C, 30 °C: ampere by area. [A by m²].

    Parameters
    ----------
    method : str
        Reference method, `B2` or `C`. [-]
    loaded : int
        Number of loaded conductors, 2 or 3. [-]
    """
    return {
        float(row["area_mm2"]) * _MM2: float(row["A_70C"])
        for row in rows("ampacity_iec60364")
        if row["method"] == method and int(row["loaded"]) == loaded
    }


@cache
def preferred(series: str) -> tuple[float, ...]:
    """The preferred values of one decade, from 1 up. [-].

    Parameters
    ----------
    series : str
        `E12`, `E24` or `E96`. [-]

    Raises
    ------
    GuidegenError
        If the series is not in the table.
    """
    found = tuple(float(row["value"]) for row in rows("e_series") if row["series"] == series)
    return found or _unknown("series", series, "e_series", "series")


@cache
def fuse_ratings(series: str) -> tuple[float, ...]:
    """The ratings of a fuse series, smallest first. [A].

    Parameters
    ----------
    series : str
        `IEC 60127` or `blade`. [-]

    Raises
    ------
    GuidegenError
        If the series is not in the table.
    """
    found = sorted(float(row["rating_A"]) for row in rows("fuses") if row["series"] == series)
    return tuple(found) or _unknown("fuse series", series, "fuses", "series")


@cache
def linear_tolerances(tolerance_class: str) -> tuple[tuple[float, float, float], ...]:
    """ISO 2768-1, one class: (above, up to and with, plus or minus) in metres. [m].

    Parameters
    ----------
    tolerance_class : str
        `f`, `m`, `c` or `v`. [-]

    Raises
    ------
    GuidegenError
        If there is no such class.
    """
    return tuple(
        (
            float(row["from_mm"]) * _MM,
            float(row["to_mm"]) * _MM,
            float(row["plus_minus_mm"]) * _MM,
        )
        for row in rows("iso2768")
        if row["class"] == tolerance_class
    ) or _unknown("tolerance class", tolerance_class, "iso2768", "class")


@cache
def pilot_holes(hole: str) -> dict[int, float]:
    """Drill by wood-screw number. [m].

    Parameters
    ----------
    hole : str
        `softwood`, `hardwood` or `shank`. [-]

    Raises
    ------
    GuidegenError
        If there is no such hole.
    """
    return {
        int(row["screw_number"]): float(row["drill_mm"]) * _MM
        for row in rows("pilot_holes")
        if row["hole"] == hole
    } or _unknown("hole", hole, "pilot_holes", "hole")


@cache
def pull_forces(what: str) -> dict[float, float]:
    """Force of a pull test by the least copper area that it holds for. [N by m²].

    Parameters
    ----------
    what : str
        `clamped` for one conductor in its terminal, `anchored` for a lead, all cores together. [-]
    """
    return {
        float(row["area_mm2"]) * _MM2: float(row["force_N"])
        for row in rows("pulls")
        if row["what"] == what
    }


@cache
def ferrule_barrels(kind: str) -> dict[float, float]:
    """Length of the metal barrel of a ferrule with a collar, by conductor area. [m by m²].

    Parameters
    ----------
    kind : str
        `single` for one wire, `twin` for two of the same area in one barrel. [-]
    """
    return {
        float(row["area_mm2"]) * _MM2: float(row["barrel_mm"]) * _MM
        for row in rows("ferrules")
        if row["kind"] == kind
    }


@cache
def material(name: str) -> dict[str, float]:
    """Density, thermal conductivity and heat capacity by heading, in SI.

    Parameters
    ----------
    name : str
        As in EN ISO 10456, e.g. `polycarbonate`. No near match is ever taken. [-]

    Raises
    ------
    GuidegenError
        If the material is not in the table.
    """
    found = next((row for row in rows("materials") if row["material"] == name), None)
    if found is None:
        _unknown("material", name, "materials", "material")
    return {head: float(found[head]) for head in found if head not in ("material", "source")}


@cache
def air() -> dict[str, float]:
    """The constants of the air property fits, in SI."""
    return {row["name"]: float(row["value"]) for row in rows("air")}


def _unknown(what: str, word: str, table: str, column: str) -> NoReturn:
    known = list(dict.fromkeys(row[column] for row in rows(table)))
    raise GuidegenError(f"unknown {what} {word!r}. {accepted_words(word, known)}")
