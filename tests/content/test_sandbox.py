"""Own templates come with a spec from anybody: they print, and reach nothing else."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from guidegen.content.files import ContentError, mapping, search_path
from guidegen.content.render import Renderer
from guidegen.errors import Place
from guidegen.kinds import Volt
from guidegen.road import design_of, guide_of
from guidegen.values import given

TOP = Path(__file__).parents[2]
SECRET = "TOPSECRET"
PLACE = Place("own templates/steps/a.md", 3, 1)

# Ways out of a sandbox that are common knowledge among those who test them; from memory.
ESCAPES = [
    "{{ ''.__class__.__mro__[1].__subclasses__() }}",
    "{{ name['__class__'] }}",
    "{{ name|attr('__class__') }}",
    "{{ name|attr('\\x5f\\x5fclass\\x5f\\x5f') }}",
    "{{ name|attr('__cla' ~ 'ss__') }}",
    "{{ [name]|map(attribute='__class__')|list }}",
    "{{ [name]|map('attr', '__class__')|list }}",
    "{{ [name]|groupby('__class__') }}",
    "{{ name.format.__globals__ }}",
    "{{ '{0.__class__}'.format(name) }}",
    "{{ '{0.__class__}'.format_map({'0': name}) }}",
    "{{ ('{0.__class__}'|safe).format(name) }}",
    "{% set f = '{0.__class__}'.format %}{{ f(name) }}",
    "{{ [('{0.__class__.__mro__}', name)]|map('format')|list }}",
    "{{ self.__init__.__globals__ }}",
    "{{ self._TemplateReference__context }}",
    "{{ cycler.__init__.__globals__.os }}",
    "{{ joiner.__init__.__globals__ }}",
    "{{ namespace.__init__.__globals__ }}",
    "{{ lipsum.__globals__ }}",
    "{{ config }}",
    "{{ request.application.__globals__ }}",
    "{{ get_flashed_messages.__globals__ }}",
    "{{ value.__init__.__globals__ }}",
    "{{ value.__dict__ }}",
    "{{ value.kind.__class__.__base__ }}",
    "{{ items.append(1) }}",
    "{{ items.__setitem__(0, 1) }}",
    "{{ mapping.update({'a': 1}) }}",
    "{% import 'os' as os %}{{ os }}",
    "{% include 'SECRET' %}",
    "{% include '../secret.md' %}",
    "{% include 'pages/../../secret.md' %}",
    "{% include ['../secret.md', 'SECRET'] %}",
    "{% extends 'SECRET' %}",
    "{% import 'SECRET' as x %}{{ x }}",
    "{% include 'pages/link.md' %}",
    "{% include 'pages/up/secret.md' %}",
    "{{ open('SECRET') }}",
    "{{ __import__('os') }}",
    "{{ 'x' * 1000000000 }}",
    "{{ 10 ** 100000000 }}",
    "{{ 'x'.ljust(1000000000) }}",
    "{{ 'x'.zfill(1000000000) }}",
    "{{ 'x'|center(1000000000) }}",
    "{{ '%1000000000d'|format(1) }}",
    "{{ '%1000000000d' % 1 }}",
    "{{ '{:1000000000}'.format(1) }}",
    "{{ 'x'|indent(1000000000, true) }}",
    "{% for a in range(1000000000) %}x{% endfor %}",
]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder with own templates, and a file beside them that is nobody's business."""
    (tmp_path / "templates" / "pages").mkdir(parents=True)
    (tmp_path / "secret.md").write_text(SECRET)
    (tmp_path / "templates" / "pages" / "link.md").symlink_to(tmp_path / "secret.md")
    (tmp_path / "templates" / "pages" / "up").symlink_to(tmp_path, target_is_directory=True)
    return tmp_path


@pytest.mark.parametrize("template", ESCAPES)
def test_no_way_out(home: Path, template: str) -> None:
    value = given("x", Volt, 11.8, "spec")
    context = {"name": "n", "items": [], "mapping": {}, "value": value}
    source = template.replace("SECRET", (home / "secret.md").as_posix())
    with pytest.raises(ContentError) as caught:
        Renderer(search_path(home)).text(source, PLACE, context)
    assert SECRET not in str(caught.value)
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith("own templates/")
    assert context == {"name": "n", "items": [], "mapping": {}, "value": value}


def test_an_innocent_template_is_printed(home: Path) -> None:
    (home / "templates" / "pages" / "part.md").write_text("Part of {{ name|upper }}")
    text = "{% for a in items %}{% include 'pages/part.md' %}{% endfor %}"
    page = Renderer(search_path(home)).text(text, PLACE, {"name": "n", "items": [1]})
    assert page == "Part of N"


@pytest.mark.parametrize("text", ["a: " + "[" * 9_000, "- " * 9_000, "a: {b: " * 9_000])
def test_a_deep_header_is_told(text: str) -> None:
    with pytest.raises(ContentError, match=r"templates/a\.md:\d+:\d+: is n"):
        mapping(text, "templates/a.md")


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    return Path(shutil.copy(TOP / "specs" / "herbarium-copy-light.yaml", tmp_path))


def own(spec: Path, name: str) -> Path:
    file = spec.parent / "templates" / name
    file.parent.mkdir(parents=True, exist_ok=True)
    return file


BROKEN = {
    "{% if %}": r"^own templates/pages/care\.md:1:1: ",
    "\n{{ nothing }}": r"^own templates/pages/care\.md:2:1: 'nothing' is undefined",
    "---\na: [\n---\n": r"^own templates/pages/care\.md:\d+:\d+: is not YAML",
    "---\ntitle: x\n": r"^own templates/pages/care\.md:1:1: the header that begins here",
    "x" * 1_000_001: r"^own templates/pages/care\.md: larger than 1 MB",
}  # fmt: skip


@pytest.mark.parametrize("text", BROKEN, ids=lambda text: repr(text[:12]))
def test_a_broken_own_template_is_named(spec: Path, text: str) -> None:
    own(spec, "pages/care.md").write_text(text)
    with pytest.raises(ContentError, match=BROKEN[text]) as caught:
        guide_of(spec, design_of(spec))
    assert len(str(caught.value)) < 400


def test_an_own_template_that_is_a_link_out_is_not_read(spec: Path) -> None:
    secret = spec.parent / "secret.md"
    secret.write_text(SECRET)
    own(spec, "pages/care.md").symlink_to(secret)
    with pytest.raises(ContentError, match=r"care\.md: is a link that leads out") as caught:
        guide_of(spec, design_of(spec))
    assert SECRET not in str(caught.value)


@pytest.mark.parametrize("name", ["pages/care.md", "steps/mine.md"])
@pytest.mark.parametrize("sort", ["folder", "pipe", "nowhere"])
def test_what_is_no_file_is_no_template(spec: Path, name: str, sort: str) -> None:
    file = own(spec, name)
    if sort == "folder":
        file.mkdir()
    elif sort == "pipe":
        os.mkfifo(file)
    else:
        file.symlink_to("nowhere.md")
    told = ""
    try:
        assert guide_of(spec, design_of(spec)).pages
    except ContentError as error:
        told = str(error)
    assert not told or name in told
