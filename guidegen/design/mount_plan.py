"""How much of the board's back the mount takes, from the spec alone."""

from __future__ import annotations

from guidegen.spec.mount import Layer, Mount
from guidegen.spec.quantities import given_or_within
from guidegen.values import Given

#: Of a block whose spec leaves them out: along the edge, and the other side of the face that the
#: thread of a block of layers opens in. [m].
WIDTH, HEIGHT = 0.06, 0.04


def thickness(layer: Layer) -> Given:
    """Of one layer: as the spec says, or the thinnest in which its sheet is sold."""
    asked = layer.thickness
    return asked if isinstance(asked, Given) else layer.sheet.thicknesses[0]


def height(mount: Mount) -> float:
    """Of a block of layers, the other side of the face that its thread opens in. [m]."""
    return given_or_within(mount.height, HEIGHT)


def up(mount: Mount) -> float:
    """What it takes of the board's height. [m]."""
    if not mount.layers:
        return mount.block["width"].si
    if mount.thread_faces == "back":
        return height(mount)
    return sum(thickness(layer).si for layer in mount.layers)
