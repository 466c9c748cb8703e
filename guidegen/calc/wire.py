"""Conductors: sizes, resistance, and the current that they carry."""

from __future__ import annotations

import math
from functools import lru_cache

from guidegen.calc import air, convection, tables
from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Celsius,
    ConductorArea,
    Count,
    FineMetre,
    Kelvin,
    OhmPerMetre,
    WattPerSquareMetreKelvin,
)

#: Diameter of 36 AWG by definition. [m] ASTM B258.
SIZE_36 = 0.127e-3
#: Resistivity of annealed copper at 20 °C. [ohm·m] IEC 60028 (100 % IACS).
COPPER = 1.7241e-8
#: Temperature coefficient of copper at 20 °C. [1/K] IEC 60028, from memory.
COPPER_COEFFICIENT = 0.00393
#: What stranding adds to the resistance of the same area: 7 strands about 2 %, from memory.
STRANDING = 1.02
#: Gauges that this module knows.
GAUGES = range(4, 31, 2)

#: Bores in which 2 to 1 sleeve is sold, before it shrinks. [m] (common practice, no source).
SLEEVES = (1.2e-3, 1.6e-3, 2.4e-3, 3.2e-3, 4.8e-3, 6.4e-3, 9.5e-3, 12.7e-3, 19.1e-3, 25.4e-3)
#: What a sleeve is wider than the wire that it slips over. (common practice, no source).
SLEEVE_ROOM = 1.25
#: Insulation of a wire, below and from 0.5 mm² on. [m] From memory: EN 50525-2-31 has 0.6 mm to
#: 0.8 mm from 0.5 mm² to 6 mm²; thin hook-up wire has half of that.
WALLS = (0.4e-3, 0.7e-3)
#: Share of a strand's outline that is copper. (from memory).
FILL = 0.75

_BUILDS = {"bare solid": "solid", "solid insulated": "solid", "flexible class 5": "flexible"}


def awg_area(gauge: Count, size_36: FineMetre = SIZE_36) -> ConductorArea:
    """Area of a solid round wire of an American wire gauge.

    Parameters
    ----------
    gauge : Count
        Gauge number, -3 (4/0) to 40. [-]
    size_36 : FineMetre
        Diameter of 36 AWG, 0.127 mm by definition. [m]

    Returns
    -------
    ConductorArea
        Area of the bare metal. [m²]

    Raises
    ------
    RangeError
        If the gauge lies outside the sizes named above.

    References
    ----------
    .. [1] ASTM B258: 36 AWG is 0.0050 in, each size up 92**(1/39) larger.
    """
    if not -3 <= gauge <= 40:
        raise RangeError("gauge", gauge, "-3 (4/0) to 40")
    return math.pi / 4 * (size_36 * 92 ** ((36 - gauge) / 39)) ** 2  # type: ignore[no-any-return]  # float ** float


def awg_diameter(gauge: Count, size_36: FineMetre = SIZE_36) -> FineMetre:
    """Diameter of a solid round wire of an American wire gauge.

    Parameters
    ----------
    gauge : Count
        Gauge number, -3 (4/0) to 40. [-]
    size_36 : FineMetre
        Diameter of 36 AWG, 0.127 mm by definition. [m]

    Returns
    -------
    FineMetre
        Diameter of the bare metal. [m]

    Raises
    ------
    RangeError
        If the gauge lies outside the sizes named above.

    References
    ----------
    .. [1] ASTM B258: 36 AWG is 0.0050 in, each size up 92**(1/39) larger.
    """
    if not -3 <= gauge <= 40:
        raise RangeError("gauge", gauge, "-3 (4/0) to 40")
    return size_36 * 92 ** ((36 - gauge) / 39)  # type: ignore[no-any-return]  # float ** float


def round_diameter(area: ConductorArea) -> FineMetre:
    """Diameter of a round bar of this area.

    Parameters
    ----------
    area : ConductorArea
        Area of the metal. [m²]

    Returns
    -------
    FineMetre
        Diameter. [m]

    References
    ----------
    .. [1] Area of a circle.
    """
    return (4 * area / math.pi) ** 0.5  # type: ignore[no-any-return]  # float ** float


@lru_cache(maxsize=1024)
def resistance_per_metre(area: ConductorArea, build: str) -> OhmPerMetre:
    """Greatest resistance a metre of one copper conductor at 20 °C.

    Parameters
    ----------
    area : ConductorArea
        Standard metric area, or the area of an even gauge from 4 to 30 AWG. [m²]
    build : str
        `flexible class 5`, `bare solid` or `solid insulated`. [-]

    Returns
    -------
    OhmPerMetre
        The standard's limit, not the ideal of resistivity over area. [ohm/m]

    Raises
    ------
    RangeError
        If the area is no size that the tables hold.

    References
    ----------
    .. [1] IEC 60228 tables 1 and 3, plain copper; DIN VDE 0295 below 0.5 mm²; AWG sizes by
       ASTM B258 and the resistivity of copper, stranded ones 2 % more (from memory).
    """
    table = tables.conductor_resistances(_build(build))
    for size, resistance in table.items():
        if math.isclose(area, size, rel_tol=1e-6):
            return resistance
    for gauge in GAUGES:
        # 2 %: a builder writes 0.82 mm² for 18 AWG; no metric size lies that near.
        if math.isclose(area, awg_area(gauge), rel_tol=0.02):
            ideal = COPPER / min(area, awg_area(gauge))
            return ideal * (STRANDING if _build(build) == "flexible" else 1)
    known = ", ".join(f"{size * 1e6:g}" for size in table)
    raise RangeError("area in mm²", area * 1e6, f"the {build} sizes {known} mm² and 4 to 30 AWG")


def ampacity(area: ConductorArea, insulation_temperature: Celsius, ambient: Celsius) -> Ampere:
    """Current that a single insulated copper conductor carries for good.

    From 18 AWG up by table; below that by a heat balance, which is an estimate. An area between
    two gauges gets the smaller one's current, an insulation between two columns the cooler one's.

    Parameters
    ----------
    area : ConductorArea
        Area of the copper. [m²]
    insulation_temperature : Celsius
        Greatest temperature of the insulation, 60 °C and more. [K]
    ambient : Celsius
        Warmest air around it. [K]

    Returns
    -------
    Ampere
        Ampacity. [A]

    Raises
    ------
    RangeError
        If a value lies outside the table, or the air is as hot as the insulation may be.

    References
    ----------
    .. [1] 33 CFR 183.425 table 5, single conductor, ambient 30 °C; other ambients by
       √((T − ambient)/(T − 30 °C)), which gives the regulation's own 50 °C factors.
    .. [2] Below 18 AWG: heat balance of the bare wire in free air, an estimate.
    """
    if ambient >= insulation_temperature:
        raise RangeError("ambient in °C", ambient - 273.15, "below the insulation's temperature")
    if not is_estimated(area):
        return _tabled_ampacity(area, insulation_temperature, ambient)
    estimate = _estimated_ampacity(area, insulation_temperature, ambient)
    if insulation_temperature < 333.15:
        return estimate
    # A thinner wire never carries more than the table's thinnest.
    smallest = _tabled_ampacity(awg_area(18), insulation_temperature, ambient)
    return min(estimate, smallest * math.sqrt(area / awg_area(18)))


def _tabled_ampacity(area: float, insulation_temperature: float, ambient: float) -> float:
    if area > awg_area(4) * 1.02:
        raise RangeError("area in mm²", area * 1e6, "up to 21.15 mm² (4 AWG)")
    row = next(
        row
        for gauge, row in sorted(tables.boat_ampacities().items())
        if area >= awg_area(gauge) * 0.98
    )
    column = max((t for t in row if t <= insulation_temperature + 0.01), default=0.0)
    if not column:
        accepted = "60 °C and more (33 CFR 183.425 table 5)"
        raise RangeError("insulation_temperature in °C", insulation_temperature - 273.15, accepted)
    if ambient >= column:
        raise RangeError("ambient in °C", ambient - 273.15, f"below {column - 273.15:g} °C")
    return row[column] * math.sqrt(min(1.0, (column - ambient) / (column - 303.15)))


def is_estimated(area: float) -> bool:
    """Whether the ampacity of this area is an estimate: below 18 AWG no table is held. [-]."""
    return area < awg_area(18) * 0.98


def free_air_current(
    diameter: FineMetre,
    rise: Kelvin,
    coefficient: WattPerSquareMetreKelvin,
    resistance_per_metre: OhmPerMetre,
) -> Ampere:
    """Current that warms a single bare wire in free air by a given rise: an estimate.

    Parameters
    ----------
    diameter : FineMetre
        Diameter of the bare wire. [m]
    rise : Kelvin
        Wire over air. [K]
    coefficient : WattPerSquareMetreKelvin
        Heat transfer at its surface. [W/(m²·K)]
    resistance_per_metre : OhmPerMetre
        Resistance when hot. [ohm/m]

    Returns
    -------
    Ampere
        Current at which heat made equals heat given off. [A]

    Raises
    ------
    RangeError
        If the resistance is not above zero or the rise is below zero.

    References
    ----------
    .. [1] Heat balance of a metre of wire: I² R = h π d ΔT.
    """
    if resistance_per_metre <= 0:
        raise RangeError("resistance_per_metre", resistance_per_metre, "above 0 Ω/m")
    if rise < 0:
        raise RangeError("rise", rise, "0 K and more")
    return (coefficient * math.pi * diameter * rise / resistance_per_metre) ** 0.5  # type: ignore[no-any-return]  # float ** float


@lru_cache(maxsize=1024)
def next_size(area: ConductorArea) -> ConductorArea:
    """Smallest standard metric size that is not below an area.

    Parameters
    ----------
    area : ConductorArea
        Least area. [m²]

    Returns
    -------
    ConductorArea
        Standard size. [m²]

    Raises
    ------
    RangeError
        If the table ends below it.

    References
    ----------
    .. [1] Sizes of IEC 60228 and, below 0.5 mm², DIN VDE 0295.
    """
    for size in standard_areas():
        if size >= area * (1 - 1e-6):
            return size
    raise RangeError("area in mm²", area * 1e6, f"up to {standard_areas()[-1] * 1e6:g} mm²")


def sleeve_bore(area: ConductorArea, insulated: bool) -> FineMetre:
    """Bore of the 2 to 1 heat-shrink sleeve for a wire, before it shrinks.

    Parameters
    ----------
    area : ConductorArea
        Area of the metal. [m²]
    insulated : bool
        Whether the wire has its insulation; a bare one is taken as solid.

    Returns
    -------
    FineMetre
        The smallest bore that is sold and slips over the wire easily. [m]

    Raises
    ------
    RangeError
        If none that is sold is wide enough.

    References
    ----------
    .. [1] Bores and room: common practice, no source. Insulation: EN 50525-2-31, from memory.
    """
    wide = round_diameter(area)
    if insulated:
        wide = wide / FILL**0.5 + 2 * WALLS[area > 0.49e-6]
    for bore in SLEEVES:
        if bore >= wide * SLEEVE_ROOM:
            return bore
    raise RangeError("area in mm²", area * 1e6, "a wire that a sleeve is sold for")


def standard_areas() -> tuple[float, ...]:
    """The standard metric conductor areas, smallest first. [m²]."""
    return tables.standard_sizes()


def _build(build: str) -> str:
    if build not in _BUILDS:
        raise ValueError(f"unknown build {build!r}, accepted: {', '.join(_BUILDS)}")
    return _BUILDS[build]


def _estimated_ampacity(area: float, hottest: float, ambient: float) -> float:
    # Bare diameter, no radiation, stranded resistance: all three err on the safe side.
    diameter, film = round_diameter(area), (hottest + ambient) / 2
    rise = hottest - ambient
    nusselt = convection.churchill_chu_cylinder(
        air.rayleigh(diameter, rise, film), air.prandtl(film)
    )
    hot = 1.131 * COPPER / area * (1 + COPPER_COEFFICIENT * (hottest - 293.15))
    return free_air_current(diameter, rise, nusselt * air.conductivity(film) / diameter, hot)
