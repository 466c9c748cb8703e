"""What a guide counts, cuts, joins and reads adds up, whoever counts it."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from guidegen.design import settle
from guidegen.design.model import Model, owner
from guidegen.guide.model import Guide
from guidegen.guide.routes import step_ways
from guidegen.guide.routes import ways as ways_of
from guidegen.kinds import Hour, Minute, kind_of
from guidegen.road import guide_of
from guidegen.spec import load
from guidegen.spec.changes import changed
from guidegen.values import band

DEMO = Path(__file__).parents[2] / "specs" / "herbarium-copy-light.yaml"
RANGE = re.compile(r"\b([A-Z]{1,2})(\d+)(?:–|\u2009?to\u2009?| to )\1(\d+)\b")
REFERENCE = re.compile(r"\b[A-Z]{1,2}\d+\b")


#: Fixtures that count otherwise than the demonstration.
VARIATIONS: dict[str, dict[str, str]] = {
    "as it is": {},
    "one copy, fed at one end": {"making.copies": "1", "rows.1.fed_from": "left end"},
    "tape straight on the adapter": {
        "supplies.1": "{adapter: adapter-12v-60w}",
        "chain.regulator": "none",
        "chain.fuse.rating": "5 A",
        "chain.lead.size": "1 mm²",
        "chain.switch": "switch-dc-20a",
    },
    "battery, no cover, no mount": {
        "supplies.1": "{battery: lead-acid-12v-7ah, chain: [{fuse: fuse-blade-58v, rating: auto}]}",
        "chain.fuse": "none",
        "chain.cut_off": "cut-off-12v-20a",
        "body.cover": "(left out)",
        "body.mount": "(left out)",
    },
}


@pytest.fixture(scope="module", params=VARIATIONS)
def guide(request: pytest.FixtureRequest) -> Guide:
    changes = VARIATIONS[request.param]
    found = guide_of(DEMO, settle(changed(load(DEMO), changes), mends=False))
    assert isinstance(found, Guide)
    return found


@pytest.fixture(scope="module")
def model(guide: Guide) -> Model:
    return guide.design.model


@pytest.fixture(scope="module")
def record(guide: Guide) -> dict[str, Any]:
    found = json.loads(guide.data["guide.json"])
    assert isinstance(found, dict)
    return found


def page(guide: Guide, name: str) -> str:
    return next(one.markdown for one in guide.pages if one.uri == f"{name}.md")


def named_in(text: str) -> set[str]:
    """References in a text, ranges expanded: `E1–E3` names three."""
    found = set(REFERENCE.findall(text))
    for letter, first, last in RANGE.findall(text):
        found |= {f"{letter}{number}" for number in range(int(first), int(last) + 1)}
    return found


def test_ranges_are_expanded() -> None:
    assert named_in("rows E1–E3, W7; U2 to U4 of X1:+") == {
        "E1", "E2", "E3", "W7", "U2", "U3", "U4", "X1",
    }  # fmt: skip


# --- parts ------------------------------------------------------------------------------------


def test_the_steps_take_what_a_copy_has(guide: Guide, model: Model) -> None:
    taken: Counter[str] = Counter()
    for step in guide.steps:
        for use in step.takes:
            taken[use.ref] += use.count
    has = {part.ref: part.count for part in model.parts}
    has |= {wire.ref: 1 for wire in model.conductors}
    assert dict(taken) == has


def test_the_parts_table_buys_what_all_copies_need(
    guide: Guide, model: Model, record: dict[str, Any]
) -> None:
    copies = int(guide.design.values["making.copies"].si)
    lines = record["bill"]
    bought = {part.ref: part for part in model.parts if not part.made and part.role != "wiper_tie"}
    listed: Counter[str] = Counter()
    for line in lines:
        for ref in named_in(line["refs"].replace(" and ", ", ")):
            listed[ref] += 1
    assert {ref for ref, count in listed.items() if count > 1} == set(), "on two lines"
    assert set(bought) <= set(listed)
    for line in lines:
        refs = named_in(line["refs"])
        if refs and refs <= set(bought):
            each = sum(bought[ref].count for ref in refs)
            assert line["each"] == str(each), line["name"]
            spare = 0 if line["spare"] == "–" else int(line["spare"])
            assert int(line["total"].replace("\u202f", "")) == each * copies + spare, line["name"]


def test_every_made_part_and_wire_is_on_a_line(model: Model, record: dict[str, Any]) -> None:
    listed = set().union(*(named_in(line["refs"]) for line in record["bill"]))
    ties = {part.ref for part in model.parts if part.role == "wiper_tie"}
    assert set(model.refs()) - listed - ties == set()


def test_the_parts_table_names_each_step_that_needs_a_part(
    guide: Guide, model: Model, record: dict[str, Any]
) -> None:
    listed = {ref: line["steps"].split(", ") for line in record["bill"]
              for ref in named_in(line["refs"])}  # fmt: skip
    numbers = [step.number for step in guide.steps]
    at = {joint.ref: (joint.conductor, owner(joint.terminal)) for joint in model.joints}
    for step in guide.steps:
        for act in step.acts:
            done = set(act.refs) if act.verb in ("cuts", "fits") else set()
            done |= {ref for joint in act.joints for ref in at[joint]}
            for ref in done & set(listed):
                if model_role(model, ref) == "fuse" and act.verb == "joins":
                    # Its wires end on its holder, which lies there already.
                    holder = next(p.ref for p in model.parts if p.role.endswith("fuse_holder"))
                    assert step.number in listed[holder], f"{holder} in {step.id}"
                else:
                    assert step.number in listed[ref], f"{ref} in {step.id}"
        # Nothing is named before the first step of its line; a fuse is, to be left out.
        if not any(reading.holds == "as-rated" for reading in step.reads):
            for ref in named_in(step.body) & set(listed):
                first = numbers.index(listed[ref][0])
                assert (first <= numbers.index(step.number)
                        or model_role(model, ref) == "fuse"), f"{ref} in {step.id}"  # fmt: skip


def test_lugs_and_ferrules_are_told_by_size_and_add_up(guide: Guide) -> None:
    rows = [[cell.strip() for cell in line.strip("| ").split(" | ")]
            for line in page(guide, "parts").splitlines() if line.startswith("| ")]  # fmt: skip
    for name in ("battery lugs", "ferrules"):
        for row in (row for row in rows if row[0] == name):
            counts = [int(count) for count in re.findall(r"(\d+) for wire of", row[1])]
            assert sum(counts) == int(row[2]), row


def model_role(model: Model, ref: str) -> str:
    return next((part.role for part in model.parts if part.ref == ref), "wire")


# --- cutting ----------------------------------------------------------------------------------


def refs_of(piece: str, model: Model) -> list[str]:
    """The parts that a piece may become: `U8/U9 3` is one of two walls, `row 7` any row."""
    label = piece.partition(" ")[0]  # a piece that is alone has no number
    rows = [part.ref for part in model.by_role("row")]
    return rows if label == "row" else label.split("/")


def pieces_of(record: dict[str, Any]) -> list[tuple[str, list[float]]]:
    """Name and size of every piece of every plan."""
    sheets = [(piece["name"], piece["size_m"]) for work in record["cuts"]["sheets"]
              for sheet in work["sheets"] for piece in sheet["pieces"]]  # fmt: skip
    bars = [(piece["name"], [piece["length_m"]]) for work in record["cuts"]["bars"]
            for bar in work["bars"] for piece in bar["pieces"]]  # fmt: skip
    return [*sheets, *bars]


def test_every_piece_of_every_copy_has_one_place(
    guide: Guide, model: Model, record: dict[str, Any]
) -> None:
    copies = int(guide.design.values["making.copies"].si)
    names = Counter(name for name, _ in pieces_of(record))
    assert {name for name, count in names.items() if count > 1} == set()
    labels = Counter(tuple(refs_of(name, model)) for name in names)
    cut: Counter[str] = Counter()
    for refs, count in labels.items():
        assert count == len(refs) * copies, refs
        cut.update(refs)
    assert set(cut.values()) == {1}
    # Rails are cut from wire, which has no plan.
    made = {part.ref for part in model.parts if part.made and part.role != "rail"}
    assert set(cut) == made


def test_every_piece_has_the_size_of_its_part(model: Model, record: dict[str, Any]) -> None:
    for name, size in pieces_of(record):
        for ref in refs_of(name, model):
            part = model.part(ref)
            wanted = sorted(value.si for value in part.size[: len(size)])
            assert sorted(size) == pytest.approx(wanted, abs=1e-4), name  # plans count tenths of mm


def test_pieces_lie_apart_and_on_their_sheet(guide: Guide, record: dict[str, Any]) -> None:
    kerf = guide.design.values["making.kerf"].si
    snapped = {"acrylic-opal", "acrylic-clear"}
    for work in record["cuts"]["sheets"]:
        gap = 0.0 if work["material"] in snapped else kerf
        for sheet in work["sheets"]:
            boxes = [(*p["at_m"], *p["size_m"], p["name"]) for p in sheet["pieces"]]
            for i, (x, y, w, h, name) in enumerate(boxes):
                assert x + w <= sheet["size_m"][0] + 1e-9, name
                assert y + h <= sheet["size_m"][1] + 1e-9, name
                for x2, y2, w2, h2, other in boxes[i + 1 :]:
                    apart = max(x2 - x - w, x - x2 - w2, y2 - y - h, y - y2 - h2)
                    # Plans count tenths of a millimetre.
                    assert apart >= gap - 1e-4, f"{name} and {other}"


def test_bars_hold_their_pieces_and_the_saw(guide: Guide, record: dict[str, Any]) -> None:
    kerf = guide.design.values["making.kerf"].si
    tape = guide.design.fixture.rows.tape.key
    for work in record["cuts"]["bars"]:
        blade = 0.0 if work["material"] == tape else kerf
        for bar in work["bars"]:
            lengths = [piece["length_m"] for piece in bar["pieces"]]
            assert sum(lengths) + blade * (len(lengths) - 1) <= bar["length_m"] + 1e-9


# --- wiring -----------------------------------------------------------------------------------


def test_the_schedule_is_the_model(guide: Guide, model: Model) -> None:
    rows = list(csv.DictReader(io.StringIO(guide.data["connections.csv"].decode())))
    plain = {row["wire"]: (row["from"].replace("−", "-"), row["to"].replace("−", "-"),
                           row["length"]) for row in rows}  # fmt: skip
    assert len(plain) == len(rows)
    wires = {w.ref: (w.start, w.end, str(w.length)) for w in model.conductors}
    assert {ref: plain[ref] for ref in wires} == wires
    own = {joint.conductor for joint in model.joints} - set(wires)
    assert set(plain) == set(wires) | own


def test_the_schedule_names_every_joint_once_at_its_terminal(guide: Guide, model: Model) -> None:
    rows = list(csv.DictReader(io.StringIO(guide.data["connections.csv"].decode())))
    ends = (("joint 1", "from"), ("joint 2", "to"))
    found = [(row[joint], row["wire"], row[end].replace("−", "-"))
             for row in rows for joint, end in ends if row[joint]]  # fmt: skip
    assert sorted(found) == sorted((j.ref, j.conductor, j.terminal) for j in model.joints)
    lines = [line for line in page(guide, "wiring").splitlines() if re.match(r"\| [A-Z]\d", line)]
    printed = [name for line in lines for name in re.findall(r"\bJ\d+\b", line)]
    assert sorted(printed) == sorted(joint.ref for joint in model.joints)


def test_every_line_of_the_schedule_is_joined_in_its_step(guide: Guide, model: Model) -> None:
    conductor = {joint.ref: joint.conductor for joint in model.joints}
    joined: dict[str, list[str]] = {}
    for step in guide.steps:
        for act in step.acts:
            for joint in act.joints:
                numbers = joined.setdefault(conductor[joint], [])
                numbers.extend([] if step.number in numbers else [step.number])
    lines = [line for line in page(guide, "wiring").splitlines() if re.match(r"\| W\d", line)]
    assert len(lines) == len(model.conductors)
    for line in lines:
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        assert ", ".join(joined[cells[0]]) in cells, cells[0]


def words_in_figures(guide: Guide) -> dict[str, str]:
    return {
        name: " ".join([*re.findall(r">([^<>]+)</", figure.svg), figure.alt, figure.caption])
        for name, figure in guide.figures.items()
    }


def test_every_part_and_conductor_is_named_in_a_figure(guide: Guide, model: Model) -> None:
    named = set().union(*(named_in(text) for text in words_in_figures(guide).values()))
    assert set(model.refs()) - named == set()


def test_figures_name_nothing_that_is_not_there(guide: Guide, model: Model) -> None:
    """Marks on parts, such as VR1, are no references."""
    marks = {terminal.name for terminal in model.terminals} | {"VR1", "VR2"}
    for name, text in words_in_figures(guide).items():
        assert named_in(text) - set(model.refs()) - marks == set(), name


def test_every_terminal_is_named_in_a_figure(guide: Guide, model: Model) -> None:
    words = words_in_figures(guide)
    for terminal in model.terminals:
        mark = terminal.name.replace("-", "−")
        pattern = re.compile(rf"(?<![\w+−]){re.escape(mark)}(?![\w+−])")
        rail = re.search(r"taps? (\d+)–(\d+)", " ".join(words.values()))
        if terminal.name.isdigit() and rail:
            inside = int(rail[1]) <= int(terminal.name) <= int(rail[2])
            if inside and model.part(terminal.part).role == "rail":
                continue
        shown = [name for name, text in words.items()
                 if terminal.part in named_in(text) and pattern.search(text)]  # fmt: skip
        assert shown or terminal.unused, terminal.key


def test_the_spoiled_figure_is_seen(guide: Guide, model: Model) -> None:
    """Spoiled on purpose: without W1 in any figure its test fails."""
    words = {name: re.sub(r"\bW1\b", "", text) for name, text in words_in_figures(guide).items()}
    named = set().union(*(named_in(text) for text in words.values()))
    assert set(model.refs()) - named == {"W1"}


# --- steps, checks, cautions --------------------------------------------------------------------


def table(text: str, heading: str) -> list[list[str]]:
    """Rows of the first table below a heading."""
    below = text.partition(heading)[2].splitlines()
    rows: list[list[str]] = []
    for line in below:
        if line.startswith("|"):
            rows.append([cell.strip() for cell in line.strip("|").split("|")])
        elif rows:
            break
    return rows[2:]


def test_the_record_page_has_every_reading_of_the_steps(
    guide: Guide, record: dict[str, Any]
) -> None:
    rows = table(page(guide, "record"), "## Readings")
    number = {step["id"]: step["number"] for step in record["steps"]}
    assert [row[0] for row in rows] == [number[check["step"]] for check in record["checks"]]
    readings = [one for step in guide.steps for one in step.reads if not one.absent]
    assert len(rows) == len(readings) == len(record["checks"])
    for row, check, one in zip(rows, record["checks"], readings, strict=True):
        alone = {"joined": ("–", one.target), "open": (one.target, "–"),
                 "not-short": (one.target, "–")}.get(one.holds)  # fmt: skip
        low, high = alone or (check["low"] or "–", check["high"] or "–")
        assert (row[4], row[5]) == (low, high), check["id"]
        # Instrument, points, value and tolerance; what is only looked at has no tolerance.
        assert all(len(cell) > 3 for cell in row[1:3])
        assert row[3]
        assert ({row[4], row[5]} == {"–"}) is (one.instrument == "eye"), check["id"]
        assert row[6].count("gg-write") == (2 if len(one.probes) > 1 else 1)


def test_temperatures_are_read_twice_and_the_light_has_limits(guide: Guide) -> None:
    text = page(guide, "record")
    warm = [one for step in guide.steps for one in step.reads
            if one.instrument == "celsius" and not one.absent]  # fmt: skip
    rows = table(text, "## Temperatures in the burn-in")
    assert [row[0] for row in rows] == [one.where for one in warm]
    assert [row[1:3] for row in rows] == [[one.low, one.high] for one in warm]
    assert all(sum("gg-write" in cell for cell in row) == 4 for row in rows)
    said = text.split("## Temperatures")[1].split("\n\n")[1]
    assert "less than 1 K" in said
    light = table(text, "## Light")
    (lux,) = [one for step in guide.steps for one in step.reads if one.instrument == "lux"]
    assert light[0][2] == f"{lux.low} to {lux.high}"
    # One of several lights can't reach what all of them give.
    here = bool(guide.design.facts["field"] and not guide.design.facts["several_lights"])
    assert any("nine points" in row[0] and "or more" in row[2] for row in light) is here
    assert ("## Set-up, once, after the last light" in text) is (
        bool(guide.design.facts["field"]) and not here
    )
    assert all(row[1] and row[2] and "gg-write" in row[3] for row in light)
    assert any(row[0].startswith("White balance") for row in light)


def test_the_trip_voltage_of_a_cut_off_stands_where_a_builder_looks(guide: Guide) -> None:
    there = bool(guide.design.facts["cut_off"])
    names = ("index", "wiring", "record")
    assert ["ut-off opens at" in page(guide, name) or "| Cut-off | opens" in page(guide, name)
            for name in names] == [there] * 3  # fmt: skip
    if not there:
        return
    trips = guide.design.values["cut_off.trips_at"]
    least, most = (trips.kind.text(end) for end in band(trips))
    for name in names:
        line = next(one for one in page(guide, name).splitlines() if "ut-off" in one and
                    " opens " in one)  # fmt: skip
        assert str(trips) in line
        assert least in line
        assert most in line
    plate = page(guide, "record").split("## Rating plate")[1]
    assert f"Cut-off opens at {trips}" in plate
    assert [row[0] for row in table(page(guide, "record"), "## Cut-off")] == [
        "Opens, voltage falling", "Closes again, voltage rising",
    ]  # fmt: skip


def test_hold_points_stand_in_the_record_in_their_order(guide: Guide) -> None:
    rows = table(page(guide, "record"), "## Hold points")
    assert [row[0][:3] for row in rows] == ["HP1", "HP2", "HP3", "HP4"]
    assert [row[1] for row in rows] == [step.number for step in guide.steps if step.hold]
    # Builder and signer have a blank each, twice: two people check each other.
    assert all([row[n].count("gg-write") for n in (2, 4)] == [2, 2] for row in rows)
    before = page(guide, "record").split("## Hold points")[1].split("|")[0]
    assert "never the one who built" in before


def test_every_missed_check_leads_to_a_fault_that_leads_back(guide: Guide) -> None:
    faults = {fault.id: fault for fault in guide.faults}
    troubles = page(guide, "troubleshooting")
    steps = page(guide, "steps")
    for step in guide.steps:
        if not step.if_not:
            assert step.no_check, f"{step.id} has neither a check nor a reason"
            continue
        assert step.if_not in faults, step.id
        ways = step_ways(step, faults)
        assert ways.keys() == {one.number for one in step.reads if not one.absent}
        section = steps.split(f'id="{step.anchor}"')[1].split("</section>")[0]
        for fault in {way.fault for found in ways.values() for way in found}:
            assert step.id in faults[fault].routes, step.id
            assert f"troubleshooting.md#fault-{fault}" in section, step.id
            assert f'id="fault-{fault}"' in troubles, fault


#: What the symptom of a claim's entry tells, and what it must not tell.
TELLS = {"joined": ("open|ohms", "short|joined"), "not-short": ("short", "open"),
         "open": ("joined|through", "open to|reads open")}  # fmt: skip
UNLIKE = {"high": r"\b(?:below|not reached|too little)\b",
          "low": r"\b(?:above|too much|too many)\b"}  # fmt: skip


def test_a_way_on_fits_how_the_reading_fails(guide: Guide) -> None:
    faults = {fault.id: fault for fault in guide.faults}
    seen = 0
    read = [(step, one) for step in guide.steps for one in step.reads if not one.absent]
    for step, one in read:
        for way in ways_of(step, one, faults):
            symptom = str(faults[way.fault].symptom)
            if one.holds in TELLS:
                tells, never = TELLS[one.holds]
                assert re.search(tells, symptom), (step.id, one.number, symptom)
                assert not re.search(never, symptom), (step.id, one.number, symptom)
                seen += 1
            elif way.how in UNLIKE:
                assert not re.search(UNLIKE[way.how], symptom), (step.id, one.number, symptom)
                seen += 1
    assert seen > 10


def test_too_many_volts_at_the_tape_lead_to_what_lowers_them(guide: Guide) -> None:
    """The danger of the setting steps: more than the tape bears."""
    faults = {fault.id: fault for fault in guide.faults}
    read = [(step, one) for step in guide.steps for one in step.reads if one.holds in
            ("setting.full", "control.high_output", "pulse_width.reading")]  # fmt: skip
    assert bool(read) is guide.design.facts["regulator"]
    for step, one in read:
        ways = {way.how: way.fault for way in ways_of(step, one, faults)}
        assert ways == {"high": "over-voltage", "low": "high-not-reached"}, step.id
        section = page(guide, "steps").split(f'id="{step.anchor}"')[1].split("</section>")[0]
        assert f"Too high: [{faults['over-voltage'].symptom.rstrip('.')}]" in section


def test_every_link_of_a_page_leads_to_an_anchor(guide: Guide) -> None:
    anchors = {one.uri: set(re.findall(r'id="([\w-]+)"|\{ ?#([\w-]+)', one.markdown))
               for one in guide.pages}  # fmt: skip
    seen = 0
    for one in guide.pages:
        for target, anchor in re.findall(r"\]\((\w+\.md)?#([\w-]+)\)", one.markdown):
            there = {name for pair in anchors[target or one.uri] for name in pair}
            heads = {re.sub(r"[^\w]+", "-", head.lower()).strip("-")
                     for head in re.findall(r"^#+ (.*)$", page(guide, (target or one.uri)[:-3]),
                                            re.M)}  # fmt: skip
            seen += 1
            assert anchor in there | heads, f"{one.uri}: {target}#{anchor}"
    assert seen > 30


def test_times_add_up(guide: Guide, record: dict[str, Any]) -> None:
    minutes = sum(step["minutes"] for step in record["steps"])
    waiting = sum(step["waiting_h"] for step in record["steps"])
    assert minutes == pytest.approx(sum(step.minutes.si for step in guide.steps))
    hours, minute = kind_of(Hour), kind_of(Minute)
    # A reader adds up what the heads of the steps print.
    printed = dict(re.findall(r"^### ([\d.]+) .*?\n\n<p class=\"gg-meta\">.*? · (\d+)\u00a0min",
                              page(guide, "steps"), re.M))  # fmt: skip
    assert set(printed) == {step["number"] for step in record["steps"]}
    minutes = sum(map(int, printed.values()))
    index = page(guide, "index")
    line = next(row for row in index.splitlines() if row.startswith("| Time for one copy"))
    assert hours.text(minutes / 60, toward="up") in line
    assert (hours if waiting >= 2 else minute).text(
        waiting if waiting >= 2 else waiting * 60, toward="up"
    ) in line
    # By stage: what is printed at the head of each, up to its own rounding.
    stages = dict.fromkeys(step["stage"] for step in record["steps"])
    for stage in stages:
        own = sum(int(printed[step["number"]]) for step in record["steps"]
                  if step["stage"] == stage)  # fmt: skip
        text = (hours.text(own / 60, toward="up") if own >= 120
                else minute.text(own, toward="up"))  # fmt: skip
        assert text in page(guide, "steps"), stage


def test_every_caution_in_a_step_stands_on_the_safety_page(guide: Guide) -> None:
    safety = page(guide, "safety")
    placed = {one.caution.id: one.caution for step in guide.steps for one in step.cautions}
    assert placed
    for caution in placed.values():
        assert str(caution.title) in safety, caution.id
    assert {one.id for one in guide.cautions.chosen} >= set(placed)


def test_no_assembled_light_has_power_before_hold_point_two(guide: Guide, model: Model) -> None:
    hold = next(i for i, step in enumerate(guide.steps) if step.hold == "HP2")
    rows = {part.ref for part in model.parts if part.role == "row"}
    early = []
    for step in guide.steps[:hold]:
        for act in step.acts:
            if act.verb != "powers" or act.source == "none":
                continue
            early.append(step.id)
            ends = {terminal.split(":")[0] for terminal in act.at}
            # One row, alone on the bench, from a limited supply: nothing is assembled yet.
            assert act.source == "bench", step.id
            assert act.limit is not None, step.id
            assert len(ends) == 1, step.id
            assert ends <= rows, step.id
            before = guide.steps[: guide.steps.index(step)]
            assert not any(done.joints for one in before for done in one.acts), step.id
    assert early == ["row-sampled"]
    sampled = next(step for step in guide.steps if step.id == "row-sampled")
    assert re.search(r"\bone row\b", f"{sampled.goal} {sampled.body}", re.I)
    later = [step.id for step in guide.steps[hold:] for act in step.acts
             if act.verb == "powers" and act.source != "none"]  # fmt: skip
    assert len(later) >= 3


# --- performance --------------------------------------------------------------------------------


def test_every_line_of_the_performance_page_says_where_it_comes_from(guide: Guide) -> None:
    tables = re.findall(r"^\|.*(?:\n\|.*)+", page(guide, "performance"), re.M)
    assert len(tables) >= 5
    for text in tables:
        head, _, *lines = [[cell.strip() for cell in line.strip("|").split("|")]
                           for line in text.splitlines()]  # fmt: skip
        (at,) = [n for n, name in enumerate(head) if name.startswith("Origin")]
        assert lines
        for line in lines:
            assert line[at] in ("computed", "data sheet", "definition"), line
