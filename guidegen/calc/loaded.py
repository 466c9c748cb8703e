"""What the drops of wires, joints and tracks leave of a light's current: readings at the bench."""

from __future__ import annotations

from guidegen.errors import RangeError
from guidegen.kinds import (
    Ampere,
    Count,
    FineAmpere,
    LongMetre,
    MilliOhm,
    MilliVolt,
    OhmPerMetre,
    Percent,
    Ratio,
    SupplyVolt,
    Volt,
    Watt,
)


def pole_drop(
    *,
    feed: MilliVolt,
    rail: MilliVolt,
    jumper: MilliVolt,
    mean_share: Ratio,
    feed_current: Ampere,
    jumper_current: Ampere,
    joint: MilliOhm,
) -> MilliVolt:
    """Voltage lost on one pole from the module to the pad of a row, joints included.

    Parameters
    ----------
    feed : MilliVolt
        Drop of both cores of the feed. [V]
    rail : MilliVolt
        Greatest drop along one rail. [V]
    jumper : MilliVolt
        Drop of both jumpers of a row. [V]
    mean_share : Ratio
        Mean over the rows as a share of the rail's greatest drop. [-]
    feed_current : Ampere
        Current of one core of the feed. [A]
    jumper_current : Ampere
        Current of one jumper. [A]
    joint : MilliOhm
        Resistance of one joint; each conductor has two. [ohm]

    Returns
    -------
    MilliVolt
        Drop, the mean of all rows. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law and Ohm's law.
    """
    return feed / 2 + jumper / 2 + rail * mean_share + 2 * joint * (feed_current + jumper_current)


def side_drop(
    *,
    current: Ampere,
    link: OhmPerMetre,
    length: LongMetre,
    links: Count,
    joints: Count,
    joint: MilliOhm,
    contacts: Count,
    contact: MilliOhm,
) -> MilliVolt:
    """Voltage lost from the connector to the module or the feed, leads and fuse apart.

    Parameters
    ----------
    current : Ampere
        Current. [A]
    link : OhmPerMetre
        Resistance of the wires between parts. [ohm/m]
    length : LongMetre
        Length of each. [m]
    links : Count
        Their number, both poles together. [-]
    joints : Count
        Ends of these wires and of the leads. [-]
    joint : MilliOhm
        Resistance of one joint. [ohm]
    contacts : Count
        Contacts in switch and cut-off. [-]
    contact : MilliOhm
        Resistance of one. [ohm]

    Returns
    -------
    MilliVolt
        Drop. [V]

    References
    ----------
    .. [1] Ohm's law; resistances in series add up.
    """
    return current * (link * length * links + joint * joints + contact * contacts)


def supply_side_drop(leads: MilliVolt, side: MilliVolt, fuse: MilliVolt) -> MilliVolt:
    """Voltage lost from the connector to the module or the feed.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return leads + side + fuse


def side_pole_drop(leads: MilliVolt, side: MilliVolt, fuse: MilliVolt) -> MilliVolt:
    """Voltage lost on one pole from the connector to the module.

    Parameters
    ----------
    leads : MilliVolt
        Drop of the leads, both poles together. [V]
    side : MilliVolt
        Of all else on this pole, the fuse apart. [V]
    fuse : MilliVolt
        Of the fuse, where it lies on this pole. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law; both cores of a lead lose the same.
    """
    return leads / 2 + side + fuse


def hop_drop(
    *,
    current: Ampere,
    piece: MilliOhm,
    joint: MilliOhm,
    contact: MilliOhm,
    fuse: MilliVolt,
) -> MilliVolt:
    """Greatest voltage that one piece of a sound way loses: a wire, or a part with a contact.

    Parameters
    ----------
    current : Ampere
        Current. [A]
    piece : MilliOhm
        Copper of the longest wire. [ohm]
    joint : MilliOhm
        The most that a sound joint has; a wire has one at each end. [ohm]
    contact : MilliOhm
        The most that a sound contact has. [ohm]
    fuse : MilliVolt
        Lost in the fuse and its holder at this current. [V]

    Returns
    -------
    MilliVolt
        Drop. [V]

    References
    ----------
    .. [1] Ohm's law; resistances in series add up.
    """
    return max(current * (piece + 2 * joint), current * contact, fuse)


def link_drop(
    current: Ampere, resistance_per_metre: OhmPerMetre, length: LongMetre, joint: MilliOhm
) -> MilliVolt:
    """Voltage lost in two wires between two modules, joints included.

    References
    ----------
    .. [1] Ohm's law; two wires of two joints each.
    """
    return 2 * current * (resistance_per_metre * length + 2 * joint)


def mean_drop(
    before: MilliVolt,
    stage: MilliVolt,
    link: MilliVolt,
    pole: MilliVolt,
    row: MilliVolt,
    mean_share: Ratio,
) -> MilliVolt:
    """Voltage lost before the LEDs, the mean of all groups.

    Parameters
    ----------
    before : MilliVolt
        Lost in the leads, where no regulator makes up for it. [V]
    stage : MilliVolt
        Lost in a pulse-width stage. [V]
    link : MilliVolt
        Lost in the wires to it. [V]
    pole : MilliVolt
        Lost on one pole from the module to a row. [V]
    row : MilliVolt
        Greatest drop along a row, both tracks together. [V]
    mean_share : Ratio
        Mean along the row as a share of it. [-]

    Returns
    -------
    MilliVolt
        Drop. [V]

    References
    ----------
    .. [1] Kirchhoff's voltage law; both poles lose the same.
    """
    return before + stage + link + 2 * pole + row * mean_share


def lowered_current(current: Ampere, drop: MilliVolt, voltage: Volt, tangent: Volt) -> FineAmpere:
    """Current of tape behind resistances that lose so much at the current without them.

    Parameters
    ----------
    current : Ampere
        Current at the full voltage. [A]
    drop : MilliVolt
        What this current would lose. [V]
    voltage : Volt
        The full voltage. [V]
    tangent : Volt
        Where the tangent to the tape's line of current over voltage meets no current. [V]

    Returns
    -------
    FineAmpere
        Current with the drops. [A]

    Raises
    ------
    RangeError
        If the tangent lies above the voltage.

    References
    ----------
    .. [1] Along its tangent tape is a resistance behind a voltage, and the resistances before it
       are in series with that.
    """
    if voltage <= tangent:
        raise RangeError("voltage", voltage, f"above {tangent:g} V")
    return current / (1 + drop / (voltage - tangent))


def regulated_power(voltage: Volt, current: Ampere, idle: Ampere, efficiency: Percent) -> Watt:
    """Power that a regulator takes for tape and what idles beside it.

    References
    ----------
    .. [1] Definition of efficiency.
    """
    if efficiency <= 0:
        raise RangeError("efficiency", efficiency, "above 0")
    return voltage * (current + idle) / efficiency


def drawn_through(power: Watt, voltage: SupplyVolt, drop: MilliVolt, at: Ampere) -> FineAmpere:
    """Current of a regulator that takes a steady power at the end of a lead.

    Parameters
    ----------
    power : Watt
        What it takes. [W]
    voltage : SupplyVolt
        Of the supply. [V]
    drop : MilliVolt
        What the lead loses at a known current. [V]
    at : Ampere
        That current. [A]

    Returns
    -------
    FineAmpere
        Current. [A]

    Raises
    ------
    RangeError
        If the lead can't carry the power at any current.

    References
    ----------
    .. [1] Power = (voltage − resistance × current) × current, solved for the smaller current.
    """
    if 4 * power * drop > at * voltage**2:
        raise RangeError("power", power, "what the lead can carry")
    return 2 * power / (voltage + (voltage**2 - 4 * power * drop / at) ** 0.5)  # type: ignore[no-any-return]  # float ** float


def with_beside(current: Ampere, beside: Ampere) -> FineAmpere:
    """Current of the light and of what hangs beside it on the supply.

    References
    ----------
    .. [1] Kirchhoff's current law.
    """
    return current + beside


def way_drop(
    *,
    current: Ampere,
    copper: MilliOhm,
    joints: Count,
    joint: MilliOhm,
    contacts: Count,
    contact: MilliOhm,
    fuse: MilliVolt,
) -> MilliVolt:
    """Voltage lost on both poles from the supply to a part, joints, contacts and fuse included.

    Parameters
    ----------
    current : Ampere
        Current. [A]
    copper : MilliOhm
        Resistance of all wires and boards on the way. [ohm]
    joints : Count
        Ends of these wires. [-]
    joint : MilliOhm
        Resistance of one. [ohm]
    contacts : Count
        Contacts of connectors, switches and cut-offs. [-]
    contact : MilliOhm
        Resistance of one. [ohm]
    fuse : MilliVolt
        Lost in the fuse at this current. [V]

    Returns
    -------
    MilliVolt
        Drop. [V]

    References
    ----------
    .. [1] Ohm's law; resistances in series add up.
    """
    return current * (copper + joint * joints + contact * contacts) + fuse


def left_at(voltage: SupplyVolt, drop: MilliVolt) -> SupplyVolt:
    """Voltage behind a drop.

    References
    ----------
    .. [1] Kirchhoff's voltage law.
    """
    return voltage - drop
