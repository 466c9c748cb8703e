"""What joints, contacts and fuses add to a way: project defaults, each in one place."""

from __future__ import annotations

from guidegen.design.result import Desk
from guidegen.kinds import MilliOhm, MilliVolt
from guidegen.values import Value

#: Of one soldered, screwed or plugged joint, and of a contact in a switch, connector or cut-off.
#: [ohm].
JOINT, CONTACT = 0.005, 0.010
#: The most that a sound contact has. [ohm].
CONTACT_MOST = 2 * CONTACT
#: Half of what sound joints differ by. [ohm].
JOINT_SPREAD = 0.003
JOINT_SOURCE = "project default; 2 mΩ to 8 mΩ from memory"
#: What a fuse loses at its rating. [V].
FUSE_DROP = 0.1
FUSE_SOURCE = "from memory: small fuses lose 0.1 V to 0.2 V at their rating"


def joint(desk: Desk) -> Value:
    """Of one joint, wherever it is first asked for. [ohm]."""
    return desk.once("joint.resistance", MilliOhm, JOINT, JOINT_SOURCE, JOINT_SPREAD)


def contact(desk: Desk) -> Value:
    """Of one contact. [ohm]."""
    return desk.once("contact.resistance", MilliOhm, CONTACT, "project default")


def fuse_drop(desk: Desk) -> Value:
    """What a fuse loses at its rating. [V]."""
    return desk.once("fuse.own_drop", MilliVolt, FUSE_DROP, FUSE_SOURCE)
