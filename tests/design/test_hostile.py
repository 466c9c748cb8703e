"""Absurd but readable specs: a finding or a sentence, never a traceback."""

from __future__ import annotations

import functools
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from guidegen.content.files import search_path
from guidegen.design import Design, settle
from guidegen.errors import GuidegenError
from guidegen.folders import folder
from guidegen.guide import make
from guidegen.guide.make import WalkError
from guidegen.guide.sentences import Sentences
from guidegen.publish.figures import drawings
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.spec.model import Fixture
from guidegen.values import finite

AUTO_BOARD = {"body.board.width": "auto", "body.board.height": "auto"}
HOSTILE: dict[str, dict[str, str]] = {
    "one row of one increment": {"rows.1.count": "1", "rows.1.length": "25 mm", **AUTO_BOARD},
    "row shorter than an increment": {"rows.1.length": "20 mm", **AUTO_BOARD},
    "200 rows": {"rows.1.count": "200", **AUTO_BOARD},
    "200 rows on the board for twelve": {"rows.1.count": "200"},
    "row of 10 m": {"rows.1.length": "10 m", "rows.1.count": "1", **AUTO_BOARD},
    "board smaller than the rows": {"body.board.width": "200 mm", "body.board.height": "50 mm"},
    "board as small as it can be written": {"body.board.width": "20 mm",
                                            "body.board.height": "20 mm"},
    "no room for a length": {"rows.1.length": "auto", "body.board.width": "40 mm"},
    "no room for a row": {"rows.1.count": "auto", "body.board.height": "20 mm"},
    "thin lead": {"chain.lead.size": "0.05 mm²"},
    "thin everything": {"chain.lead.size": "0.05 mm²", "chain.feed.size": "0.05 mm²",
                        "wiring.jumpers.size": "0.05 mm²", "wiring.rails.size": "0.05 mm²"},
    "thick everything": {"chain.lead.size": "35 mm²", "chain.feed.size": "35 mm²",
                         "wiring.jumpers.size": "35 mm²", "wiring.rails.size": "35 mm²"},
    "odd conductor size": {"chain.lead.size": "0.6 mm²"},
    "lead of 30 m": {"chain.lead.length": "30 m", "chain.lead.size": "auto"},
    "5 V tape on 19 V": {"rows.1.tape": "tape-5v-7w-cri80", "making.stock": "[]",
                         "chain.regulator.output": "3.5 V to 4.9 V ± 0.1 V"},
    "5 V tape at 11.8 V": {"rows.1.tape": "tape-5v-7w-cri80", "making.stock": "[]"},
    "5 V tape straight on 19 V": {"rows.1.tape": "tape-5v-7w-cri80", "making.stock": "[]",
                                  "chain.regulator": "none"},
    "24 V tape on 19 V": {"rows.1.tape": "tape-24v-10w-cri90", "making.stock": "[]",
                          "chain.regulator.output": "16 V to 24 V"},
    "dark tape": {"chain.regulator.output": "5 V to 7 V"},
    "almost dark tape": {"chain.regulator.output": "8 V to 8.6 V"},
    "exactly at the threshold": {"chain.regulator.output": "8 V to 8.55 V"},
    "100 000 lx": {"light.target": "100000 lx"},
    "100 000 lx with rows to choose": {"light.target": "100000 lx", "rows.1.count": "auto",
                                       **AUTO_BOARD},
    "light at 5 cm": {"light.placed": "[{side: front, angle: 0 °, distance: 50 mm}]"},
    "light along the field": {"light.placed": "[{side: left, angle: 89 °, distance: 0.3 m}]"},
    "ambient 60 °C": {"use.ambient": "50 °C to 60 °C"},
    "ambient of frost": {"use.ambient": "-20 °C to 0 °C"},
    "facing straight up": {"use.faces": "up"},
    "facing straight down": {"use.faces": "down"},
    "pitch of 2 mm": {"rows.1.pitch": "2 mm"},
    "pitch of 1 m": {"rows.1.pitch": "1 m", **AUTO_BOARD},
    "output below the reference": {"chain.regulator.output": "0.6 V to 11.8 V ± 0.2 V"},
    "output from nearly the same to the same": {"chain.regulator.output": "11.7 V to 11.8 V"},
    "tolerance wider than the output": {"chain.regulator.output": "7.5 V ± 7 V to 11.8 V ± 5 V"},
    "track of 10 Mohm": {"chain.regulator.control.track": "10 Mohm"},
    "track of 100 ohm, nothing across": {"chain.regulator.control.track": "100 ohm",
                                         "chain.regulator.control.across_resistor": "none"},
    "resistor across of 1 ohm": {"chain.regulator.control.across_resistor": "1 ohm"},
    "end resistor of 10 Mohm": {"chain.regulator.control.end_resistor": "10 Mohm"},
    "no resistors in the lower leg": {
        "chain.regulator.control": "{joins: in place of fixed resistor, end_resistor: none,"
                                   " across_resistor: none}"},
    "current limit of 10 mA": {"chain.regulator.current_limit": "10 mA"},
    "current limit of 100 A": {"chain.regulator.current_limit": "100 A"},
    "no current limit": {"chain.regulator.current_limit": "none"},
    "fuse of 32 mA": {"chain.fuse.rating": "32 mA"},
    "fuse of 80 A": {"chain.fuse.rating": "80 A"},
    "fuse between the ratings": {"chain.fuse.rating": "3.3 A"},
    "adapter of 1 W": {"supplies.1": "{adapter: {like: adapter-19v-65w, power: 1 W}}"},
    "adapter of 60 V": {"supplies.1": "{adapter: {like: adapter-19v-65w, voltage: 60 V}}"},
    "adapter of 1 V": {"supplies.1": "{adapter: {like: adapter-19v-65w, voltage: 1 V}}"},
    "battery whose window stands on its head": {
        "supplies.1": "{battery: {like: li-ion-4s-5ah, full_voltage: 10 V, empty_voltage: 16 V}}"},
    "battery that cuts off when full": {"supplies.1": "{battery: li-ion-4s-5ah}",
                                        "chain.cut_off": "built in",
                                        "chain.cut_off.trips_at": "17 V"},
    "built-in cut-off without a voltage": {"supplies.1": "{battery: li-ion-4s-5ah}",
                                           "chain.cut_off": "built in"},
    "cover at 1 mm": {"body.cover.gap": "1 mm"},
    "cover at 300 mm": {"body.cover.gap": "300 mm"},
    "cover that lets 1 % through": {
        "body.cover.sheet": "{like: acrylic-opal, transmittance: 1 %}"},
    "cover of aluminium": {"body.cover.sheet": "aluminium"},
    "cover of MDF": {"body.cover.sheet": "mdf"},
    "board of 50 mm": {"body.board.thickness": "50 mm"},
    "board of copper": {"body.board.sheet": "{like: aluminium, conductivity: 400 W/(m K)}"},
    "board that insulates": {"body.board.sheet": "{like: mdf, conductivity: 0.01 W/(m K)}"},
    "mirror-bright everything": {"body.board.sheet": "{like: aluminium, emissivity: 0.02}",
                                 "body.cover": "(left out)"},
    "box larger than the board": {"body.enclosure.width": "1 m", "body.enclosure.height": "1 m"},
    "box smaller than the regulator": {"body.enclosure.width": "30 mm",
                                       "body.enclosure.height": "30 mm",
                                       "body.enclosure.depth": "20 mm"},
    "box of 1 m": {"body.enclosure.depth": "1 m"},
    "handle longer than the board": {"body.handles": "[{edges: [top, bottom], length: 5 m}]"},
    "handle shorter than its blocks": {
        "body.handles": "[{length: 80 mm, blocks: 6, block: plywood, layers: 6}]"},
    "own piece as large as the board, on the rows": {
        "body.pieces": "[{piece: lid, sheet: mdf, width: 360 mm, height: 210 mm, side: front}]"},
    "own piece of 5 m": {"body.pieces": "[{piece: boom, sheet: mdf, width: 5 m, height: 5 m,"
                                        " fixed_by: glue and screws}]"},
    "own hole beyond the board": {
        "body.board.holes": "[{across: 5 m from left, up: 5 m from top, diameter: 500 mm}]"},
    "box of 20 mm beside the light": {
        "body.enclosure": "{sheet: mdf, side: separate, width: 20 mm, height: 20 mm,"
                          " depth: 20 mm}"},
    "400 copies": {"making.copies": "400"},
    "sheet that holds nothing": {
        "making.stock": "[{sheet: mdf, thickness: 9 mm, width: 20 mm, length: 20 mm}]"},
    "kerf of 10 mm": {"making.kerf": "10 mm"},
    "reel shorter than a row": {
        "making.stock": "[{tape: tape-12v-10w-cri95, length: 100 mm}]"},
    "tape of one LED a group of 24": {
        "rows.1.tape": "{like: tape-12v-10w-cri95, leds_per_group: 24}"},
    "tape of 60 W/m": {"rows.1.tape": "{like: tape-12v-10w-cri95, power: 60 W/m}"},
    "tape with a bad track": {
        "rows.1.tape": "{like: tape-12v-10w-cri95, track_resistance: 2 ohm/m}"},
    "tape wider than the board": {"rows.1.tape": "{like: tape-12v-10w-cri95, width: 50 mm}"},
    "regulator without efficiency": {
        "chain.regulator": "{like: step-down-36v-8a, efficiency: 20 %}"},
    "regulator with a trimmer of 1 ohm": {
        "chain.regulator": "{like: step-down-36v-8a, trimmer: 1 ohm}"},
    "regulator with a reference of 10 V": {
        "chain.regulator": "{like: step-down-36v-8a, reference: 10 V}"},
    "fan of 5 A": {"auxiliaries": "[{fan: {like: fan-12v-40mm, current: 5 A}}]"},
    "fan of 1 V": {
        "auxiliaries": "[{fan: {like: fan-12v-40mm, voltage: 1 V, highest_voltage: 1 V}}]"},
    "fan of 60 V": {
        "auxiliaries": "[{fan: {like: fan-12v-40mm, voltage: 60 V, lowest_voltage: 60 V}}]"},
    "fan as large as a box": {"auxiliaries": "[{fan: {like: fan-12v-40mm, width: 200 mm}}]"},
    "fan with a resistor of 10 kohm": {
        "auxiliaries": "[{fan: fan-12v-40mm, fed_after: fuse, dropper: 10 kohm}]"},
    "step-up regulator above its output": {"chain.regulator": "step-up-60v-10a"},
    "step-up regulator that loses everything": {
        "supplies.1": "{battery: lifepo4-4s-20ah}",
        "rows.1.tape": "tape-24v-14w-cri90",
        "chain.regulator": "{like: step-up-60v-10a, efficiency: 20 %, dropout: 10 V}",
        "chain.regulator.output": "15 V to 24 V"},
    "battery with all that may stay at it, twice as long": {
        "supplies.1": "{battery: li-ion-6s-5ah}",
        "supplies.1.chain": "[{lead: twin-flex, length: 30 m}, {switch: auto}, {fuse: auto},"
                            " {cut_off: cut-off-12v-20a}, {lead: twin-flex, length: 30 m}]",
        "chain.fuse": "none", "chain.switch": "none"},
    "everything left to the design": {
        "rows.1": "{tape: tape-12v-10w-cri95}", "chain": "[]", "supplies.1": "{adapter: auto}",
        "body": "{board: {sheet: plywood}}", "making": "{copies: 1}", "limits": "{}",
        "light": "{}", "use": "{}", "wiring": "{}"},
    "nothing that fits in the catalogue": {
        "rows.1.count": "200", "rows.1.length": "5 m", "supplies.1": "{adapter: auto}",
        "chain": "[{regulator: auto, output: 8 V to 12 V}]", **AUTO_BOARD},
}  # fmt: skip


#: Hundreds of sheets to draw.
SLOW = ("400 copies",)
#: A guide is made of one in so many, and figures are drawn for one in so many.
MADE, DRAWN = 3, 6


def sentences(design: Design) -> list[str]:
    speaker = Sentences(search_path(), plain=True)
    return [speaker.say(finding).text for finding in design.findings]


def sound(design: Design) -> None:
    """What a design must be, however absurd: words for each finding, numbers that can be shown."""
    said = sentences(design)
    assert said
    assert [text for text in said if len(text) < 12 or "None" in text] == []
    assert [value.name for value in design.values.values() if not finite(value)] == []
    assert design.complete or design.stops


def accepted(fixture: Fixture, change: dict[str, str]) -> tuple[Fixture | None, str]:
    """The changed fixture, or what the reader says against it."""
    try:
        return changed(fixture, change), ""
    except GuidegenError as error:
        return None, str(error)


@pytest.mark.parametrize("name", HOSTILE)
def test_it_is_judged_in_words(name: str, demo: Fixture) -> None:
    fixture, refusal = accepted(demo, HOSTILE[name])
    if fixture is None:
        assert "Accepted" in refusal or "missing" in refusal
        return
    number = list(HOSTILE).index(name)
    design = settle(fixture, mends=number % MADE != 0)
    sound(design)
    if design.complete and name not in SLOW and number % MADE == 0:
        try:
            make(design, search_path(), drawings if number % DRAWN == 0 else lambda d, s: {})
        except WalkError:
            # Only a fixture that must not be built has steps that can't be followed.
            assert design.stops


def test_the_absurd_is_not_taken_for_sound(demo: Fixture) -> None:
    """Most of these must not be built; those that hold after all are named here."""
    harmless = []
    for name, change in HOSTILE.items():
        fixture, _ = accepted(demo, change)
        if fixture is not None and not settle(fixture, mends=False).stops:
            harmless.append(name)
    assert len(harmless) < len(HOSTILE) / 2, harmless


def _change(draw: Any, path: str, texts: list[str]) -> dict[str, str]:
    text = draw(st.sampled_from(["", *texts]))
    return {path: text} if text else {}


CHOICES = {
    "rows.1.tape": ["tape-5v-7w-cri80", "tape-12v-5w-cri80", "tape-12v-14w-cri80",
                    "tape-24v-10w-cri90", "tape-24v-14w-cri90"],
    "rows.1.count": ["auto", "1", "2", "3", "7", "25", "60"],
    "rows.1.length": ["auto", "50 mm", "400 mm", "1.2 m", "3 m"],
    "rows.1.pitch": ["auto", "8 mm", "12 mm", "40 mm"],
    "rows.1.fed_from": ["left end", "right end", "both ends", "auto"],
    "rows.1.positive_at": ["right"],
    "wiring.rails.conductor": ["hook-up", "enamelled-copper", "hook-up-flex"],
    "wiring.rails.size": ["auto", "0.5 mm²", "4 mm²"],
    "wiring.rails.fed_at": ["end", "middle"],
    "wiring.jumpers.conductor": ["bare-copper", "hook-up-flex"],
    "supplies.1": ["{adapter: auto}", "{adapter: adapter-12v-36w}", "{adapter: adapter-24v-120w}",
                   "{battery: lifepo4-4s-20ah}", "{battery: li-ion-6s-5ah}", "{battery: auto}",
                   "{battery: lead-acid-12v-7ah, chain: [{fuse: fuse-blade-58v}]}",
                   "{battery: lifepo4-4s-20ah, chain: [{fuse: fuse-blade-58v}, {lead: auto}]}"],
    "chain.connector": ["auto", "none", "connector-shrouded-30a"],
    "chain.lead": ["auto", "none", "hook-up-flex"],
    "chain.lead.size": ["auto", "0.5 mm²", "2.5 mm²"],
    "chain.fuse": ["auto", "none", "fuse-blade-58v"],
    "chain.fuse.rating": ["auto", "10 A"],
    "chain.switch": ["auto", "none", "switch-dc-20a"],
    "chain.cut_off": ["auto", "cut-off-12v-20a"],
    "chain.regulator": ["auto", "none", "step-down-35v-3a", "step-down-60v-8a",
                        "step-up-60v-10a"],
    "auxiliaries": ["[{fan: fan-12v-40mm}]", "[{fan: fan-12v-40mm, fed_after: connector}]"],
    "chain.regulator.current_limit": ["none", "2 A"],
    "chain.regulator.control.joins": ["auto", "in place of trimmer", "in place of fixed resistor"],
    "chain.regulator.control.track": ["auto", "1 kohm", "100 kohm"],
    "chain.regulator.control.end_resistor": ["auto", "none", "1 kohm"],
    "chain.regulator.control.across_resistor": ["none", "2.2 kohm"],
    "chain.regulator.control.raises": ["anticlockwise"],
    "chain.feed.size": ["auto", "2.5 mm²"],
    "body.board.sheet": ["plywood", "aluminium", "acrylic-clear"],
    "body.board.thickness": ["auto", "3 mm"],
    "body.board.width": ["auto", "200 mm", "1.5 m"],
    "body.board.height": ["auto", "100 mm", "1 m"],
    "body.border": ["(left out)", "{sheet: mdf}", "{bar: aluminium-flat-20x2}"],
    "body.cover": ["(left out)", "{sheet: acrylic-clear}", "{sheet: acrylic-opal, gap: 40 mm}"],
    "body.enclosure": ["(left out)", "{sheet: aluminium}", "{sheet: plywood, depth: 60 mm}"],
    "body.mount": ["(left out)", "{insert: insert-three-eighths-16, edge: top}"],
    "body.finish": ["(left out)", "{coat: varnish-clear, when: after wiring}"],
    "use.faces": ["up", "down", "sideways"],
    "use.ambient": ["5 °C to 45 °C"],
    "light.target": ["(left out)", "500 lx", "20000 lx"],
    "light.field": ["(left out)"],
    "making.copies": ["1", "2", "30"],
    "making.stock": ["[]"],
    "guide.region": ["elsewhere", "united kingdom", "north america", "australia"],
}  # fmt: skip


@functools.cache
def spec() -> Fixture:
    """The demonstration spec; as an argument it would be printed with every example."""
    return load(folder("templates").parent / "specs" / "herbarium-copy-light.yaml")


@st.composite
def changes(draw: Any) -> dict[str, str]:
    """Up to seven legal values, anywhere in the spec."""
    paths = draw(st.lists(st.sampled_from(sorted(CHOICES)), max_size=7, unique=True))
    found: dict[str, str] = {}
    # In the order of the table: a part before its figures.
    for path in sorted(paths, key=list(CHOICES).index):
        found |= _change(draw, path, CHOICES[path])
    return found


@settings(max_examples=40, derandomize=True, deadline=None, database=None,
          suppress_health_check=[HealthCheck.too_slow])  # fmt: skip
@given(changes())
def test_any_mixture_of_legal_values_is_judged(change: dict[str, str]) -> None:
    fixture, refusal = accepted(spec(), change)
    if fixture is None:
        assert len(refusal) > 20
        return
    sound(settle(fixture, mends=False))
