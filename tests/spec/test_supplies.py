"""Further supplies of a spec: each is read with the same light, and its faults with their lines."""

from __future__ import annotations

from collections.abc import Callable

from guidegen.spec import Fixture, canonical
from guidegen.spec.changes import changed
from guidegen.spec.schema import json_schema

Read = Callable[[str | bytes], Fixture]
Faults = Callable[[str | bytes], list[str]]
FIRST = "  - adapter: adapter-15v-30w\n"
BATTERY = """\
  - name: pack
    battery: li-ion-6s-5ah
    chain:
      - {cut_off: built in, trips_at: 18.5 V ± 0.3 V}
      - {fuse: fuse-blade-58v, rating: 5 A}
      - {lead: twin-flex, size: 1.5 mm², length: 0.5 m}
"""


def with_more(short: str, more: str) -> str:
    return short.replace(FIRST, FIRST + more)


def test_one_supply_has_no_alternative(short: str, read: Read) -> None:
    assert read(short).alternatives == ()


def test_each_alternative_is_the_same_light_with_its_own_supply(short: str, read: Read) -> None:
    fixture = read(with_more(short, "  - adapter: adapter-19v-65w\n" + BATTERY))
    assert fixture.supply.part.key == "adapter-15v-30w"
    second, pack = fixture.alternatives
    assert second.supply.part.key == "adapter-19v-65w"
    assert [stage.kind for stage in pack.supply.chain] == ["cut_off", "fuse", "lead"]
    # What the light itself has is that of the first supply, its fuse too.
    kinds = [stage.kind for stage in fixture.chain]
    assert "fuse" in kinds
    assert [[stage.kind for stage in one.chain] for one in fixture.alternatives] == [kinds, kinds]
    assert [one.place("supplies.1").line for one in (fixture, second, pack)] == [6, 7, 8]
    assert pack.supply.chain[1].place.line == 12
    # A second lead is told apart from the first.
    lead = next(stage for stage in pack.chain if stage.kind == "lead")
    assert lead.length is not None
    assert [one.alternatives for one in fixture.alternatives] == [(), ()]


def test_what_stays_with_the_first_supply_is_not_filled_in(short: str, read: Read) -> None:
    """The light of a battery with a fuse of its own has none, whatever supply it is joined to."""
    text = short.replace(FIRST, BATTERY + FIRST)
    fixture = read(text)
    assert "fuse" not in [stage.kind for stage in fixture.chain]
    assert "fuse" not in [stage.kind for stage in fixture.alternatives[0].chain]


def test_faults_of_an_alternative_stand_at_their_line(short: str, faults: Faults) -> None:
    said = faults(with_more(short, """\
  - adapter: adapter-19v-56w
  - battery: li-ion-6s-5ah
    chain:
      - {fuse: fuse-blade-58v, ratng: 5 A}
  - adapter: adapter-19v-65w
    battery: li-ion-6s-5ah
"""))  # fmt: skip
    assert [line.split(":")[1] for line in said] == ["7", "10", "12"]
    assert "Did you mean 'adapter-19v-65w'?" in said[0]
    assert "'rating'" in said[1]
    assert "both here" in said[2]


def test_mains_is_refused_with_the_faults_of_the_first(short: str, faults: Faults) -> None:
    said = faults(with_more(short, "  - mains: 230 V\n").replace("name: Shelf", "nam: Shelf"))
    assert any(":7:" in line and "'mains' is refused" in line for line in said)


def test_hostile_lists(short: str, faults: Faults) -> None:
    many = faults(with_more(short, "  - adapter: adapter-19v-65w\n" * 6))
    assert ["too many items. Accepted: at most 6" in line for line in many] == [True]
    for item in ("text", "[]", "''", "{}", "[{adapter: auto}]", "{name: none}", "{chain: []}"):
        said = faults(with_more(short, f"  - {item}\n"))
        assert all(line.startswith("shelf-light.yaml:7:") for line in said), (item, said)


def test_an_adapter_stays_whole_as_an_alternative(short: str, faults: Faults) -> None:
    said = faults(with_more(short, "  - adapter: adapter-19v-65w\n    chain: [{fuse: auto}]\n"))
    assert "an adapter stays whole" in said[0]


def test_two_fuses_are_one_too_many_only_for_the_first(short: str, faults: Faults) -> None:
    said = faults(short.replace(FIRST, BATTERY) + "chain:\n  - fuse: fuse-5x20\n")
    assert "a second fuse is not in this version" in said[0]


def test_what_was_measured_on_another_supply_is_its_own(short: str, read: Read) -> None:
    text = with_more(short, BATTERY) + (
        "measured: [{of: supplies.pack, date: 2026-02-14, meter: 0.5 %, capacity: 4.1 Ah}]\n"
    )
    pack = read(text).alternatives[0].supply.part
    assert abs(pack["capacity"].si - 4.1 * 3600) < 1e-6 or abs(pack["capacity"].si - 4.1) < 1e-9


def test_the_fingerprint_counts_what_a_supply_says_and_no_more(short: str, read: Read) -> None:
    said = canonical(read(with_more(short, BATTERY)))
    assert said != canonical(read(short))
    assert said == canonical(
        read(with_more(short, BATTERY.replace("0.5 m", "500 mm") + "  # pack\n"))
    )
    assert said != canonical(read(with_more(short, BATTERY.replace("0.5 m", "0.6 m"))))
    assert said != canonical(read(with_more(short, BATTERY.replace("5 A", "7.5 A"))))


def test_a_supply_is_left_out_by_its_number(short: str, read: Read) -> None:
    fixture = read(with_more(short, BATTERY + "  - adapter: adapter-19v-65w\n"))
    left = changed(fixture, {"supplies.2": "(left out)"})
    assert [one.supply.kind for one in left.alternatives] == ["adapter"]
    assert changed(left, {"supplies.2": "(left out)"}).alternatives == ()


def test_the_schema_takes_six(short: str) -> None:
    listed = json_schema()["properties"]["supplies"]
    assert (listed["minItems"], listed["maxItems"]) == (1, 6)
