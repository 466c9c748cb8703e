"""What the supply side gives at full light: to the rows, and to what hangs on a regulator."""

from __future__ import annotations

from guidegen.design.result import Desk
from guidegen.values import Value


def load_power(desk: Desk) -> Value:
    """Power of the rows, and of the stage before them."""
    return desk["load.power" if "load.power" in desk else "panel.power"]


def given_power(desk: Desk) -> Value:
    """Power that the regulator gives, what hangs on its output included."""
    return desk["output.power"] if "output.power" in desk else load_power(desk)


def given_current(desk: Desk, most: bool = False) -> Value:
    """Current that the regulator gives, what hangs on its output included.

    Parameters
    ----------
    desk : Desk
        Behind the currents of rows and fan.
    most : bool
        With the greatest current of what hangs there; else with its usual one.
    """
    name = "output.highest_current" if most else "output.current"
    return desk[name if name in desk else "panel.current"]


def rated_current(desk: Desk, at_input: bool) -> Value:
    """What stands against a regulator's rating, of its input or of its output.

    What the supply itself feeds takes nothing of the module's own input.
    """
    if not at_input:
        return given_current(desk, most=True)
    alone = "light_alone.highest_current"
    return desk[alone if alone in desk else "input.highest_current"]
