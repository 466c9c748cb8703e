"""Which contact of a connector is the positive one."""

from __future__ import annotations

from typing import Any

from guidegen.design.model import Part
from guidegen.design.parts import all_stages, part_of
from guidegen.spec.parts import catalogue_part
from guidegen.spec.stages import ConnectorStage


def positive_contact(design: Any, part: Part) -> str:
    """The contact that carries +, as the data sheet names it; empty where it does not say.

    Parameters
    ----------
    design : Design
        Its fixture names the connector; a design without one takes the catalogue's word.
    part : Part
        The connector.
    """
    fixture = getattr(design, "fixture", None)
    stages = all_stages(fixture) if fixture is not None else ()
    for stage in stages:
        if isinstance(stage, ConnectorStage) and part_of(stage).key == part.key:
            return part_of(stage).words.get("positive", "")
    try:
        return catalogue_part(part.key).words.get("positive", "")
    except KeyError:
        return ""
