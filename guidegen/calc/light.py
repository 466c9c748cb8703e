"""Light of a panel: flux, luminance, illuminance on the axis and over a field, exposure."""

from __future__ import annotations

from math import atan, pi
from typing import Annotated

from guidegen.calc.field import (
    LitPanel,
    cover_ripple,
    field_centre,
    field_evenness,
    field_illuminance,
    nine_point_evenness,
    nine_point_greatest,
    placed,
)
from guidegen.errors import RangeError
from guidegen.kinds import (
    CandelaPerSquareMetre,
    Count,
    Kind,
    Lumen,
    LumenPerMetre,
    Lux,
    Metre,
    Percent,
    Ratio,
    Second,
    SquareMetre,
)

__all__ = [
    "LitPanel",
    "LuxSecond",
    "centre_illuminance",
    "cover_ripple",
    "emitted_flux",
    "exposure_illuminance",
    "field_centre",
    "field_evenness",
    "field_illuminance",
    "nine_point_evenness",
    "nine_point_greatest",
    "panel_luminance",
    "placed",
    "shutter_time",
]

#: Kind of an exposure meter's calibration constant.
LuxSecond = Annotated[float, Kind("lx*s", shown="lx·s", trim=True)]


def emitted_flux(
    flux_per_metre: LumenPerMetre, length: Metre, ratio: Ratio, transmittance: Percent
) -> Lumen:
    """Luminous flux that leaves a panel.

    Parameters
    ----------
    flux_per_metre : LumenPerMetre
        Rated flux of the tape. [lm/m]
    length : Metre
        Length of all rows together. [m]
    ratio : Ratio
        Light as a share of the rated light. [-]
    transmittance : Percent
        Share that the cover lets through; 1 without a cover. [-]

    Returns
    -------
    Lumen
        Flux. [lm]

    Raises
    ------
    RangeError
        If the transmittance is not between 0 and 1.

    References
    ----------
    .. [1] Definition; light that the cover sends back is taken as lost.
    """
    if not 0 <= transmittance <= 1:
        raise RangeError("transmittance", transmittance, "0 to 1")
    return flux_per_metre * length * ratio * transmittance


def panel_luminance(flux: Lumen, area: SquareMetre) -> CandelaPerSquareMetre:
    """Luminance of a panel that shines alike in all directions.

    Parameters
    ----------
    flux : Lumen
        Flux that leaves it. [lm]
    area : SquareMetre
        Lit area. [m²]

    Returns
    -------
    CandelaPerSquareMetre
        Luminance. [cd/m²]

    Raises
    ------
    RangeError
        If the area is not above zero.

    References
    ----------
    .. [1] Lambert: flux is π times the luminance times the area.
    """
    if area <= 0:
        raise RangeError("area", area, "above 0 m²")
    return flux / (pi * area)


def centre_illuminance(
    luminance: CandelaPerSquareMetre, width: Metre, height: Metre, distance: Metre
) -> Lux:
    """Illuminance on the axis of a rectangular panel, on a plane parallel to it.

    Parameters
    ----------
    luminance : CandelaPerSquareMetre
        Luminance of the panel, alike in all directions. [cd/m²]
    width : Metre
        Lit width. [m]
    height : Metre
        Lit height. [m]
    distance : Metre
        Panel to plane. [m]

    Returns
    -------
    Lux
        Illuminance. [lx]

    Raises
    ------
    RangeError
        If the distance or a size is not above zero.

    References
    ----------
    .. [1] Lambertian rectangle below its corner, taken four times.
    """
    if distance <= 0:
        raise RangeError("distance", distance, "above 0 m")
    if width <= 0:
        raise RangeError("width", width, "above 0 m")
    if height <= 0:
        raise RangeError("height", height, "above 0 m")
    return (  # type: ignore[no-any-return]  # float ** float
        2
        * luminance
        * (
            width
            / (width**2 + 4 * distance**2) ** 0.5
            * atan(height / (width**2 + 4 * distance**2) ** 0.5)
            + height
            / (height**2 + 4 * distance**2) ** 0.5
            * atan(width / (height**2 + 4 * distance**2) ** 0.5)
        )
    )


def exposure_illuminance(
    aperture: Ratio, shutter: Second, sensitivity: Count, constant: LuxSecond
) -> Lux:
    """Illuminance that an exposure needs.

    Parameters
    ----------
    aperture : Ratio
        f-number. [-]
    shutter : Second
        Exposure time. [s]
    sensitivity : Count
        ISO speed. [-]
    constant : LuxSecond
        Incident-light calibration constant: 250 for a flat receptor. [lx·s]

    Returns
    -------
    Lux
        Illuminance. [lx]

    Raises
    ------
    RangeError
        If the time or the speed is not above zero.

    References
    ----------
    .. [1] ISO 2720: N²/t = E S/C; C 240 to 400 for a flat receptor.
    """
    if shutter <= 0:
        raise RangeError("shutter", shutter, "above 0 s")
    if sensitivity <= 0:
        raise RangeError("sensitivity", sensitivity, "above 0")
    return constant * aperture**2 / (shutter * sensitivity)


def shutter_time(
    aperture: Ratio, illuminance: Lux, sensitivity: Count, constant: LuxSecond
) -> Second:
    """Exposure time that an illuminance allows.

    Parameters
    ----------
    aperture : Ratio
        f-number. [-]
    illuminance : Lux
        Illuminance on the subject. [lx]
    sensitivity : Count
        ISO speed. [-]
    constant : LuxSecond
        Incident-light calibration constant: 250 for a flat receptor. [lx·s]

    Returns
    -------
    Second
        Exposure time. [s]

    Raises
    ------
    RangeError
        If the illuminance or the speed is not above zero.

    References
    ----------
    .. [1] ISO 2720: N²/t = E S/C; C 240 to 400 for a flat receptor.
    """
    if illuminance <= 0:
        raise RangeError("illuminance", illuminance, "above 0 lx")
    if sensitivity <= 0:
        raise RangeError("sensitivity", sensitivity, "above 0")
    return constant * aperture**2 / (illuminance * sensitivity)


def accepted_evenness(computed: Percent, allowance: Percent) -> Percent:
    """Least evenness that is accepted where the spec wants none.

    Parameters
    ----------
    computed : Percent
        As computed for the points that are read. [-]
    allowance : Percent
        For the places of lights and meter, and the meter's linearity. [-]

    References
    ----------
    .. [1] Definition.
    """
    return computed * (1 - allowance)
