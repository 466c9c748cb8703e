from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import markdown
import pytest

from guidegen.publish.build import folder_of
from guidegen.publish.pages import files, identity
from guidegen.publish.protocol import PublishError


def test_mapping_holds_pages_figures_and_data(toy: Any) -> None:
    found = files(toy)
    assert set(found) == {
        "index.md", "safety.md", "steps/frame.md", "figures/outline.svg", "guide.json", "cuts.csv",
    }  # fmt: skip
    assert found["cuts.csv"] == toy.data["cuts.csv"]
    assert found["figures/outline.svg"] == toy.figures["outline"].svg


def test_every_page_ends_with_the_identity_and_search_skips_it(toy: Any) -> None:
    pages = [str(text) for name, text in files(toy).items() if name.endswith(".md")]
    line = "Toy &amp; &lt;light&gt; · revision 2 · 2026-03-01 · 0a1b2c3d"
    assert [page.count(line) for page in pages] == [1, 1, 1]
    assert all(
        page.splitlines()[-1].startswith('<p class="gg-foot" data-search-exc') for page in pages
    )


def test_a_draft_has_no_date(toy: Any) -> None:
    assert identity(replace(toy, date=None)) == "Toy & <light> · revision 2 · 0a1b2c3d"


def test_plain_markdown_gets_the_figures_alternative_text(toy: Any) -> None:
    html = markdown.markdown(str(files(toy)["index.md"]), extensions=["md_in_html"])
    assert 'alt="Outline of the &quot;toy&quot; board, &lt;360&gt; by 120, a|b"' in html
    assert 'src="figures/outline.svg"' in html


def test_hostile_alternative_text_stays_text(toy: Any) -> None:
    hostile = "x](y) *b* `c` <script>d</script>\n\n# e ![f](g.png) [h]"
    figure = replace(toy.figures["outline"], alt=hostile)
    html = markdown.markdown(str(files(replace(toy, figures={"outline": figure}))["index.md"]))
    assert html.count("<img") == 1
    assert "<script" not in html
    assert "x](y) *b* `c` &lt;script&gt;d&lt;/script&gt; # e ![f](g.png) [h]" in html


def test_stop_stands_on_every_page(toy: Any) -> None:
    assert not any("gg-stop" in str(text) for text in files(toy).values())
    stopped = files(replace(toy, stop=True))
    assert all("gg-stop" in str(text) for name, text in stopped.items() if name.endswith(".md"))


def test_a_figure_nobody_drew_is_named(toy: Any) -> None:
    spoilt = toy.with_page("index.md", "figures/outline.svg", "figures/outlin.svg")
    with pytest.raises(PublishError, match=r"index\.md: figure 'outlin' was not drawn"):
        files(spoilt)


def test_two_files_of_one_name_are_refused(toy: Any) -> None:
    with pytest.raises(PublishError, match=r"two files are called index\.md"):
        files(replace(toy, data={"index.md": b""}))
    with pytest.raises(PublishError, match=r"two pages are called index\.md"):
        files(replace(toy, pages=(toy.pages[0], toy.pages[0])))


@pytest.mark.parametrize("name", ["../out.csv", "/etc/out.csv", "a//b", ".hidden", "", "a b.csv"])
def test_a_name_never_leads_out_of_the_folder(toy: Any, name: str) -> None:
    with pytest.raises(PublishError, match="is no name for a file of a guide"):
        files(replace(toy, data={name: b""}))


@pytest.mark.parametrize("name", ["../toy", "/toy", ".", "", "a/b", ".toy"])
def test_a_guides_name_is_one_folder(toy: Any, tmp_path: Path, name: str) -> None:
    with pytest.raises(PublishError, match="is no name for a guide's folder"):
        folder_of(replace(toy, name=name), tmp_path)
    assert folder_of(toy, tmp_path) == tmp_path / "toy"
