from __future__ import annotations

from typing import Any

import pytest

from guidegen.publish.markup import described, inline_figures, scrolling_tables

TWO = "<table><tr><th>a</th><th>b</th></tr><tr><td>1</td><td>2</td></tr></table>"


def test_each_table_gets_its_own_box() -> None:
    html = scrolling_tables(f"<p>x</p>{TWO}<p>y</p>{TWO}")
    assert html.count('<div class="gg-scroll" tabindex="0"><table class="gg-table">') == 2
    assert html.count("</table></div>") == 2


def test_a_class_and_other_words_of_a_table_stay() -> None:
    html = scrolling_tables(TWO.replace("<table", '<table id="k" class="gg-key"'))
    assert '<table id="k" class="gg-table gg-key">' in html


def test_a_table_of_many_columns_is_marked() -> None:
    seven = f"<table><thead><tr>{'<th>a</th>' * 7}</tr></thead></table>"
    assert "gg-many" in scrolling_tables(seven)
    assert "gg-many" not in scrolling_tables(seven.replace("<th>a</th>", "", 1))


def test_a_drawing_becomes_one_image_with_its_words() -> None:
    svg = '<?xml version="1.0"?>\n<svg role="x" aria-labelledby="t" viewBox="0 0 1 1"><g/></svg>'
    assert described(svg, 'a "b" <c>') == (
        '<svg role="img" aria-label="a &quot;b&quot; &lt;c&gt;" viewBox="0 0 1 1"><g/></svg>'
    )


def test_images_become_drawings_from_any_folder(toy: Any) -> None:
    for up in ("", "../", "../../"):
        html = inline_figures(f'<p><img alt="x" src="{up}figures/outline.svg" /></p>', toy.figures)
        assert html.startswith('<figure class="gg-figure" id="figure-outline"><div')
        assert "<p>" not in html
        assert f'href="{up}figures/outline.svg"' in html
        assert "Outline, sizes in mm." in html


def test_a_drawing_within_a_line_stays_in_it(toy: Any) -> None:
    html = inline_figures('<td>see <img src="figures/outline.svg"> here</td>', toy.figures)
    assert html.startswith("<td>see <svg")
    assert html.endswith("</svg> here</td>")


def test_other_images_stay(toy: Any) -> None:
    html = '<p><img src="figures/other.svg"> <img src="photo.png"></p>'
    assert inline_figures(html, toy.figures) == html


def test_ids_differ_where_a_drawing_is_shown_again(toy: Any) -> None:
    html = inline_figures('<img src="figures/outline.svg">', toy.figures, lambda name: "again2-")
    assert "id='again2-outline-c'" in html
    assert 'url(#again2-outline-c)"' in html
    assert "gg-alone" not in html


@pytest.mark.parametrize("words", [r"a \x b", r"\1", r"\g<0>", "\\"])
def test_a_backslash_in_the_words_of_a_drawing_stays_one(words: str) -> None:
    assert described("<svg><g/></svg>", words) == (
        f'<svg role="img" aria-label="{words.replace("<", "&lt;").replace(">", "&gt;")}"><g/></svg>'
    )
