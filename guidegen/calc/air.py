"""Properties of air at one atmosphere."""

from __future__ import annotations

from math import exp, log, sqrt

from guidegen.calc import tables

#: Standard acceleration of gravity, by definition. [m/s²]
GRAVITY = 9.80665

_AIR = tables.air()
_LN10 = log(10)


def conductivity(temperature: float) -> float:
    """Thermal conductivity of air. [W/(m·K)].

    Parameters
    ----------
    temperature : float
        Temperature of the air. [K]

    References
    ----------
    .. [1] US Standard Atmosphere 1976, eq. 53.
    """
    return (
        _AIR["conductivity_factor"]
        * temperature
        * sqrt(temperature)
        / (temperature + _AIR["conductivity_constant"] * exp(-12 / temperature * _LN10))
    )


def viscosity(temperature: float) -> float:
    """Kinematic viscosity of air at one atmosphere. [m²/s].

    Parameters
    ----------
    temperature : float
        Temperature of the air. [K]

    References
    ----------
    .. [1] US Standard Atmosphere 1976, eq. 51 (Sutherland), over the density of an ideal gas.
    """
    return (
        _AIR["viscosity_factor"]
        * temperature**2
        * sqrt(temperature)
        / (temperature + _AIR["sutherland_constant"])
        * _AIR["gas_constant"]
        / _AIR["pressure"]
    )


def density(temperature: float) -> float:
    """Density of air at one atmosphere. [kg/m³].

    Parameters
    ----------
    temperature : float
        Temperature of the air. [K]

    References
    ----------
    .. [1] Ideal gas.
    """
    return _AIR["pressure"] / (_AIR["gas_constant"] * temperature)


def diffusivity(temperature: float) -> float:
    """Thermal diffusivity of air at one atmosphere. [m²/s].

    Parameters
    ----------
    temperature : float
        Temperature of the air. [K]

    References
    ----------
    .. [1] Definition: conductivity over density and heat capacity.
    """
    return conductivity(temperature) / (density(temperature) * _AIR["heat_capacity"])


def prandtl(temperature: float) -> float:
    """Prandtl number of air. [-].

    Parameters
    ----------
    temperature : float
        Temperature of the air. [K]

    References
    ----------
    .. [1] Definition: kinematic viscosity over thermal diffusivity.
    """
    return viscosity(temperature) / diffusivity(temperature)


def rayleigh(size: float, rise: float, film: float, gravity: float = GRAVITY) -> float:
    """Rayleigh number of air at a surface or across a layer. [-].

    Parameters
    ----------
    size : float
        Characteristic length. [m]
    rise : float
        Difference of temperature, above zero. [K]
    film : float
        Temperature that the air's properties are taken at. [K]
    gravity : float
        Acceleration along the surface. [m/s²]

    References
    ----------
    .. [1] Definition; expansion coefficient of an ideal gas, 1/T.
    """
    return gravity * rise * size**3 / (film * viscosity(film) * diffusivity(film))
