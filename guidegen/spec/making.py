"""Making: copies and stock; limits that the design keeps; wishes for the guide."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Annotated, Any

from pydantic import Field

from guidegen import kinds
from guidegen.kinds import kind_of
from guidegen.spec.keys import LATER, Context, Key, line, part_key, quantity, words
from guidegen.spec.part import Part
from guidegen.spec.quantities import Fault
from guidegen.spec.section import Numbered, Section
from guidegen.spec.tree import Items, Map, Text
from guidegen.units import clip, tidy
from guidegen.values import Given

STOCK = {"sheet": ("sheet",), "bar": ("bar", "busbar"), "tape": ("tape",)}
_PRICE = re.compile(r"(\d{1,7}(?:\.\d{1,2})?) ?([A-Z]{3})", re.A)


def _price() -> Key:
    def convert(node: Any, context: Context) -> Given | None:
        if not hasattr(node, "place"):
            return None
        found = _PRICE.fullmatch(tidy(node)) if isinstance(node, Text) else None
        if not found:
            shown = clip(node) if isinstance(node, Text) else "this"
            accepted = "Accepted: a number and a currency's three letters, such as '22 EUR'"
            raise Fault(f"{shown} is not a price. {accepted}")
        kind, source = kind_of(kinds.Price), f"{node.place.file}:{node.place.line}"
        return Given("price", float(found[1]), kind, source, 0.0, node.place, tidy(node))

    return Key(convert, "Price of one", "22 EUR", default="")


def _stock_part(kind: str) -> Key:
    examples = {"sheet": "mdf", "bar": "softwood-12x25", "tape": "tape-12v-10w-cri95"}
    return part_key("stock", STOCK[kind], f"The {kind}", examples[kind], default="")


def _size(name: str, text: str) -> Key:
    return quantity(name, kinds.Metre, ("10 mm", "100 m", "600 mm"), text, default="none",
                    absent=True)  # fmt: skip


class Stock(Numbered):
    """A size in which a material is on hand or can be bought."""

    later = frozenset({"conductor"})
    sheet: Annotated[Part | None, _stock_part("sheet")]
    bar: Annotated[Part | None, _stock_part("bar")]
    tape: Annotated[Part | None, _stock_part("tape")]
    thickness: Annotated[
        Given | None,
        quantity("thickness", kinds.FineMetre, ("0.5 mm", "50 mm", "9 mm"),
                 "Thickness of a sheet", default="none", absent=True),
    ]  # fmt: skip
    width: Annotated[Given | None, _size("width", "Width of a sheet")]
    length: Annotated[Given | None, _size("length", "Length")]
    price: Annotated[Given | None, _price()]
    on_hand: Annotated[
        Given | None,
        quantity("on_hand", kinds.Count, ("0", "10000", "2"),
                 "How many there are; left out: as many as are bought", default="none",
                 absent=True),
    ]  # fmt: skip

    @property
    def part(self) -> Part:
        """The material."""
        found = self.sheet or self.bar or self.tape
        assert found is not None  # `checked` refuses stock of nothing
        return found

    @property
    def kind(self) -> str:
        """`sheet`, `bar` or `tape`."""
        return self.part.kind

    @property
    def currency(self) -> str:
        """Three letters, or empty where no price is given."""
        return self.price.written[-3:] if self.price else ""

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """One material, with the sizes that it has."""
        found = [key for key in STOCK if key in data]
        if len(found) != 1:
            what = "both here" if found else "missing"
            names = " and ".join(f"'{key}'" for key in found) or "'sheet', 'bar' or 'tape'"
            verb = "are" if found else "is"
            context.note(data, f"{names} {verb} {what}. Accepted: one of sheet, bar, tape",
                         at_key=True)  # fmt: skip
            return data
        needed = ("width", "length") if found == ["sheet"] else ("length",)
        for key in needed:
            if key not in data:
                context.note(data, f"'{key}' is missing. Accepted: such as '{key}: 600 mm'",
                             at_key=True)  # fmt: skip
        for key in ("width", "thickness"):
            if key in data and found != ["sheet"]:
                context.note(data[key], f"'{key}' does not belong to stock of {found[0]}",
                             at_key=True)  # fmt: skip
        return data


class Making(Section):
    """How many, from what."""

    later = frozenset({"tools"})
    copies: Annotated[
        Given,
        quantity("making.copies", kinds.Count, ("1", "1000", "8"), "Number of lights",
                 default="1"),
    ]  # fmt: skip
    kerf: Annotated[
        Given,
        quantity("making.kerf", kinds.FineMetre, ("0 mm", "10 mm", "1.5 mm"), "Kerf of the saw",
                 default="3 mm ± 0.5 mm (common practice, from memory)"),
    ]  # fmt: skip
    stock: Annotated[
        tuple[Stock, ...],
        Field(description="Sizes on hand or to buy; left out: those of the catalogue",
              examples=[[{"tape": "tape-12v-10w-cri95", "length": "5 m", "price": "22 EUR"}]],
              max_length=60),
    ] = ()  # fmt: skip

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """Prices can be added in one currency only."""
        stock = data.get("stock", Items())
        if not isinstance(stock, Items):
            context.note(stock, "this is no list. Accepted: items such as '- tape: …'")
            return data
        for number, item in enumerate(stock, 1):
            item.prefix = f"stock_{number}"
        prices = [item["price"] for item in stock if isinstance(item, Map) and "price" in item]
        found = [(p, m[2]) for p in prices if isinstance(p, Text) and (m := _PRICE.fullmatch(p))]
        for price, currency in found:
            if currency != found[0][1]:
                message = f"a second currency. Accepted: {found[0][1]}, as in the first price"
                context.note(price, message)
        return data


def _limit(name: str, annotated: Any, limits: tuple[str, str, str], text: str, default: str) -> Key:
    """A limit; its default is this project's own."""
    plain = quantity(f"limits.{name}", annotated, limits, text, default=default)

    def convert(node: Any, context: Context) -> Given:
        found: Given = plain.convert(node, context)
        if hasattr(node, "place"):
            return found
        note = found.source.removeprefix("default").strip()
        return replace(found, source=f"project default {note}".strip())

    return replace(plain, convert=convert)


_SHARE = ("0.1 %", "50 %", "3 %")
_MARGIN = ("0 %", "80 %", "20 %")
_WARM = ("25 °C", "120 °C", "60 °C")


class Limits(Section):
    """What the design must keep to."""

    row_drop: Annotated[Given, _limit("row_drop", kinds.FinePercent, _SHARE,
                        "Voltage drop along a row", "3 %")]  # fmt: skip
    rail_drop: Annotated[Given, _limit("rail_drop", kinds.FinePercent, _SHARE,
                         "Voltage drop along the rails", "2 %")]  # fmt: skip
    lead_drop: Annotated[Given, _limit("lead_drop", kinds.FinePercent, _SHARE,
                         "Voltage drop in the lead", "3 %")]  # fmt: skip
    adapter_margin: Annotated[Given, _limit("adapter_margin", kinds.FinePercent, _MARGIN,
                              "Spare part of the adapter's rating", "20 %")]  # fmt: skip
    board_temperature: Annotated[Given, _limit("board_temperature", kinds.Celsius, _WARM,
                                 "Temperature of the tape's face",
                                 "60 °C (common practice, from memory)")]  # fmt: skip
    touch_temperature: Annotated[Given, _limit("touch_temperature", kinds.Celsius, _WARM,
                                 "Temperature of what a hand can touch",
                                 "60 °C (ISO 13732-1, plastics and wood, 1 min,"
                                 " from memory)")]  # fmt: skip
    clearance: Annotated[Given, _limit("clearance", kinds.FineMetre, ("0.2 mm", "50 mm", "3 mm"),
                         "Between bare conductors of different polarity",
                         "3 mm")]  # fmt: skip


class GuideWishes(Section):
    """What the guide is like."""

    later = frozenset({"units", "language", "address", "raised"})
    edition: Annotated[str, words("Edition", ("bench",), default="bench")]
    region: Annotated[
        str,
        words("Where it is read: decides the colours of the wires",
              ("elsewhere", "europe", "united kingdom", "north america", "australia"),
              default="elsewhere"),
    ]  # fmt: skip
    paper: Annotated[str, words("Paper", ("A4", "Letter"), default="A4")]
    publisher: Annotated[str, line("Who gives the guide out", "Studio", 80, "")]

    @classmethod
    def checked(cls, data: Map, context: Context) -> Map:
        """The class edition has its place in the format, and comes later."""
        if data.get("edition") == "class":
            context.note(data["edition"], f"edition 'class' {LATER}. Accepted: bench")
            return Map({key: value for key, value in data.items() if key != "edition"})
        return data
