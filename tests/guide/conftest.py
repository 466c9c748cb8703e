"""A whole small light, and content files that build it: two rows, rails, regulator, control."""

from __future__ import annotations

import sys
from pathlib import Path
from textwrap import dedent

import pytest

from guidegen.content.files import SearchPath
from guidegen.content.words import Words, load_words
from guidegen.design.model import Conductor, Joint, Model, Part, Terminal
from guidegen.design.solid import Box
from guidegen.folders import folder
from guidegen.guide.bench import all_facts
from guidegen.kinds import Ampere, ConductorArea, Count, Hour, Metre, Volt
from guidegen.values import Value, given

# The helpers beside these tests are no tests and belong to no package.
sys.path.insert(0, str(Path(__file__).parent))

VALUES: tuple[Value, ...] = (
    given("adapter.highest_current", Ampere, 4.0, "catalogue"),
    given("regulator.trimmer", Volt, 0.0, "catalogue"),
    given("setting.full", Volt, 11.8, "spec", 0.2),
    given("start.volts", Volt, 14.0, "chosen"),
    given("start.limit", Ampere, 0.5, "chosen"),
    given("full.limit", Ampere, 3.0, "chosen"),
    given("glue.hours", Hour, 12.0, "chosen"),
    given("count.jumpers", Count, 4.0, "model"),
)
FACTS = {"battery": False, "cover": True, "bare_rails": True, "faces": "sideways"}


def _wires() -> list[tuple[str, str, str, str, str, bool]]:
    chain = [
        ("W1", "lead", "X1:+", "F1:1", "+", False),
        ("W2", "lead", "X1:-", "T1:IN-", "-", False),
        ("W3", "link", "F1:2", "Q1:1", "+", False),
        ("W4", "link", "Q1:2", "T1:IN+", "+", False),
        ("W5", "control_lead", "T1:VR1", "R1:1", "a", False),
        ("W6", "control_lead", "T1:VR2", "R1:2", "b", False),
        ("W9", "feed", "T1:OUT+", "W7:feed", "+", False),
        ("W10", "feed", "T1:OUT-", "W8:feed", "-", False),
    ]
    rows = [
        ("W11", "jumper", "W7:1", "E1:L+", "+", True),
        ("W12", "jumper", "W7:2", "E2:L+", "+", True),
        ("W13", "jumper", "W8:1", "E1:R-", "-", True),
        ("W14", "jumper", "W8:2", "E2:R-", "-", True),
    ]
    return chain + rows


def _parts() -> list[Part]:
    return [
        Part("U1", "board", "board", made=True),
        Part("U2", "border", "border strip", made=True, on="U1", cures=True),
        Part("U3", "border", "border strip", made=True, on="U1", cures=True),
        Part("U4", "cover", "cover", made=True, on="U1", covers=("row", "rail", "jumper")),
        Part("H1", "cover_screw", "screw 3 x 16", on="U4", count=6),
        Part("G1", "supply", "adapter"),
        Part("X1", "connector", "lead socket"),
        Part("F1", "fuse", "fuse", on="U1", side="back"),
        Part("Q1", "switch", "switch", on="U1", side="back"),
        Part("T1", "regulator", "regulator, step-down", on="U1", side="back"),
        Part("R1", "control", "control", on="U1", side="back"),
        Part("R2", "across_resistor", "resistor", on="R1", side="back"),
        Part("W7", "rail", "rail", made=True, on="U1", polarity="+", bare=True),
        Part("W8", "rail", "rail", made=True, on="U1", polarity="-", bare=True),
        Part("H2", "insulation", "insulating tape", on="W7", covers=("rail", "jumper")),
        Part("H3", "insulation", "insulating tape", on="W8", covers=("rail", "jumper")),
        Part("E1", "row", "tape", made=True, on="U1", row=1),
        Part("E2", "row", "tape", made=True, on="U1", row=2),
    ]


TERMINALS = {
    "G1": "+ -", "X1": "+ -", "F1": "1 2", "Q1": "1 2", "T1": "IN+ IN- OUT+ OUT- VR1 VR2",
    "R1": "1 2 3", "W7": "feed 1 2", "W8": "feed 1 2", "E1": "L+ L- R+ R-", "E2": "L+ L- R+ R-",
}  # fmt: skip
SIGNS = {"F1": "+", "Q1": "+", "W7": "+", "W8": "-"}


def make_model() -> Model:
    metre, area = given("wire.length", Metre, 0.1, "spec"), given("a", ConductorArea, 5e-7, "spec")
    current = given("wire.current", Ampere, 1.0, "spec")
    wires = [
        Conductor(
            ref,
            role,
            start,
            end,
            sign,
            role,
            "wire",
            area,
            "0.5 mm²",
            "RD",
            metre,
            current,
            "tinned",
            "tinned",
            bare=bare,
        )
        for ref, role, start, end, sign, bare in _wires()
    ]
    ends = [(wire.ref, key) for wire in wires for key in (wire.start, wire.end)]
    ends += [("R2", "R1:1"), ("R2", "R1:3")]
    joints = [
        Joint(f"J{i}", ref, key, "screw" if key[:3] in ("T1:",) else "solder")
        for i, (ref, key) in enumerate(ends, 1)
    ]
    used = {joint.terminal for joint in joints} | {"G1:+", "G1:-"}
    terminals = [
        Terminal(ref, name, _sign(ref, name), unused=f"{ref}:{name}" not in used)
        for ref, names in TERMINALS.items()
        for name in names.split()
    ]
    return Model(tuple(_parts()), tuple(terminals), tuple(wires), tuple(joints), Box(0, 0, 1, 1))


def _sign(ref: str, name: str) -> str:
    return name[-1] if name[-1] in "+-" else SIGNS.get(ref, "")


STEPS = {
    "board-cut": """
        ---
        stage: cut
        goal: Board, border and cover cut to size
        does: [{cuts: board}, {cuts: border}, {cuts: cover}]
        minutes: {fixed: 20}
        tools: [saw]
        no_check: sizes are read in the cut list
        ---
        1. Take the {{ tool('saw') }}.
        2. Cut {{ part('board') }}, {{ part('border') }} and {{ part('cover') }}.
        """,
    "wire-cut": """
        ---
        stage: cut
        goal: Rails, rows and wires cut to length
        does:
        - {cuts: row}
        - {cuts: rail}
        - {cuts: jumper}
        - {cuts: lead}
        - {cuts: link}
        - {cuts: feed}
        - {cuts: control_lead}
        tools: [side-cutters]
        no_check: lengths are read in the wire list
        ---
        1. Cut {{ part('row') }} at a cut line with the {{ tool('side-cutters') }}.
        2. Cut {{ part('rail') }} and {{ part('jumper') }}.
        3. Cut {{ part('lead') }}, {{ part('link') }} and {{ part('feed') }}.
        4. Cut {{ part('control_lead') }}.
        """,
    "border-glued": """
        ---
        stage: frame
        needs: [board-cut]
        goal: Border glued to the board
        does: [{fits: border}, {waits: border, hours: glue.hours}]
        waiting: glue.hours
        uses: {wood-glue: 12}
        no_check: the joint is looked at when it is dry
        ---
        1. Glue {{ part('border') }} to {{ part('board') }} with {{ consumable('wood-glue') }}.
        2. Leave it for {{ v.glue.hours }}.
        """,
    "rows-stuck": """
        ---
        stage: panel
        needs: [wire-cut, border-glued]
        goal: Rows and rails on the board
        does: [{fits: row}, {fits: rail}]
        no_check: polarity is read when the rows are joined
        ---
        1. Stick {{ part('row') }} to {{ part('board') }}.
        2. Fix {{ part('rail') }}.
        """,
    "rows-joined": """
        ---
        stage: panel
        needs: [rows-stuck]
        goal: Rows soldered to the rails
        does:
        - {joins: jumper to row}
        - {joins: jumper to rail}
        - {reads: ohms, at: rail+.feed to row+.fed, holds: joined}
        - {reads: ohms, at: rail-.feed to row-.fed, holds: joined}
        - {reads: ohms, at: rail+.feed to rail-.feed, holds: open}
        minutes: {fixed: 5, each: 1.5, of: count.jumpers}
        tools: [soldering-iron, meter]
        uses: {solder: count.jumpers}
        if_not: row-open
        ---
        1. Solder {{ part('jumper') }} to {{ part('row') }} with the {{ tool('soldering-iron') }}.
        2. Solder them to {{ part('rail') }}.
        3. Set the {{ tool('meter') }}. Read {{ reading(1) }}.
        4. Read {{ reading(2) }}.
        5. Read {{ reading(3) }}.
        """,
    "box-fitted": """
        ---
        stage: box
        needs: [rows-joined]
        goal: Regulator, fuse, switch and control in place
        does: [{fits: regulator}, {fits: fuse}, {fits: switch}, {fits: control}]
        no_check: nothing can be read yet
        ---
        1. Fit {{ part('regulator') }} and {{ part('fuse') }}.
        2. Fit {{ part('switch') }} and {{ part('control') }}.
        """,
    "box-wired": """
        ---
        stage: box
        needs: [box-fitted]
        goal: All wired
        does:
        - {joins: control_lead}
        - {joins: across_resistor}
        - {joins: lead}
        - {joins: link}
        - {joins: feed}
        tools: [soldering-iron, screwdriver]
        no_check: the next stage reads every net
        ---
        1. Join {{ part('control_lead') }} to {{ part('control') }}.
        2. Add {{ part('across_resistor') }}.
        3. Join {{ part('lead') }} to {{ part('connector') }} and {{ part('fuse') }}.
        2. Join the other core to {{ part('regulator') }}.
        3. Join {{ part('link') }} to {{ part('switch') }}.
        4. Join {{ part('feed') }} to {{ part('rail') }}.
        5. Use the {{ tool('soldering-iron') }} and the {{ tool('screwdriver') }}.
        """,
    "cold-read": """
        ---
        stage: cold
        needs: [box-wired]
        hold: HP2
        who: C
        goal: Every net read without power
        does:
        - {sets: switch, to: closed}
        - {reads: ohms, at: connector+ to regulator.IN+, holds: joined}
        - {reads: ohms, at: connector- to regulator.IN-, holds: joined}
        - {reads: ohms, at: connector+ to connector-, holds: not-short}
        - {reads: ohms, at: regulator.OUT+ to rail+.tap, holds: joined}
        - {reads: ohms, at: regulator.OUT+ to regulator.OUT-, holds: not-short}
        - {reads: ohms, at: regulator.OUT- to rail-.tap, holds: joined}
        - {sets: switch, to: open}
        tools: [meter]
        if_not: row-open
        ---
        1. Close {{ part('switch') }}. Set the {{ tool('meter') }}.
        2. Read {{ reading(1) }}.
        3. Read {{ reading(2) }}.
        4. Read {{ reading(3) }}.
        5. Read {{ reading(4) }}.
        6. Read {{ reading(5) }}.
        7. Read {{ reading(6) }}. Open the switch.
        """,
    "first-light": """
        ---
        stage: power
        needs: [cold-read]
        goal: Upper limit set
        does:
        - {sets: control, to: low}
        - {sets: trimmer, to: low}
        - {sets: switch, to: closed}
        - powers:
            {from: bench, at: connector+ to connector-, volts: start.volts, limit: start.limit}
        - {sets: control, to: high}
        - {sets: trimmer, to: design}
        - {reads: volts, at: regulator.OUT+ to regulator.OUT-, holds: setting.full}
        - {sets: control, to: low}
        - {powers: none}
        - {sets: switch, to: open}
        tools: [bench-supply, meter, trim-tool]
        if_not: row-open
        ---
        1. Turn {{ part('control') }} and {{ part('trimmer') }} low. Close {{ part('switch') }}.
        2. Join the {{ tool('bench-supply') }}: {{ v.start.volts }}, {{ v.start.limit }}.
        3. Turn the trimmer with the {{ tool('trim-tool') }}. Set the {{ tool('meter') }}.
        4. Read {{ reading(1) }}.
        """,
    "rails-covered": """
        ---
        stage: accept
        needs: [first-light]
        goal: Bare metal covered
        does: [{fits: insulation}, {fits: cover}, {fits: cover_screw}]
        tools: [screwdriver]
        no_check: looked at by the checker
        ---
        1. Cover {{ part('rail') }} with {{ part('insulation') }}.
        2. Fit {{ part('cover') }} with {{ part('cover_screw') }} and the {{ tool('screwdriver') }}.
        """,
    "full-light": """
        ---
        stage: accept
        needs: [rails-covered]
        hold: HP4
        who: L
        goal: Light lit from its own supply
        does:
        - {sets: switch, to: closed}
        - {powers: {from: supply}}
        - {reads: eye, at: row, holds: lit}
        - {sets: switch, to: open}
        - {powers: none}
        if_not: row-open
        ---
        1. Close {{ part('switch') }}.
        2. Plug in. Look: {{ reading(1) }}.
        """,
}
FAULTS = {
    "row-open": """
        ---
        symptom: A reading is not as printed
        causes:
        - cause: A jumper is loose
          test: Tug each jumper
          expect: Nothing moves
          action: Solder {{ part('jumper') }} again
          retest: Repeat {{ step('rows-joined') }}
        - cause: The battery is flat
          when: battery
          test: Read its voltage
          expect: More than it shows
          action: Charge it
          retest: Repeat the reading
        ---
        """
}
CAUTIONS = {
    "iron-hot": """
        ---
        number: H17
        word: caution
        at: {tools: [soldering-iron]}
        title: Hot iron
        hazard: The tip of the {{ tool('soldering-iron') }} is at some hundred degrees
        consequence: Burns
        avoid: Put it in its stand. Tie back hair and sleeves
        defers_to: workplace or school rules
        ---
        """,
    "bare-rails": """
        ---
        number: H11
        when: bare_rails and adapter.highest_current > 3
        word: [{when: battery, word: warning}, {word: caution}]
        at: {does: [powers, fits rail]}
        title: Bare rails
        hazard: A tool across {{ part('rail') }} carries {{ v.adapter.highest_current }}
        consequence: Burns and sparks
        avoid: Keep the supply unplugged until the rails are covered
        defers_to: data sheets
        ---
        """,
    "battery-fire": """
        ---
        number: H08
        when: battery
        word: warning
        at: {pages: [use]}
        title: Charging
        hazard: A cell
        consequence: Fire
        avoid: Stay with it
        defers_to: data sheets
        ---
        """,
}


def write(folder_: Path, sort: str, files: dict[str, str]) -> None:
    (folder_ / sort).mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder_ / sort / f"{name}.md").write_text(dedent(text).lstrip(), encoding="utf-8")


@pytest.fixture
def model() -> Model:
    return make_model()


@pytest.fixture
def values() -> dict[str, Value]:
    return {value.name: value for value in VALUES}


@pytest.fixture
def facts() -> dict[str, bool | float | str]:
    return dict(FACTS)


@pytest.fixture
def known(facts: dict, values: dict) -> dict:
    return all_facts(facts, values)


@pytest.fixture
def toy(tmp_path: Path) -> Path:
    """A folder `templates/` of toy content."""
    home = tmp_path / "package"
    write(home, "steps", STEPS)
    write(home, "cautions", CAUTIONS)
    write(home, "faults", FAULTS)
    return home


@pytest.fixture
def search(toy: Path) -> SearchPath:
    return SearchPath(toy)


@pytest.fixture
def words() -> Words:
    # Without words for facts: what they become must not follow from the language file.
    return load_words(SearchPath(folder("templates"))).model_copy(update={"facts": {}, "never": {}})
