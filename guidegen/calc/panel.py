"""Steady temperatures of a lit panel: a heated board, with or without a cover, in still air."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from guidegen.calc import air, convection
from guidegen.calc.numeric import root
from guidegen.calc.radiation import radiation_coefficient
from guidegen.errors import RangeError
from guidegen.kinds import (
    Celsius,
    Degree,
    FineMetre,
    Metre,
    Ratio,
    WattPerMetreKelvin,
    WattPerSquareMetre,
    WattPerSquareMetreKelvin,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """What a panel's temperatures rest on: board, faces, cover, position, air."""

    heat_flux: WattPerSquareMetre
    """Heat made at the tape plane, over the area of the board. [W/m²]"""
    width: Metre
    """Width of the board. [m]"""
    height: Metre
    """Height of the board, along its slope. [m]"""
    tilt: Degree
    """Light's axis below the horizontal: 0 sideways, 90° down, -90° up. [rad]"""
    ambient: Celsius
    """Still air and the walls around. [K]"""
    board_thickness: FineMetre
    """Thickness of the board. [m]"""
    board_conductivity: WattPerMetreKelvin
    """Its thermal conductivity. [W/(m·K)]"""
    front_emissivity: Ratio
    """Emissivity of the lit face, tape and board. [-]"""
    back_emissivity: Ratio
    """Emissivity of the back. [-]"""
    cover_gap: FineMetre = 0.0
    """Air between tape and cover; 0 where there is no cover. [m]"""
    cover_thickness: FineMetre = 0.003
    """Thickness of the cover. [m]"""
    cover_conductivity: WattPerMetreKelvin = 0.2
    """Its thermal conductivity. [W/(m·K)]"""
    cover_emissivity: Ratio = 0.9
    """Emissivity of both faces of the cover. [-]"""
    film_factor: Ratio = 1.0
    """Multiplies the convection at both outer faces; 1 ± 0.2 by the scatter of correlations.
    [-]"""


@dataclass(frozen=True, slots=True)
class PanelTemperatures:
    """Steady state of a panel."""

    tape_face: float
    """Mean temperature of the lit face at the tape plane. [K]"""
    board_back: float
    """Mean temperature of the back. [K]"""
    cover_outer: float
    """Mean temperature of the cover's outer face; the lit face itself without a cover. [K]"""
    front_flux: float
    """Heat that leaves through the front. [W/m²]"""
    back_flux: float
    """Heat that leaves through the back. [W/m²]"""


@lru_cache(maxsize=1024)
def panel_temperatures(panel: Panel) -> PanelTemperatures:
    """Steady state of a board with an optional cover, heated evenly at the tape plane.

    Parameters
    ----------
    panel : Panel
        Board, faces, cover, position, air.

    Returns
    -------
    PanelTemperatures
        Temperatures, and the heat that leaves each side.

    Raises
    ------
    RangeError
        If a size, the heat or the factor is out of range.

    References
    ----------
    .. [1] Heat balance. Outer faces: Churchill and Chu 1975, McAdams, and the radiation of grey
       surfaces. Air gap: ISO 15099, 5.3.3 (clause from memory).
    """
    _check(panel)
    ambient = panel.ambient
    resistance = panel.board_thickness / panel.board_conductivity

    def state(back: float) -> PanelTemperatures:
        flux = _face_flux(panel, back, -panel.tilt, panel.back_emissivity)
        face = back + flux * resistance
        outer = _cover_outer(panel, face) if panel.cover_gap else face
        emissivity = panel.cover_emissivity if panel.cover_gap else panel.front_emissivity
        front = _face_flux(panel, outer, panel.tilt, emissivity)
        return PanelTemperatures(face, back, outer, front, flux)

    def surplus(back: float) -> float:
        found = state(back)
        return found.front_flux + found.back_flux - panel.heat_flux

    return state(root(surplus, ambient, ambient + panel.heat_flux / 12 + 1e-6))


def _cover_outer(panel: Panel, face: float) -> float:
    """Outer temperature of the cover over a face of known temperature."""
    resistance = panel.cover_thickness / panel.cover_conductivity

    def surplus(outer: float) -> float:
        flux = _face_flux(panel, outer, panel.tilt, panel.cover_emissivity)
        return flux - _gap_flux(panel, face, outer + flux * resistance)

    if face <= panel.ambient:
        return panel.ambient
    return root(surplus, panel.ambient, face)


def _face_flux(panel: Panel, surface: float, lean: float, emissivity: float) -> float:
    """Heat that an outer face gives to air and walls by convection and radiation. [W/m²]."""
    rise = surface - panel.ambient
    if rise <= 0:
        return 0.0
    short = panel.width * panel.height / (2 * (panel.width + panel.height))
    film = convection.plate_coefficient(
        panel.height, short, lean, rise, (surface + panel.ambient) / 2
    )
    radiated = radiation_coefficient(emissivity, surface, panel.ambient)
    return (panel.film_factor * film + radiated) * rise


def _gap_flux(panel: Panel, hot: float, cold: float) -> float:
    """Heat that crosses the air gap by convection and radiation; below zero if `cold` is hotter."""
    rise, mean = hot - cold, (hot + cold) / 2
    drive = air.rayleigh(panel.cover_gap, max(rise, 0.0), mean)
    nusselt = convection.gap_nusselt(drive, panel.height / panel.cover_gap, panel.tilt)
    emissivity = 1 / (1 / panel.front_emissivity + 1 / panel.cover_emissivity - 1)
    convected = nusselt * air.conductivity(mean) / panel.cover_gap
    return (convected + radiation_coefficient(emissivity, hot, cold)) * rise


def _check(panel: Panel) -> None:
    for name in ("width", "height", "board_conductivity", "film_factor", "cover_conductivity"):
        if getattr(panel, name) <= 0:
            raise RangeError(name, getattr(panel, name), "above 0")
    for name in ("heat_flux", "board_thickness", "cover_gap", "cover_thickness"):
        if getattr(panel, name) < 0:
            raise RangeError(name, getattr(panel, name), "0 and more")
    for name in ("front_emissivity", "back_emissivity", "cover_emissivity"):
        if not 0 < getattr(panel, name) <= 1:
            raise RangeError(name, getattr(panel, name), "above 0, up to 1")


def tape_face_temperature(**panel: float) -> Celsius:
    """Mean temperature of the lit face at the tape plane.

    Parameters
    ----------
    **panel : float
        The fields of `Panel`, in SI.

    Returns
    -------
    Celsius
        Mean of the face, between the rows and under them; see `spreading_rise`. [K]

    Raises
    ------
    RangeError
        If a size, the heat or a factor is out of range.

    References
    ----------
    .. [1] Heat balance of board and cover. Outer faces: Churchill and Chu 1975, McAdams, and the
       radiation of grey surfaces. Air gap: ISO 15099, 5.3.3 (clause from memory).
    """
    state = panel_temperatures(Panel(**panel))
    return state.tape_face


def board_back_temperature(**panel: float) -> Celsius:
    """Mean temperature of the board's back.

    Parameters
    ----------
    **panel : float
        The fields of `Panel`, in SI.

    Returns
    -------
    Celsius
        Temperature that a hand meets there. [K]

    Raises
    ------
    RangeError
        If a size, the heat or a factor is out of range.

    References
    ----------
    .. [1] Heat balance of board and cover. Outer faces: Churchill and Chu 1975, McAdams, and the
       radiation of grey surfaces. Air gap: ISO 15099, 5.3.3 (clause from memory).
    """
    state = panel_temperatures(Panel(**panel))
    return state.board_back


def cover_temperature(**panel: float) -> Celsius:
    """Mean temperature of the cover's outer face.

    Parameters
    ----------
    **panel : float
        The fields of `Panel`, in SI.

    Returns
    -------
    Celsius
        Temperature that a hand meets there; of the lit face where there is no cover. [K]

    Raises
    ------
    RangeError
        If a size, the heat or a factor is out of range.

    References
    ----------
    .. [1] Heat balance of board and cover. Outer faces: Churchill and Chu 1975, McAdams, and the
       radiation of grey surfaces. Air gap: ISO 15099, 5.3.3 (clause from memory).
    """
    state = panel_temperatures(Panel(**panel))
    return state.cover_outer


def front_film(**panel: float) -> WattPerSquareMetreKelvin:
    """Heat that leaves the front for each kelvin of the lit face over the air.

    Parameters
    ----------
    **panel : float
        The fields of `Panel`, in SI.

    Returns
    -------
    WattPerSquareMetreKelvin
        Coefficient from the tape plane, through a cover if there is one, to the air. [W/(m²·K)]

    Raises
    ------
    RangeError
        If a size, the heat or a factor is out of range.

    References
    ----------
    .. [1] Heat balance of board and cover. Outer faces: Churchill and Chu 1975, McAdams, and the
       radiation of grey surfaces. Air gap: ISO 15099, 5.3.3 (clause from memory).
    """
    state = _lit(panel)
    return state.front_flux / (state.tape_face - panel["ambient"])


def back_film(**panel: float) -> WattPerSquareMetreKelvin:
    """Heat that leaves the back for each kelvin of the back over the air.

    Parameters
    ----------
    **panel : float
        The fields of `Panel`, in SI.

    Returns
    -------
    WattPerSquareMetreKelvin
        Coefficient at the back. [W/(m²·K)]

    Raises
    ------
    RangeError
        If a size, the heat or a factor is out of range.

    References
    ----------
    .. [1] Heat balance of board and cover. Outer faces: Churchill and Chu 1975, McAdams, and the
       radiation of grey surfaces. Air gap: ISO 15099, 5.3.3 (clause from memory).
    """
    state = _lit(panel)
    return state.back_flux / (state.board_back - panel["ambient"])


def _lit(panel: dict[str, float]) -> PanelTemperatures:
    """The state of a panel that makes heat: without any, a coefficient means nothing."""
    if panel["heat_flux"] <= 0:
        raise RangeError("heat_flux", panel["heat_flux"], "above 0 W/m²")
    return panel_temperatures(Panel(**panel))
