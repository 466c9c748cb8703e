"""What a builder is told: every slip with its place, in exact words."""

import time
from collections.abc import Callable

import pytest

Faults = Callable[[str | bytes], list[str]]

SIX_SLIPS = """\
fixture:
  name: Shelf light
light:
  distance: 0,5 m
rows:
  - tape: tape-12v-10w-cri95
    count: 3
    lenght: 500 mm
supplies:
  - adapter: adaptor-15v-30w
  - mains: 230 V
chain:
  - fuse: auto
    switch: auto
  - lead: twin-flex
    size: 0.75 mm
  - regulator: auto
    output: 8 V to 11.5 V
body:
  board: {sheet: plywood}
"""


def test_six_slips_at_once(faults: Faults) -> None:
    assert faults(SIX_SLIPS) == [
        "shelf-light.yaml:4:13: light.distance: '0,5 m' is not a length. Accepted: a number with a"
        " point, then mm, cm, m, in or ft, such as '0.7 m'. Did you mean '0.5 m'?",
        "shelf-light.yaml:8:5: rows.1: unknown key 'lenght'. Accepted: tape, count, length, pitch,"
        " fed_from, feed_point, stagger, positive_at. Did you mean 'length'?",
        "shelf-light.yaml:10:14: supplies.adapter: no adapter 'adaptor-15v-30w' in catalogue, own"
        " parts file or 'parts'. Accepted: a part's key such as 'adapter-12v-36w', its figures."
        " Did you mean 'adapter-15v-30w'?",
        "shelf-light.yaml:11:5: supplies.mains: 'mains' is refused: a guide starts at the"
        " low-voltage side of an approved adapter.",
        "shelf-light.yaml:14:5: chain.fuse: 'switch' does not belong to a fuse. A dash begins each"
        " item: '- switch: auto'.",
        "shelf-light.yaml:16:11: chain.lead.size: '0.75 mm' is a length, and a conductor's size is"
        " an area. Accepted: a number with a point, then mm², mm2 or AWG, or auto, such as"
        " '0.75 mm²'. Did you mean '0.75 mm²'?",
    ]


#: A slip each, put below the short spec; the caret marks the place that must be named.
BELOW = [
    ("‸ligt: {}",
     "unknown key 'ligt'. Accepted: fixture, revisions, use, light, rows, panels, wiring, "
     "supplies, chain, auxiliaries, body, parts, measured, making, limits, guide. Did you mean "
     "'light'?"),
    ("‸buying: {}",
     "'buying' is not in this version. Accepted: fixture, revisions, use, light, rows, panels, "
     "wiring, supplies, chain, auxiliaries, body, parts, measured, making, limits, guide."),
    ("‸panels: [{name: left}]",
     "panels: one panel is no list of panels. Accepted: two items, or no 'panels'."),
    ("wiring: {rails: {fed_at: ‸above row 3}}",
     "wiring.rails.fed_at: 'above row 3' is no place on a rail. Accepted: end, middle, auto, or "
     "such as 'below row 3'."),
    ("guide: {‸language: de}",
     "guide: 'language' is not in this version. Accepted: edition, region, paper, publisher."),
    ("guide: {edition: ‸class}",
     "guide.edition: edition 'class' is not in this version. Accepted: bench."),
    ("guide: {region: ‸uk}",
     "guide.region: 'uk' is not accepted here. Accepted: elsewhere, europe, united kingdom, "
     "north america, australia."),
    ("guide: {region: ‸Europe}",
     "guide.region: 'Europe' is not accepted here. Accepted: elsewhere, europe, united "
     "kingdom, north america, australia. Did you mean 'europe'?"),
    ("guide: ‸bench",
     "guide: a text stands here. Accepted: edition, region, paper, publisher."),
    ("guide:‸",
     "guide: nothing stands here. Accepted: edition, region, paper, publisher."),
    ("making: {copies: ‸2.5}",
     "making.copies: '2.5' is not a whole number. Accepted: a whole number without unit, "
     "such as '8'."),
    ("making: {copies: ‸[8]}",
     "making.copies: a list stands here. Accepted: a whole number without unit."),
    ("making: {copies: ‸1000000000}",
     "making.copies: '1000000000' is not a whole number. Accepted: a whole number without "
     "unit, such as '8'."),
    ("making: {copies: ‸5000}",
     "making.copies: '5000' is out of range. Accepted: 1 to 1000."),
    ("making: {copies: ‸}",
     "making.copies: nothing stands here. Accepted: a whole number without unit, such as '8'."),
    ("limits: {row_drop: ‸3}",
     "limits.row_drop: '3' is not a percentage. Accepted: a number with a point, then %, "
     "such as '3 %'."),
    ("limits: {row_drop: ‸3 V}",
     "limits.row_drop: '3 V' is a voltage, not a percentage. Accepted: a number with a "
     "point, then %, such as '3 %'."),
    ("use: {ambient: ‸30 °C to 15 °C}",
     "use.ambient: '30 °C to 15 °C' runs downward: the lower end comes first. Accepted: a "
     "number with a point, then °C, degC, °F or degF, such as '15 °C'."),
    ("use: {faces: ‸left}",
     "use.faces: 'left' is no direction. Accepted: sideways, down, up, or an angle such as "
     "'45 ° down'."),
    ("use: {faces: ‸95 ° down}",
     "use.faces: '95 °' is out of range. Accepted: 0 ° to 90 °."),
    ("use: {surroundings: [damp, ‸childrn]}",
     "use.surroundings.2: 'childrn' is not accepted here. Accepted: damp, rain, dust, "
     "rotating tools, sensitive objects, public, children, air travel, vehicle. Did you mean "
     "'children'?"),
    ("use: {surroundings: ‸damp}",
     "use.surroundings: this is no list. Accepted: a list in brackets, of: damp, rain, dust, "
     "rotating tools, sensitive objects, public, children, air travel, vehicle."),
    ("light: {exposure: {aperture: ‸8, shutter: 1/60 s, sensitivity: ISO 200}}",
     "light.exposure.aperture: '8' is not accepted here. Accepted: such as 'f/8'."),
    ("light: {‸evenness: at least 80 %}",
     "light.evenness: evenness needs a field. Accepted: 'field' with 'width' and 'height' "
     "beside it."),
    ("light: {‸field: {width: 300 mm}}",
     "light.field: 'height' is missing. Accepted: such as 'height: 300 mm'."),
    ("light: {placed: [‸{name: key light, angle: 45 °}]}",
     "light.placed.key light: 'side' is missing. Accepted: such as 'side: front'."),
    ("wiring: {colours: {positive: RD, negative: ‸RD}}",
     "wiring.colours.negative: both poles have the same colour. Accepted: two colours."),
    ("revisions: [{revision: A, date: ‸2026-02-30, change: x}]",
     "revisions.1.date: '2026-02-30' is no date. Accepted: year-month-day, such as "
     "2026-03-02."),
    ("revisions: [{revision: A, date: 2026-01-01, change: x}, {revision: B, date: "
     "‸2026-02-01, change: y}]",
     "revisions.2.date: after 2026-01-01 in the list. Accepted: the newest first."),
    ("chain: [‸fuse]",
     "chain.1: 'fuse' is no stage. An item is a kind and a part: '- fuse: auto'. Accepted: "
     "connector, lead, fuse, switch, cut_off, thermal_cut_out, regulator, pulse_width, feed. "
     "Did you mean 'fuse'?"),
    ("chain: [‸{fuze: auto}]",
     "chain.fuze: 'fuze' is no kind of stage. Accepted: connector, lead, fuse, switch, "
     "cut_off, thermal_cut_out, regulator, pulse_width, feed. Did you mean 'fuse'?"),
    ("chain: [‸{alarm: auto}]",
     "chain.alarm: 'alarm' is not in this version. Accepted: connector, lead, "
     "fuse, switch, cut_off, thermal_cut_out, regulator, pulse_width, feed."),
    ("chain: [{thermal_cut_out: ‸auto}]",
     "chain.thermal_cut_out: 'auto' can't choose a thermal cut-out. Accepted: a part's key such as "
     "'thermal-cut-out-60c'."),
    ("chain: [{thermal_cut_out: thermal-cut-out-60c, touches: ‸enclosure}]",
     "chain.thermal_cut_out.touches: the light has no box to watch. Accepted: board."),
    ("chain: [{thermal_cut_out: thermal-cut-out-60c, touches: ‸regulator}]",
     "chain.thermal_cut_out.touches: 'regulator' is not accepted here. Accepted: enclosure, board, "
     "auto."),
    ("chain: ‸{fuse: auto}",
     "chain: this is no list. Accepted: items such as '- fuse: auto'."),
    ("chain: [{feed: auto}, ‸{switch: auto}]",
     "chain.switch: a switch after the feed. The feed to the rails stands last."),
    ("chain: [{switch: auto}, ‸{connector: auto}]",
     "chain.connector: a connector stands first: what is before it stays at a battery, in that "
     "battery's own 'chain'."),
    ("chain: [{switch: auto}, ‸{switch: auto}]",
     "chain.2: a second switch is not in this version. Accepted: one."),
    ("chain: [‸{regulator: auto}]",
     "chain.regulator: 'output' is missing. Accepted: such as 'output: 8 V to 11.5 V'."),
    ("chain: [{regulator: auto, output: 12 V, ‸control: {}}]",
     "chain.regulator.control: one output voltage leaves the control nothing to move. "
     "Accepted: 'output' as a span, such as '8 V to 11.5 V'."),
    ("chain: [{regulator: auto, output: ‸8 V to 11 V, control: none}]",
     "chain.regulator.output: a span needs a control. Accepted: one voltage, or 'control'."),
    ("chain: [‸{cut_off: built in}]",
     "chain.cut_off: 'trips_at' is missing. Accepted: such as 'trips_at: 11.2 V ± 0.2 V'."),
    ("chain: [{fuse: fuse-5x20, rating: ‸3.15 V}]",
     "chain.fuse.rating: '3.15 V' is a voltage, not a current. Accepted: a number with a "
     "point, then A or mA, or auto, such as '3.15 A'."),
    ("light: {distance: ‸\"auto\"}",
     "light.distance: 'auto' is not a length. Accepted: a number with a point, then mm, cm, "
     "m, in or ft, such as '0.7 m'."),
    ("chain: [{regulator: auto, output: ‸230 V}]",
     "chain.regulator.output: '230 V' is refused: a guide starts at the low-voltage side of "
     "an approved adapter, at most 60 V."),
    ("chain: [{regulator: auto, output: ‸120 V AC}]",
     "chain.regulator.output: '120 V AC' is refused: a guide starts at the low-voltage side "
     "of an approved adapter."),
    ("chain: [‸{live: auto}]",
     "chain.live: 'live' is refused: a guide starts at the low-voltage side of an approved "
     "adapter. Accepted: connector, lead, fuse, switch, cut_off, thermal_cut_out, "
     "regulator, pulse_width, feed."),
    ("‸mains: 230 V",
     "'mains' is refused: a guide starts at the low-voltage side of an approved adapter."),
    ("chain: [{switch: ‸fuse-5x20}]",
     "chain.switch: 'fuse-5x20' is a fuse, not a switch."),
    ("parts: {own: {kind: ‸tap}}",
     "parts.own.kind: 'tap' is no kind of part. Accepted: adapter, battery, bank, negotiated,"),
    ("parts: {own: ‸{label: Own}}",
     "parts.own: 'kind' is missing. Accepted: adapter, battery, bank, negotiated,"),
    ("parts: {own: {like: ‸tape-12v}}",
     "parts.own.like: no part 'tape-12v'. Accepted: a part's key. Did you mean "
     "'tape-12v-5w-cri80'?"),
    ("parts: {own: {like: ‸own}}",
     "parts.own.like: 'like' leads back to this part. Accepted: the key of another."),
    ("parts: {own: {like: mdf, ‸emisivity: 0.9}}",
     "parts.own: unknown figure 'emisivity' of a sheet. Accepted: conductivity, density, "
     "emissivity,"),
    ("parts: {own: {like: mdf, density: ‸2 m}}",
     "parts.own.density: '2 m' is a length, not a density. Accepted: a number with a point, "
     "then kg/m³ or kg/m3, such as '750 kg/m³'."),
    ("parts: {own: {kind: switch, voltage: ‸250 V, current: 6 A}}",
     "parts.own.voltage: '250 V' is out of range. Accepted: 1 V to 150 V."),
    ("parts: {own: ‸{kind: switch, current: 6 A}}",
     "parts.own: 'voltage' is missing for a switch. Accepted: all of them, or 'like' and a "
     "part's key."),
    ("parts: {own: ‸3}",
     "parts.own: this is no part. Accepted: kind, like, figures."),
    ("making: {stock: [{tape: tape-12v-10w-cri95, length: 5 m, price: ‸22}]}",
     "making.stock.1.price: '22' is not a price. Accepted: a number and a currency's three "
     "letters, such as '22 EUR'."),
    ("making: {stock: [‸{sheet: mdf, length: 1 m}]}",
     "making.stock.1: 'width' is missing. Accepted: such as 'width: 600 mm'."),
    ("making: {stock: [‸{length: 1 m}]}",
     "making.stock.1: 'sheet', 'bar' or 'tape' is missing. Accepted: one of sheet, bar, tape."),
    ("making: {stock: [{tape: tape-12v-10w-cri95, length: 1 m, price: 1 EUR}, {bar: "
     "softwood-12x25, length: 1 m, price: ‸1 USD}]}",
     "making.stock.2.price: a second currency. Accepted: EUR, as in the first price."),
    ("chain: [{lead: auto, length: ‸'auto at least 2,5 m'}]",
     "chain.lead.length: '2,5 m' is not a length. Accepted: a number with a point,"
     " then mm, cm, m, in or ft, or auto, such as '1.5 m'. Did you mean 'auto at least 2.5 m'?"),
]  # fmt: skip


@pytest.mark.parametrize(("slip", "message"), BELOW, ids=[slip[:40] for slip, _ in BELOW])
def test_one_slip(faults: Faults, short: str, slip: str, message: str) -> None:
    before, _, after = slip.partition("‸")
    lines = faults(f"{short}{before}{after}\n")
    assert len(lines) == 1, lines
    assert lines[0].startswith(f"shelf-light.yaml:10:{len(before) + 1}: {message}")


def test_comma_in_braces(faults: Faults, short: str) -> None:
    # In braces a comma ends the value: YAML sees the key '5 m'.
    assert faults(short + "light: {distance: 2,5 m}\n") == [
        "shelf-light.yaml:10:19: light.distance: '2' is not a length. Accepted: a number with a"
        " point, then mm, cm, m, in or ft, such as '0.7 m'.",
        "shelf-light.yaml:10:21: light: '5 m' is no key: a comma ends the value before it, so write"
        " a point.",
    ]


#: A line of the short spec replaced.
INSTEAD = [
    ("  name: Shelf light\n", "  nam: Shelf light\n", [
        "1:1: fixture: 'name' is missing. Accepted: such as 'name: Shelf light'.",
        "2:3: fixture: unknown key 'nam'. Accepted: name, purpose. Did you mean 'name'?"]),
    ("  name: Shelf light\n", "  name: ''\n", [
        "2:9: fixture.name: nothing stands here. Accepted: a line of text."]),
    ("  name: Shelf light\n", f"  name: {'x' * 61}\n", [
        f"2:9: fixture.name: '{'x' * 40}…' is too long. Accepted: at most 60 characters."]),
    ("  name: Shelf light\n", '  name: "Shelf \\u202elight"\n', [
        "2:9: 'Shelf  light' holds an invisible sign that turns the writing direction."
        " Accepted: text without it."]),
    ("rows:\n  - tape: tape-12v-10w-cri95\n", "", [
        "1:1: 'rows' is missing. Accepted: a list, its first line '- tape: …'."]),
    ("  - tape: tape-12v-10w-cri95\n", "  - count: 3\n", [
        "4:5: rows.1: 'tape' is missing. Accepted: such as 'tape: tape-12v-10w-cri95'."]),
    ("  - tape: tape-12v-10w-cri95\n", "  tape: tape-12v-10w-cri95\n", [
        "4:3: rows: this is no list. Accepted: a list, its first line '- tape: …'."]),
    ("  - tape: tape-12v-10w-cri95\n",
     "  - tape: tape-12v-10w-cri95\n  - tape: tape-12v-10w-cri95\n", [
        "5:5: rows.2: a second set of rows is not in this version. Accepted: one."]),
    ("  - tape: tape-12v-10w-cri95\n", "  - tape: auto\n", [
        "4:11: rows.1.tape: 'auto' can't choose an LED tape. Accepted: a part's key such as"
        " 'tape-12v-10w-cri95'."]),
    ("  - tape: tape-12v-10w-cri95\n", "  - {tape: tape-12v-10w-cri95, length: 300 m}\n", [
        "4:40: rows.1.length: '300 m' is out of range. Accepted: 5 mm to 10 m, or auto."]),
    ("  - adapter: adapter-15v-30w\n", "  - vehicle: auto\n", [
        "6:14: supplies.vehicle: 'auto' can't choose a vehicle's socket. Accepted: a part's key"
        " such as 'vehicle-socket-12v'.",
    ]),
    ("  - adapter: adapter-15v-30w\n", "  - adapter: mains\n", [
        "6:14: supplies.adapter: 'mains' is refused: a guide starts at the low-voltage side of an"
        " approved adapter."]),
    ("  - adapter: adapter-15v-30w\n",
     "  - {adapter: auto, battery: auto}\n", [
        "6:21: supplies.adapter.battery: 'adapter' and 'battery' are both here. Accepted: one of"
        " them."]),
    ("    sheet: plywood\n", "    sheet: softwood-12x25\n", [
        "9:12: body.board.sheet: 'softwood-12x25' is a bar, not a sheet."]),
    ("    sheet: plywood\n", "    sheet: plywood\n    thickness: 5 µm\n", [
        "10:16: body.board.thickness: '5 µm' is not a length. Accepted: a number with a point, then"
        " mm, cm, m, in or ft, or auto, such as '6 mm'."]),
    ("    sheet: plywood\n", "    sheet: plywood\n  border: {height: auto}\n", [
        "10:3: body.border: 'bar' or 'sheet' is missing. Accepted: such as 'bar:"
        " softwood-12x25'."]),
    ("    sheet: plywood\n", "    sheet: plywood\n  cover: {sheet: acrylic-opal, fixed_by: glue}\n",
     ["10:42: body.cover.fixed_by: 'glue' is not accepted here. Accepted: screws, double-sided"
      " tape, auto."]),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "messages"), INSTEAD, ids=[n[:44] for _, n, _ in INSTEAD])
def test_one_line_changed(
    faults: Faults, short: str, old: str, new: str, messages: list[str]
) -> None:
    assert old in short
    lines = faults(short.replace(old, new))
    assert lines == [f"shelf-light.yaml:{message}" for message in messages]


def test_no_message_shows_the_machinery(faults: Faults, short: str) -> None:
    junk = "[1, {a: b}]"
    keys = ("use", "light", "wiring", "chain", "parts", "making", "limits", "guide", "revisions")
    for key in keys:
        for value in (junk, "x", "''", "{}", "{a: {b: c}}", "[]", "[[]]", "[{}]", "none", "auto"):
            try:
                said = "\n".join(faults(f"{short}{key}: {value}\n"))
            except pytest.fail.Exception:
                continue  # `use: {}` says nothing wrong
            for word in ("pydantic", "Value error", "Input should", "validator", "Traceback"):
                assert word not in said


def test_faults_are_told_soon(faults: Faults, short: str) -> None:
    text = short + "parts:\n" + "".join(
        f"  p{n}: {{like: mdf, figur{n}: 1}}\n" for n in range(490)
    )  # fmt: skip
    began = time.perf_counter()
    lines = faults(text)
    assert time.perf_counter() - began < 2
    assert lines[0] == "shelf-light.yaml: 490 faults; the first 200 follow."
    assert len(lines) == 201
