from __future__ import annotations

import html
from pathlib import Path

import markdown
import pytest
from hypothesis import given as hypothesis_given
from hypothesis import settings
from hypothesis import strategies as st

from guidegen.content.files import ContentError, SearchPath
from guidegen.content.render import Renderer, escaped, template_troubles
from guidegen.errors import Place
from guidegen.kinds import Volt
from guidegen.values import given

PLACE = Place("templates/steps/a.md", 7, 1)


@pytest.fixture
def renderer(tmp_path: Path) -> Renderer:
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages/part.md").write_text("---\nx: 1\n---\nOne {{ name }}\n")
    (tmp_path / "pages/loop.md").write_text("{% include 'pages/loop.md' %}")
    return Renderer(SearchPath(tmp_path))


def test_a_value_prints_as_its_text(renderer: Renderer) -> None:
    value = given("x", Volt, 11.8, "spec")
    assert renderer.text("{{ x }}", PLACE, {"x": value}) == "11.80\u00a0V"


HOSTILE = ["<b>x</b>", "a*b*c", "_x_ __y__", "[a](http://x)", "`code`", "# head", "1. one", "- one",
           "![](x)", "a|b", "{: .cls }", "~~x~~", "http://x.y", "&amp;", "\\*x", "a\n\n# b",
           "    code", "[^1]", ":smile:", "==x==", "<script>", "$x$", "++x++", "> quote",
           "+ x", "2) x", "***", "---", "<!-- x -->"]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_text_from_a_spec_stays_text(renderer: Renderer, text: str) -> None:
    for template in ("{{ x }}", "Says {{ x }} here", "- {{ x }}"):
        page = str(renderer.text(template, PLACE, {"x": text}))
        made = markdown.markdown(page, extensions=["extra", "admonition", "sane_lists"])
        plain = str(renderer.text(template, PLACE, {"x": "word"}))
        frame = markdown.markdown(plain, extensions=["extra", "admonition", "sane_lists"])
        shown = " ".join(text.split())
        expected = shown.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        assert _entities(made) == _entities(frame.replace("word", expected))


def _entities(text: str) -> str:
    return html.unescape(html.unescape(text)).replace("&", "&amp;")


@settings(max_examples=300, deadline=None)
@hypothesis_given(st.text(max_size=40))
def test_no_text_makes_markup(text: str) -> None:
    made = markdown.markdown(f"x {escaped(text)} x", extensions=["extra"])
    assert made.count("<") == 2  # the paragraph's own two tags


def test_the_terminal_gets_plain_text(tmp_path: Path) -> None:
    plain = Renderer(SearchPath(tmp_path), plain=True)
    assert plain.text("{{ x }}", PLACE, {"x": "a*b & <c>"}) == "a*b & <c>"


@pytest.mark.parametrize(
    ("template", "message"),
    [
        ("ok\n{{ nme }}", r"a.md:8:1: 'nme' is undefined. Did you mean 'name'\?"),
        ("{{ name.x }}", r"a.md:7:1: .*has no attribute 'x'"),
        ("\n\n{% if %}", r"a.md:9:1: "),
        ("{{ name.__class__ }}", r"a.md:7:1: .*unsafe"),
        ("{{ number }}", r"a.md:7:1: a number without a kind can't be printed"),
        ("{{ nothing }}", r"None can't be printed"),
        ("{{ yes }}", r"True can't be printed"),
        ("{{ items.append(1) }}", r"a.md:7:1: .*unsafe|not safely callable"),
        ("{% include 'pages/none.md' %}", r"there is no template called 'pages/none.md'"),
        ("{% include '../x.md' %}", r"there is no template called"),
        ("{% include 'pages/loop.md' %}", r"includes itself without end"),
        ("{{ 1 / zero }}", r"a.md:7:1: division by zero"),
        ("{{ name | nosuch }}", r"a.md:7:1: No filter named 'nosuch'"),
    ],
)
def test_faults_name_file_and_line(renderer: Renderer, template: str, message: str) -> None:
    context = {"name": "n", "number": 1.5, "nothing": None, "yes": True, "items": [], "zero": 0}
    with pytest.raises(ContentError, match=message):
        renderer.text(template, PLACE, context)


def test_an_included_file_is_named_with_its_own_line(renderer: Renderer) -> None:
    with pytest.raises(ContentError, match=r"^templates/pages/part.md:4:1: 'name' is undefined"):
        renderer.text("{% include 'pages/part.md' %}", PLACE, {})


@pytest.mark.parametrize(
    "template",
    ["{% set x = 1 %}", "{{ a + 1 }}", "{{ a * 2 }}", "{{ -a }}", "{% if a > 3 %}x{% endif %}",
     "{% if a == b %}x{% endif %}", "{% if a is even %}x{% endif %}", "{{ a ~ b }}",
     "{{ a | safe }}",
     "{{ a | round(2) }}", "{% set x %}a{% endset %}", "{{ a % 2 }}", "{% if %}"],
)  # fmt: skip
def test_a_template_that_decides_is_told(template: str) -> None:
    found = list(template_troubles("\n" + template, PLACE))
    assert found
    assert found[0].startswith("templates/steps/a.md:8:")


def test_a_template_that_loops_chooses_and_prints_is_fine() -> None:
    text = "{% for r in rows %}{% if r.lit %}{{ r.name }}{% else %}{{ v['a.b'] }}{% endif %}"
    text += "{% endfor %}"
    assert not list(template_troubles(text, PLACE))
