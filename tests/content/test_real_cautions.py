"""The safety messages, fault rows, safety page and care page that ship with guidegen.

What they are held against is typed here: the project's catalogue of hazards (number, signal word),
and the facts and values that a design offers.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import product
from types import SimpleNamespace
from typing import Any

import pytest
from jinja2 import Template
from jinja2.exceptions import UndefinedError

from guidegen.content.files import read, search_path
from guidegen.content.headers import VERBS as DEEDS
from guidegen.content.headers import CautionHeader, FaultHeader
from guidegen.content.load import Content, load_all
from guidegen.content.render import Renderer, template_troubles
from guidegen.content.when import Condition, Fact, can_be
from guidegen.content.words import load_words
from guidegen.errors import Place

SEARCH = search_path()
RENDERER = Renderer(SEARCH)

BOOLS = """
bank adapter battery battery_wires lithium lead_acid regulator control trimmer current_limit
control_upper control_lower replaces_trimmer across_resistor end_resistor cover cover_screwed
cover_taped border
enclosure mount finish finish_before oil_finish wood mdf acrylic metal_sheet conductive_board
opposite_ends both_ends scan_compares fed_middle
rail_bar rail_foil one_end several_rows second_rail rail_fed_middle
bare_rails bare_jumpers several_lights
several_copies target field fuse switch connector cut_off
cut_off_part supply_cut_off switch_part leads lead link low_is_dark stops
step_up supply_lead fault_bright fan fan_behind dropper pilot_light pilot_behind pilot_dropper
thermal_cut_out
lining lining_conducts
keyed_connector exposed_contacts bright
hot_surface hot_metal warm_box heavy long two_lift long_lead use.damp use.rain
pulse_width pulse_negative flicker_risk flicker_seen flicker_visible
handles sink sink_outside vents other_supplies other_battery vehicle negotiated
use.dust use.rotating_tools use.sensitive_objects use.public use.children use.air_travel use.vehicle
""".split()
NUMBERS = ["supply.highest", "panel.current", "input.highest_current", "panel.power"]
#: Asked by conditions of steps alone: random fixtures need not draw them.
ASKED = ("fuse_at_battery", "fuse_bolted", "several_panels", "mount_layers", "underlaid")
KNOWN: dict[str, Fact] = {
    **dict.fromkeys((*BOOLS, *ASKED), False),
    **dict.fromkeys(NUMBERS, 0.0),
}

#: A fact on the left can't hold without the one on the right.
IMPLIES = {
    "lithium": "battery", "control": "regulator", "trimmer": "regulator",
    "current_limit": "regulator", "across_resistor": "control", "end_resistor": "control",
    "fault_bright": "control", "cover_screwed": "cover",
    "cover_taped": "cover", "finish_before": "finish",
    "oil_finish": "finish",
    "mdf": "wood",
    "warm_box": "enclosure", "hot_metal": "hot_surface", "long_lead": "leads", "lead": "leads",
    "bank": "battery", "battery_wires": "battery", "supply_lead": "leads",
    "step_up": "regulator", "dropper": "fan", "pilot_dropper": "pilot_light",
    "fan_behind": "regulator", "pilot_behind": "regulator",
    "keyed_connector": "connector", "fuse_at_battery": "fuse", "fuse_bolted": "fuse",
    "switch_part": "switch", "cut_off_part": "cut_off", "supply_cut_off": "cut_off",
    "exposed_contacts": "connector", "pulse_negative": "pulse_width",
    "flicker_visible": "flicker_risk", "flicker_risk": "flicker_seen",
    "flicker_seen": "pulse_width", "sink": "regulator", "sink_outside": "sink",
    "vents": "enclosure", "other_battery": "other_supplies",
}  # fmt: skip
#: The condition under which a value exists; "" for one that every design has.
VALUES = {
    "cover.tape_thickness": "cover_taped",
    "setting.full": "", "setting.low": "", "row.current": "", "panel.current": "",
    "input.highest_current": "", "tape.highest_voltage": "", "supply.voltage": "",
    "supply.reading": "", "fuse.from_battery": "fuse_at_battery",
    "supply.highest": "", "supply.lowest": "", "contact.least": "", "row.drop": "",
    "row.track_drop": "", "scan.apart": "scan_compares",
    "board.back_temperature": "", "body.mass": "", "fuse.rating": "fuse",
    "limit.set": "current_limit", "leads.longest": "leads", "way.cut_off_drop": "cut_off_part",
    "way.regulator_input": "regulator", "cut_off.rise": "cut_off",
    "cut_off.most_closing": "cut_off",
    "cut_off.trips_at": "cut_off", "cover.outer_temperature": "cover",
    "box.temperature": "enclosure",
    "sink.temperature": "sink",
    "use.ambient_high": "", "battery.energy": "battery", "battery.run_time": "battery",
    "battery.rest": "bank",
    "thermal_cut_out.opens_at": "thermal_cut_out", "thermal_cut_out.closes_at": "thermal_cut_out",
    "thermal_cut_out.lowest_opening": "thermal_cut_out",
    "fan.voltage": "fan", "fan.reading": "fan", "fan.dropper": "dropper",
    "pilot_light.voltage": "pilot_light", "pilot_light.reading": "pilot_light",
    "pilot_light.dropper": "pilot_dropper",
    "pulse_width.frequency": "pulse_width", "pulse_width.output": "pulse_width",
    "flicker.low_risk": "pulse_width", "flicker.no_effect": "pulse_width",
    "control.track": "pulse_width", "supply.short_most": "battery",
    "panel.pad_voltage": "", "tape.voltage": "", "row.sample_limit": "", "row.sample_current": "",
    "input.bench_current": "", "bench.start": "regulator", "bench.limit_full": "",
    "control.low_output": "control",
    "pulse_width.reading": "pulse_width",
    "adapter.highest_profile": "negotiated", "fallback.voltage": "negotiated",
    "socket.fuse": "vehicle",
    "row.groups": "", "limits.clearance": "", "light.axis_distance": "",
    "regulator.fixed_resistor": "control_lower",
    "control.worst_fault_output": "control", "enclosure.clearance": "enclosure",
}  # fmt: skip
#: The same for roles of the model.
ROLES = {
    "heat_sink": "sink",
    "rail": "", "row": "", "jumper": "", "feed": "", "fuse": "fuse", "switch": "switch",
    "connector": "connector", "regulator": "regulator", "control": "control",
    "thermal_cut_out": "thermal_cut_out",
    "fan": "fan", "fan_wire": "fan", "dropper": "dropper",
    "pilot_light": "pilot_light", "pilot_wire": "pilot_light", "pilot_dropper": "pilot_dropper",
    "pulse_width": "pulse_width",
    "across_resistor": "across_resistor", "end_resistor": "end_resistor",
}  # fmt: skip

#: The project's catalogue of hazards: default word, and the facts that raise it to a warning.
CATALOGUE: dict[str, str | tuple[str, ...]] = {
    "H01": "warning", "H04": "warning", "H05": "warning", "H06": "warning", "H07": "lithium",
    "H08": "warning", "H09": "warning", "H10": "warning", "H11": "battery", "H12": "battery",
    "H13": "warning", "H14": ("hot_metal",), "H15": "warning", "H16": "warning", "H17": "caution",
    "H18": "warning", "H19": "warning", "H20": "warning", "H21": "warning", "H22": "warning",
    "H23": "warning", "H24": "caution", "H26": "caution", "H27": "warning", "H29": "caution",
    "H30": ("use.rotating_tools", "flicker_visible"), "H31": "warning", "H33": "caution",
    "H35": "caution", "H36": "warning",
    "H37": "warning", "H38": "notice", "H39": "notice", "H40": "notice", "H43": "battery",
    "H03": "danger", "H28": "warning", "H34": "caution", "H44": "warning", "H45": "warning",
    "H46": "warning", "H48": "warning", "H49": "caution", "H50": "caution",
    "H51": ("sink_outside",), "H52": "warning", "H53": "warning", "H54": "caution",
    "H55": "warning", "H56": "warning",
}  # fmt: skip
FIELDS = ("title", "hazard", "consequence", "avoid", "defers_to")
FAULTS = """
no-light fuse-opens row-dark part-dark dim-side no-control wrong-way high-not-reached
low-not-reached over-voltage limit-early hot-regulator supply-off flicker rail-short row-open
dimmer-wrong early-cut-off joint-weak side-weak size-wrong metal-joined meter-wrong supply-wrong
part-wrong sample-current cover-cracked finish-poor wrong-fuse fan-short bare-metal joint-poor
not-square loose-part light-low fan-still pilot-dark pilot-short switch-passed
cut-out-open cut-out-trips
sink-joined pages-differ wire-differs not-accepted dimming-wrong limit-not-reached
fit-gap row-length thread-blocked row-turned rail-off rail-metal foil-poor joint-bad joint-hot
underlay-gap
film-poor lacquer-thin wire-pulls fan-turned guard-open module-pads control-ohms supply-open
supply-short output-short feed-open battery-open battery-short no-light-first pads-off current-high
low-current
current-low output-jumps limit-high aux-high cut-off-off light-high colour-off reads-cold
test-lead-wrong
""".split()
CAUSE = ("cause", "test", "expect", "action", "retest")

#: Rule figures, classes and project defaults that stand in the text; all else comes from values.
TYPED = {
    "lithium-charging": {"0 °C"}, "wood-dust": {"FFP2", "N95"},
    "acrylic-edges": {"3 mm"}, "touch-voltage": {"30 V"}, "carrying-lithium": {"100 Wh", "160 Wh"},
}  # fmt: skip

VAGUE = re.compile(
    r"\b(be careful|careful(ly)?|take care|caution(ary)?|common sense|as required|as needed|"
    r"if necessary|appropriate(ly)?|proper(ly)?|suitable|adequate(ly)?|pay attention|be aware|"
    r"make sure|ensure|avoid|simply|just|obviously|easily|should|etc|and so on|TODO)\b",
    re.IGNORECASE,
)
VERBS = set(
    """
aim carry charge choose clamp clean clear close collect compare connect cover cut disconnect
dispose do draw dry file find fit give grip hang have hold insulate keep label lay leave let
lift look mark move never open place plug point prove put read return say score scrape solder
sort spread start stay support switch take tape tie tighten touch turn unplug use wash wave
wear wipe back cap drill stop join
""".split()
)
CONDITIONS = ("If ", "When ", "Before ", "After ", "While ", "Until ", "Where ", "For ")


# --- worlds -----------------------------------------------------------------------------------
def world(chosen: Mapping[str, Fact]) -> dict[str, Fact] | None:
    """All facts of one thinkable fixture, or None where the choice contradicts itself."""
    facts = {**KNOWN, **chosen}
    facts["adapter"] = not facts["battery"] and not facts["vehicle"]
    facts["lead_acid"] = facts["battery"] and not facts["lithium"]
    if facts["bank"] and facts["lithium"]:
        return None
    # One supply: a battery, a socket of a vehicle, or an adapter, perhaps a negotiated one.
    if (facts["battery"] and facts["vehicle"]) or facts["negotiated"] > facts["adapter"]:
        return None
    if any(facts[name] and not facts[needs] for name, needs in IMPLIES.items()):
        return None
    # Behind a regulator with a control of its own there is no pulse-width stage.
    if facts["control"] and facts["pulse_width"]:
        return None
    # A box is warmed by the regulator that lies in it.
    return None if facts["warm_box"] and not facts["regulator"] else facts


def closed(names: set[str]) -> list[str]:
    """The names, and all that they rest on; what follows from others is left out."""
    found = set(names)
    while new := {IMPLIES[name] for name in found if name in IMPLIES} - found:
        found |= new
    if found & {"adapter", "lead_acid"}:
        found |= {"battery", "lithium", "vehicle"}
    if found & {"vehicle", "negotiated"}:
        found |= {"battery", "vehicle"}
    if "warm_box" in found:
        found.add("regulator")
    return sorted(found - {"adapter", "lead_acid"})


def worlds(names: set[str]) -> Iterator[dict[str, Fact]]:
    free = closed(names)
    options: list[tuple[Fact, ...]] = [
        (0.0, 1000.0) if name in NUMBERS else (False, True) for name in free
    ]
    for answers in product(*options):
        facts = world(dict(zip(free, answers, strict=True)))
        if facts is not None:
            yield facts


def thinkable(facts: dict[str, Fact]) -> dict[str, Fact]:
    """Without what can't be there, since what it needs is not."""
    while lone := [name for name, needs in IMPLIES.items() if facts.get(name) and not facts[needs]]:
        facts |= dict.fromkeys(lone, False)
    facts["vehicle"] = facts.get("vehicle", False) and not facts.get("battery", False)
    stores = facts.get("battery", False) or facts["vehicle"]
    facts["negotiated"] = facts.get("negotiated", False) and not stores
    return facts


@cache
def some_worlds(count: int) -> list[dict[str, Fact]]:
    """Random fixtures, always the same ones; the emptiest and the fullest among them."""
    dice = random.Random(1)
    full = {
        name: True for name in BOOLS if name not in ("adapter", "bank", "vehicle", "negotiated")
    }
    pulses = {name for name in BOOLS if name.startswith(("pulse_", "flicker_"))}
    found = [world({}), world({**full, **dict.fromkeys(pulses, False)})]
    while len(found) < count:
        found.append(world(thinkable({name: dice.random() < 0.6 for name in BOOLS})))
        if found[-1] is None:
            found.pop()
    return [facts for facts in found if facts is not None]


# --- a stand-in for the helpers that a text may call -------------------------------------------
class Said:
    """Values by dotted names; one that this fixture does not have is an error."""

    def __init__(self, facts: Mapping[str, Fact], before: str = "") -> None:
        self._facts, self._before = facts, before

    def __getattr__(self, name: str) -> Any:
        full = self._before + name
        if full in VALUES:
            if VALUES[full] and not self._facts[VALUES[full]]:
                raise UndefinedError(f"{full} does not exist without {VALUES[full]}")
            return Shown()
        if any(key.startswith(full + ".") for key in VALUES):
            return Said(self._facts, full + ".")
        raise UndefinedError(f"no value is called {full}")


class Shown:
    """A value's text."""

    def __html__(self) -> str:
        return "9.99\u00a0V"

    __str__ = __html__


def context(facts: Mapping[str, Fact]) -> dict[str, Any]:
    def fact(name: str) -> bool:
        answer = facts[name]
        assert isinstance(answer, bool)
        return answer

    def part(text: str) -> str:
        role = re.split(r"[+.?−-]", text)[0]
        if ROLES[role] and not facts[ROLES[role]]:
            raise UndefinedError(f"no {role} without {ROLES[role]}")
        return f"{role} X1"

    words = load()
    return {
        "v": Said(facts), "fact": fact, "part": part, "terminal": part, "stands": [],
        "other_supplies": [],
        "tool": lambda name: words.tools[name].name,
        "consumable": lambda name: words.consumables[name].name,
        "messages": lambda *ids: [],
        "low": lambda value: value, "high": lambda value: value,
        "step": lambda name: f"step\u00a0{len(name)}.1",
    }  # fmt: skip


@cache
def load() -> Any:
    return load_words(SEARCH)


@cache
def compiled(text: str) -> Template:
    return RENDERER.environment.from_string(text)


def say(text: str, facts: Mapping[str, Fact]) -> str:
    said = compiled(text).render(context(facts)).replace("\u00a0", "~")
    assert said == " ".join(said.split()), f"stray spaces: {said!r}"
    return said


def asked(*texts: str) -> set[str]:
    """Facts that texts ask, or that the values and roles in them rest on."""
    joined = " ".join(texts)
    names = set(re.findall(r"fact\('([\w.]+)'\)", joined))
    names |= {VALUES.get(name, "") for name in re.findall(r"v\.([\w.]+\w)", joined)}
    names |= {ROLES.get(role, "") for role in re.findall(r"(?:part|terminal)\('(\w+)", joined)}
    return names - {""}


def when(text: str) -> Condition:
    return Condition(text)


def sentences(text: str) -> list[str]:
    return [part for part in re.split(r"(?<=[.!?])\s+", text.strip()) if part]


def long_ones(text: str) -> list[str]:
    return [part for part in sentences(text) if len(part.replace("~", " ").split()) > 20]


def opening(sentence: str) -> str:
    """The first word of what a sentence orders: a condition may stand before it."""
    parts = sentence.split(", ")
    if sentence.startswith(CONDITIONS):
        # The condition may hold commas of its own, so the order is the first part that is one.
        parts = [part for part in parts[1:] if part.split()[0] in VERBS]
    return parts[0].split()[0].strip(",.:").lower() if parts else ""


# --- the files ---------------------------------------------------------------------------------
def caution_files() -> list[Content[CautionHeader]]:
    return load_all(SEARCH, "cautions", CautionHeader)


def fault_files() -> list[Content[FaultHeader]]:
    return load_all(SEARCH, "faults", FaultHeader)


CAUTIONS = {file.id: file for file in caution_files()}
FAULT_FILES = {file.id: file for file in fault_files()}
caution = pytest.mark.parametrize("file", CAUTIONS.values(), ids=CAUTIONS)
fault = pytest.mark.parametrize("file", FAULT_FILES.values(), ids=FAULT_FILES)


def their_worlds(file: Content[CautionHeader]) -> list[dict[str, Fact]]:
    """Every fixture, as far as the file can tell them apart, that it applies to."""
    header = file.header
    words = [header.word] if isinstance(header.word, str) else [w.when for w in header.word]
    texts = [getattr(header, field) for field in FIELDS]
    names = asked(*texts) | set(when(header.when).names)
    names |= {name for word in words if word in BOOLS for name in [word]}
    return [facts for facts in worlds(names) if when(header.when).holds(facts)]


def signal(file: Content[CautionHeader], facts: Mapping[str, Fact]) -> str:
    word = file.header.word
    if isinstance(word, str):
        return word
    return next(option.word for option in word if when(option.when).holds(facts))


def test_each_hazard_of_the_catalogue_has_one_file() -> None:
    numbers = [file.header.number for file in CAUTIONS.values()]
    assert sorted(numbers) == sorted(CATALOGUE)


@caution
def test_fields_are_whole_in_every_fixture(file: Content[CautionHeader]) -> None:
    found = their_worlds(file)
    assert found
    for facts in found:
        for field in FIELDS:
            text = say(getattr(file.header, field), facts)
            assert len(text) > 2, field
            assert not re.search(r"[{}]|None|nan|  | [.,;]|\.\.|^[a-z]", text) or (
                field == "defers_to" and not re.search(r"[{}]|None|nan|\.$", text)
            ), text


@caution
def test_word_is_the_catalogues(file: Content[CautionHeader]) -> None:
    rule = CATALOGUE[file.header.number]
    for facts in their_worlds(file):
        raised = (rule,) if isinstance(rule, str) else rule
        expected = rule if rule in ("danger", "warning", "caution", "notice") else (
            "warning" if any(facts[name] for name in raised) else "caution"
        )  # fmt: skip
        assert signal(file, facts) == expected


@caution
def test_condition_can_be_asked_and_answered_both_ways(file: Content[CautionHeader]) -> None:
    condition = when(file.header.when)
    assert condition.troubles(KNOWN) == []
    assert can_be(condition) == ({True} if condition.always else {True, False})


@pytest.mark.parametrize(
    ("id", "facts", "applies"),
    [
        ("short-circuit", {"battery": True}, True),
        ("short-circuit", {"input.highest_current": 6.0, "panel.power": 80.0}, False),
        ("short-circuit", {"input.highest_current": 6.1}, True),
        ("bare-rails", {"bare_rails": True, "panel.current": 3.0}, False),
        ("bare-rails", {"bare_rails": True, "panel.current": 3.1}, True),
        ("bare-rails", {"panel.current": 9.0}, False),
        ("tip-over", {"heavy": True}, False),
        ("tip-over", {"heavy": True, "mount": True}, True),
        ("tip-over", {"long": True, "mount": True}, True),
        ("awkward-lift", {"two_lift": True}, True),
        ("awkward-lift", {"two_lift": False}, False),
        ("metal-near-rails", {"bare_rails": True, "cover_screwed": True, "cover": True}, True),
        ("metal-near-rails", {"bare_rails": True}, False),
        ("metal-near-rails", {"conductive_board": True}, True),
        ("wrong-fuse", {}, False),
        ("wrong-fuse", {"battery": True}, True),
        ("enamel-fume", {"bare_jumpers": True}, True),
        ("enamel-fume", {}, False),
    ],
)
def test_condition_draws_the_catalogues_line(
    id: str, facts: dict[str, Fact], applies: bool
) -> None:
    assert when(CAUTIONS[id].header.when).holds({**KNOWN, **facts}) is applies


def places_trouble(file: Content[CautionHeader]) -> str:
    at, words = file.header.at, load()
    steps = {name.removeprefix("steps/").removesuffix(".md") for name in SEARCH.names("steps")}
    for name, known in ((at.tools, words.tools), (at.uses, words.consumables), (at.steps, steps)):
        if unknown := set(name) - set(known):
            return f"unknown: {unknown}"
    for deed in at.does:
        verb, _, what = deed.partition(" ")
        if verb not in DEEDS or what not in {"", "bench", "supply", *words.roles}:
            return f"unknown: {deed}"
    return "" if any(getattr(at, key) for key in type(at).model_fields) else "stands nowhere"


@caution
def test_it_stands_somewhere(file: Content[CautionHeader]) -> None:
    assert places_trouble(file) == ""


@caution
def test_avoidance_is_orders_that_can_be_followed(file: Content[CautionHeader]) -> None:
    for facts in their_worlds(file):
        text = say(file.header.avoid, facts)
        assert not VAGUE.search(text), text
        for sentence in sentences(text):
            assert opening(sentence) in VERBS, sentence


@caution
def test_sentences_are_short(file: Content[CautionHeader]) -> None:
    for facts in their_worlds(file):
        for field in FIELDS:
            assert long_ones(say(getattr(file.header, field), facts)) == []


@pytest.mark.parametrize(
    "bad",
    ["Be careful with the saw.", "Use appropriate protection.", "Tighten the screw properly."],
)
def test_the_word_list_finds_vague_advice(bad: str) -> None:
    assert VAGUE.search(bad)


def test_the_checks_see_a_spoiled_sentence() -> None:
    assert opening("The lead must be routed.") not in VERBS
    assert opening("If it smells, the supply is cut.") not in VERBS
    assert opening("If it smells, cut the supply.") in VERBS
    assert long_ones("one two three four five six seven eight nine ten " * 2 + "eleven.")
    with pytest.raises(UndefinedError, match=r"fuse\.rating does not exist without fuse"):
        say("{{ v.fuse.rating }}", KNOWN)
    with pytest.raises(UndefinedError, match="no fuse without fuse"):
        say("{{ part('fuse') }}", KNOWN)


# --- faults ------------------------------------------------------------------------------------
def test_each_fault_has_its_file() -> None:
    assert sorted(FAULT_FILES) == sorted(FAULTS)


def test_faults_have_an_order_of_their_own() -> None:
    orders = [file.header.order for file in FAULT_FILES.values()]
    assert len(set(orders)) == len(orders)


def cause_worlds(file: Content[FaultHeader], index: int) -> Iterator[dict[str, Fact]]:
    header, row = file.header, file.header.causes[index]
    both = [when(text) for text in (header.when, row.when)]
    names = asked(*(getattr(row, key) for key in CAUSE)) | {n for c in both for n in c.names}
    return (facts for facts in worlds(names) if all(c.holds(facts) for c in both))


@fault
def test_fault_conditions_can_be_asked(file: Content[FaultHeader]) -> None:
    for text in (file.header.when, *(row.when for row in file.header.causes)):
        assert when(text).troubles(KNOWN) == []
        assert when(text).always or can_be(when(text)) == {True, False}


@fault
def test_causes_are_whole_and_short_in_every_fixture(file: Content[FaultHeader]) -> None:
    for index, row in enumerate(file.header.causes):
        seen = 0
        for facts in cause_worlds(file, index):
            seen += 1
            said = {key: say(getattr(row, key), facts) for key in CAUSE}
            for key, text in said.items():
                assert text.endswith("."), (key, text)
                assert not re.search(r"[{}]|None|nan| [.,;]|\.\.", text), text
                assert long_ones(text) == []
                assert not VAGUE.search(text), text
            assert re.fullmatch(r"Sound: .+ Fault: .+", said["expect"])
        assert seen, row.cause


@fault
def test_a_fault_has_a_cause_in_every_fixture(file: Content[FaultHeader]) -> None:
    conditions = [when(row.when) for row in file.header.causes]
    names = {name for c in (when(file.header.when), *conditions) for name in c.names}
    for facts in worlds(names):
        if when(file.header.when).holds(facts):
            assert any(c.holds(facts) for c in conditions)


def symptoms() -> dict[str, Content[FaultHeader]]:
    return {file.header.symptom.rstrip("."): file for file in FAULT_FILES.values()}


@fault
def test_pointers_lead_to_a_fault_of_the_same_fixture(file: Content[FaultHeader]) -> None:
    for index, row in enumerate(file.header.causes):
        for title in re.findall(r"'([A-Z][^']+)'", f"{row.action} {row.test}"):
            target = when(symptoms()[title].header.when)
            names = set(target.names) | asked(row.test, row.action)
            assert all(
                target.holds(facts)
                for facts in worlds(names | {n for n in when(row.when).names} |
                                    set(when(file.header.when).names))
                if when(file.header.when).holds(facts) and when(row.when).holds(facts)
            )  # fmt: skip
            assert index < len(file.header.causes)


ROUTES = ("if_not", "if_all", "if_high", "if_low")
#: What can be done with power on the light alone; and what powers something else.
POWERED = re.compile(
    r"DC (?:volts|millivolts)|bench supply|tool\('bench-supply'\)|at full|full setting|"
    r"setting of both ends|first power|[Ss]upply on|the lux|temperatures|whole travel|"
    r"Photograph|test of the cut-off|[Rr]un the light|millivolts|light the row"
)
ALONE = {"supply-wrong", "meter-wrong", "sample-current"}


def needs_power(file: Content[FaultHeader]) -> bool:
    return any(
        POWERED.search(text) for row in file.header.causes for text in (row.test, row.retest)
    )


@fault
def test_an_entry_says_whether_it_needs_power(file: Content[FaultHeader]) -> None:
    assert file.header.power is (needs_power(file) and file.id not in ALONE)


def test_power_is_seen_in_a_test() -> None:
    assert needs_power(FAULT_FILES["no-control"])
    assert not needs_power(FAULT_FILES["control-ohms"])


def routes() -> dict[str, tuple[str, str]]:
    """Step to its fault and its condition, for every step that leads to one."""
    found = {}
    for name in SEARCH.names("steps"):
        file = SEARCH.base(name)
        assert file is not None
        header = read(SEARCH, name, file).header
        if header.get("if_not"):
            found[name] = (header["if_not"], header.get("when", ""))
    return found


def lost(fault_id: str, step_when: str) -> bool:
    """Whether a step of some fixture leads to a fault that this fixture's guide lacks."""
    step, target = when(step_when), when(FAULT_FILES[fault_id].header.when)
    return any(
        step.holds(facts) and not target.holds(facts)
        for facts in worlds({*step.names, *target.names})
    )


def test_steps_lead_to_faults_that_are_there() -> None:
    found = routes()
    assert found or not SEARCH.names("steps")
    for step, (target, condition) in found.items():
        assert target in FAULT_FILES, step
        assert not lost(target, condition), step


def test_readings_lead_to_faults_that_there_are() -> None:
    named = {
        (name, deed[key])
        for name in SEARCH.names("steps")
        if (file := SEARCH.base(name)) is not None
        for deed in read(SEARCH, name, file).header["does"]
        for key in ROUTES
        if key in deed
    }
    assert len(named) > 50
    assert [one for one in named if one[1] not in FAULT_FILES] == []


def test_no_entry_is_forgotten() -> None:
    """What no step leads to is what a user of the finished light sees, or what a pointer names."""
    led = {target for target, _ in routes().values()} | {
        deed[key]
        for name in SEARCH.names("steps")
        if (file := SEARCH.base(name)) is not None
        for deed in read(SEARCH, name, file).header["does"]
        for key in ROUTES
        if key in deed
    }
    in_use = {"no-light", "fuse-opens", "supply-off", "no-control", "wrong-way", "cut-out-trips",
              "part-dark", "dim-side", "limit-early", "early-cut-off"}  # fmt: skip
    assert set(FAULT_FILES) - led == in_use


def test_a_step_that_leads_nowhere_is_seen() -> None:
    assert lost("fuse-opens", "")
    assert not lost("fuse-opens", "fuse")


# --- numbers ------------------------------------------------------------------------------------
def typed_numbers(text: str) -> set[str]:
    bare = re.sub(r"\{\{.*?\}\}|\{%.*?%\}", " ", text, flags=re.DOTALL)
    return set(re.findall(r"\b[A-Z]*\d+(?:\.\d+)?(?: (?:mm|°C|Wh|V|A|W|Ω|%)|\b)", bare))


def test_numbers_come_from_values() -> None:
    for id, file in CAUTIONS.items():
        texts = " ".join(getattr(file.header, field) for field in FIELDS)
        assert typed_numbers(texts) == TYPED.get(id, set()), id
    for id, fault_file in FAULT_FILES.items():
        texts = " ".join(getattr(row, key) for row in fault_file.header.causes for key in CAUSE)
        assert typed_numbers(texts) == set(), id
    assert typed_numbers("Fit a fuse of 4 A, {{ v.x1 }}.") == {"4 A"}


# --- pages --------------------------------------------------------------------------------------
PAGES = ("safety", "care")


def page_source(name: str) -> str:
    file = SEARCH.base(f"pages/{name}.md")
    assert file is not None
    return file.read_text(encoding="utf-8")


def page(name: str, facts: Mapping[str, Fact], cautions: int = 2) -> str:
    toy = SimpleNamespace(word="WARNING", signal="warning", anchor="toy", title="Toy",
                          hazard="It is.", consequence="It hurts.", avoid="Stop.",
                          defers_to="the law")  # fmt: skip
    other = SimpleNamespace(title="Laser", reason="no laser")
    more = {"cautions": [toy] * cautions, "not_applying": [other], "certification": "No approval."}
    return compiled(page_source(name)).render({**context(facts), **more})


@pytest.mark.parametrize("name", PAGES)
def test_pages_hold_in_every_fixture(name: str) -> None:
    for facts in some_worlds(40):
        text = page(name, facts)
        assert not re.search(r"[{}]|None|\bnan\b|TODO", text)
        assert not VAGUE.search(re.sub(r"CAUTION|gg-caution|if you do not avoid it", "", text))
        for block in re.split(r"\n\s*\n", text):
            rows = [line.count("|") for line in block.splitlines() if line.startswith("|")]
            # A row with another number of cells, or text glued to a table, breaks the table.
            assert len(set(rows)) <= 1, block
            assert not rows or len(rows) == len(block.strip().splitlines()), block
            assert len(rows) != 2, f"a table without rows: {block}"


def test_numbered_instructions_are_short() -> None:
    for facts in some_worlds(40):
        for line in page("care", facts).splitlines():
            if line.startswith("1. "):
                assert long_ones(line[3:].replace("\u00a0", "~")) == []


@pytest.mark.parametrize("name", PAGES)
def test_headings_have_text_below(name: str) -> None:
    for facts in some_worlds(40):
        assert not re.search(r"^## .+\n+(?=## |\Z)", page(name, facts), re.MULTILINE)


def emergency(facts: Mapping[str, Fact]) -> str:
    found = re.search(r"gg-emergency.*?</section>", page("safety", facts), re.DOTALL)
    assert found
    return found[0]


def test_emergency_block_fits_half_a_page() -> None:
    # Half an A4 sheet at 10 pt holds about 28 lines of 12 words; tables take more room than text.
    for facts in some_worlds(30):
        block = emergency(facts)
        assert len(block.split()) <= 300
        assert block.count("gg-write") == 3


@pytest.mark.parametrize(
    ("facts", "says", "says_not"),
    [
        ({}, "mains socket", "battery"),
        ({"battery": True, "lithium": True}, "burning lithium battery", "mains socket"),
        ({"battery": True}, "Acid in the eye", "lithium"),
    ],
)
def test_emergency_block_knows_the_supply(facts: dict[str, Fact], says: str, says_not: str) -> None:
    found = world(facts)
    assert found is not None
    assert says in emergency(found)
    assert says_not not in emergency(found)


def test_safety_page_tells_all() -> None:
    text = page("safety", world({}) or {}, cautions=3)
    assert text.count('<div class="gg-caution gg-warning"') == 3
    assert "No approval." in text
    assert "| Laser | no laser |" in text


def test_care_page_names_what_to_repeat_for_each_part_there_is() -> None:
    rows = {"fuse": "| The fuse |", "switch": "| The switch |", "regulator": "| The regulator |",
            "mount": "| The mount", "cover": "| The cover |", "adapter": "| The adapter |",
            "battery": "| The battery |"}  # fmt: skip
    for facts in some_worlds(30):
        text = page("care", facts)
        for name, row in rows.items():
            assert (row in text) is facts[name], name
        # One inside the battery is the battery's own.
        own = facts["cut_off_part"] or facts["supply_cut_off"]
        assert ("| The cut-off |" in text) is own


def test_texts_decide_nothing() -> None:
    texts = [(page_source(name), name) for name in PAGES]
    texts += [
        (getattr(f.header, field), f.name) for f in CAUTIONS.values() for field in FIELDS
    ]  # fmt: skip
    texts += [
        (getattr(row, key), f.name)
        for f in FAULT_FILES.values()
        for row in f.header.causes
        for key in CAUSE
    ]
    assert len(texts) > 500
    for text, name in texts:
        assert list(template_troubles(text, Place(name))) == []
