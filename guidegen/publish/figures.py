"""All figures of a guide: those of the design, and one for each step that asks for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from guidegen.design.model import Conductor, Part, owner
from guidegen.design.result import Design
from guidegen.diagrams.figures import (
    SCREWS,
    Figure,
    Probed,
    Setup,
    calibration,
    draw,
    lead_refs,
    lead_step,
    side_of,
    step_figure,
)
from guidegen.guide.step import Step


def drawings(design: Design, steps: Sequence[Step]) -> Mapping[str, Figure]:
    """Draw everything.

    Parameters
    ----------
    design : Design
        Settled.
    steps : sequence of Step
        In working order; each knows what it puts in place.
    """
    found = draw(design)
    known = set(design.model.refs())
    # What lies on nothing is in place as soon as it is cut: the board, the bottom of a box.
    bases = {part.ref for part in design.model.parts if not part.on}
    there: set[str] = set()
    lead = lead_refs(design.model)
    for step in steps:
        put = {ref for ref in _puts(step, design) if ref in known}
        # A step that puts nothing in place shows what it handles: it lies there no sooner for that.
        new = put or {ref for act in step.acts for ref in act.refs if ref in known}
        # A strip of tape has no place of its own: the rail that it covers shows it.
        put |= _under(put, design)
        picture = _picture(step, design, (put, new), there, lead)
        if picture is not None:
            found[picture.name] = picture
        there |= put | {ref for act in step.acts if act.verb == "cuts" for ref in act.refs
                        if ref in bases}  # fmt: skip
    setups = [setup for step in steps if step.stage == "power" for setup in _setups(step)]
    return {**found, **calibration(design, setups)} if setups else found


def _picture(
    step: Step,
    design: Design,
    put_new: tuple[set[str], set[str]],
    there: set[str],
    at_battery: set[str],
) -> Figure | None:
    """The picture of one step: where it puts something, else where it reads."""
    (put, new), name = put_new, f"step-{step.id}"
    if step.shows is not None:
        # Small parts that the step fits are told with what it shows.
        wanted = {ref for ref in new if _role(ref, design) in step.shows.new
                  or (ref in put and ref[:1] == "H")} or new  # fmt: skip
        wanted |= _under(wanted, design)
        view = _view(step.shows.view, wanted, design)
    else:
        wanted = put
        joints = {joint.ref: joint.terminal for joint in design.model.joints}
        joined = {owner(joints[ref]) for act in step.acts for ref in act.joints}
        view = _sides(put, design) or _side(put | joined, design)
    probes = _probes(step)
    if _on_lead(design, wanted, (probes, there), at_battery):
        return lead_step(design, name, wanted, probes)
    if step.shows is not None or _drawable(put, design):
        return step_figure(design, name, wanted, there - wanted, view)
    if probes := _placed(probes, design, there):
        # Where nothing is put in place, the picture shows where the probes go.
        read = {owner(key) for one in probes for key in (one.red, one.black)} & there
        return step_figure(design, name, read, there - read, _side(read, design), probes)
    return None


def _on_lead(
    design: Design, new: set[str], reads: tuple[list[Probed], set[str]], lead: set[str]
) -> bool:
    """Whether a step works on nothing but the lead at the battery."""
    probes, there = reads
    fixed = {part.ref for part in design.model.parts if part.on}
    handled = {ref for ref in new if ref[:1] not in "UH"}
    ends = {key for wire in design.model.conductors if wire.ref in lead
            for key in (wire.start, wire.end)}  # fmt: skip
    read = {key for one in probes for key in (one.red, one.black)}
    # Before the lead is made its supply may be read, which is no reading on the lead.
    works = handled or (read and lead & there)
    return bool(works) and handled <= lead - fixed and read <= ends


def _under(put: set[str], design: Design) -> set[str]:
    """The rails that new parts without a place lie on."""
    hosts = {part.on for part in design.model.parts if part.ref in put and part.box is None}
    return hosts & {rail.ref for rail in design.model.by_role("rail")}


def _drawable(put: set[str], design: Design) -> bool:
    """Whether anything of it has a place that a picture can show."""
    places = {terminal.key: terminal.at for terminal in design.model.terminals}
    parts = any(part.ref in put and part.box is not None for part in design.model.parts)
    return parts or any(
        wire.ref in put and places[wire.start] and places[wire.end]
        for wire in design.model.conductors
    )


def _probes(step: Step) -> list[Probed]:
    """The first pair of probes of each reading by meter."""
    return [
        Probed(reading.number, *reading.probes[0], SOCKET.get(reading.instrument, ""))
        for reading in step.reads
        if reading.probes and not reading.absent and reading.instrument in DIAL
    ]


def _placed(probes: Sequence[Probed], design: Design, there: set[str]) -> list[Probed]:
    """Those of which at least one is held on what is in its place."""
    placed = {terminal.key for terminal in design.model.terminals
              if terminal.at and design.model.part(terminal.part).on
              and terminal.part in there}  # fmt: skip
    return [one for one in probes if {one.red, one.black} & placed]


def _side(refs: set[str], design: Design) -> str:
    """The side on which the parts among these lie; the front where they lie on both."""
    placed = [part for part in design.model.parts if part.ref in refs and part.box is not None]
    return "back" if placed and all(part.side == "back" for part in placed) else "front"


def _sides(put: set[str], design: Design) -> str:
    """`both` where a step fits parts on both sides; else empty."""
    fitted = [part for part in design.model.parts if part.ref in put and part.on]
    sides = {side_of(design.model, part) for part in fitted}
    return "both" if len(sides) > 1 and any(part.box for part in fitted) else ""


def _view(asked: str, new: set[str], design: Design) -> str:
    """The side that a step is drawn from: that of its new parts, or of what its wires begin at."""
    if asked != "auto":
        return asked
    ends = {owner(w.end) for w in design.model.conductors if w.ref in new}
    return _side(new | ends, design)


def _puts(step: Step, design: Design) -> set[str]:
    """What the step fits or joins; what it only cuts lies on the bench."""
    joints = {joint.ref: joint.conductor for joint in design.model.joints}
    return {
        ref for act in step.acts
        for ref in (*(act.refs if act.verb == "fits" else ()), *(joints[j] for j in act.joints))
    }  # fmt: skip


def _role(ref: str, design: Design) -> str:
    things: tuple[Part | Conductor, ...] = (*design.model.parts, *design.model.conductors)
    return next((thing.role for thing in things if thing.ref == ref), "")


def _setups(step: Step) -> list[Setup]:
    """A set-up picture of the place where a calibration holds its probes."""
    if step.id not in CALIBRATIONS:
        return []
    name, load = CALIBRATIONS[step.id]
    adjust = [_turned(act.refs[0]) for act in step.acts
              if act.verb == "sets" and act.refs and act.to in ("design", "high")]  # fmt: skip
    # The bench supply's own display has no probes.
    first = next(one for one in step.reads if one.probes and one.instrument in ("volts", "short"))
    (red, black), mode = first.probes[0], first.instrument
    turned = ", ".join(dict.fromkeys(adjust)) or "voltage of the bench supply"
    return [Setup(step.goal, red, black, DIAL[mode], load, turned, SOCKET.get(mode, ""), name)]


def _turned(ref: str) -> str:
    """`trimmer of T1`, `control R1`: as the steps call it."""
    part, _, inside = ref.partition(".")
    return f"{SCREWS[inside]} of {part}" if inside else f"control {part}"


#: What the meter's dial says, by instrument.
DIAL = {"volts": "V DC", "mv": "mV DC", "ohms": "Ω", "short": "A DC"}
#: The meter's socket for the red lead, where it is not that of voltage and resistance.
SOCKET = {"short": "10 A"}
#: Steps that have a procedure on the calibration page: its name there, and the load.
CALIBRATIONS = {
    "upper-end-set": ("upper-end", "rows not joined"),
    "fixed-output-set": ("upper-end", "rows not joined"),
    "lower-end-read": ("control", "rows not joined"),
    "dimmer-joints-scanned": ("control", "rows joined"),
    "limit-set": ("current-limit", "rows not joined"),
    "cut-off-tested": ("cut-off", "rows not joined"),
    "supply-cut-off-tested": ("cut-off", "battery not joined"),
}
