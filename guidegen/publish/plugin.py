"""guidegen as a plug-in of MkDocs: the only module that knows MkDocs."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from html import escape
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any, Literal, cast

from jinja2 import Environment
from markupsafe import Markup
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from mkdocs.config.base import Config
from mkdocs.config.config_options import Plugins, Type
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import MkDocsException, PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page

from guidegen.errors import GuidegenError
from guidegen.folders import folder
from guidegen.publish import printed
from guidegen.publish.drawn import ChartProcess
from guidegen.publish.markup import inline_figures, scrolling_tables
from guidegen.publish.pages import figures_of, files
from guidegen.publish.protocol import FigureLike, GuideLike, PublishError
from guidegen.road import design_of, guide_of

log = logging.getLogger("mkdocs.plugins.guidegen")
# Apart from MkDocs' own: in a strict site its counter would end the server for one bad spec.
terminal = logging.getLogger("guidegen")
EXTENSIONS = ("attr_list", "def_list", "md_in_html", "tables")
STYLES = ("assets/guide.css",)
SCRIPTS = ("assets/guide.js",)
# Half the bytes of a site, and of no use in a folder that is carried about.
UNUSED = (".map", "sitemap.xml")
WAITING = "# No guide yet\n\nMend the spec and save it; this page then becomes the guide.\n"
UNDATED = "1980-01-01"  # the first day that every archive format can hold


class Options(Config):  # type: ignore[no-untyped-call]  # MkDocs leaves this hook untyped
    """What a site's configuration may say about the guide in it."""

    spec = Type(str, default="")
    names_site = Type(bool, default=False)


class GuidegenPlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]  # as above
    """Puts the pages, drawings and data files of one build guide into a site."""

    def __init__(self) -> None:
        self.ready: GuideLike | None = None
        self.good: GuideLike | None = None
        self.charts = ChartProcess(())
        self.trouble = ""
        self.serving = False
        self._forget()

    def _forget(self) -> None:
        self.guide: GuideLike | None = None
        self.figures: Mapping[str, FigureLike] = {}
        self.names: set[str] = set()
        self.parts: dict[str, str] = {}

    @contextmanager
    def given(self, guide: GuideLike, charts: ChartProcess) -> Iterator[None]:
        """A guide that is ready made, in place of the spec of the configuration."""
        # Only for one build: MkDocs hands the same object to every site of a process.
        self.ready, self.charts = guide, charts
        try:
            yield
        finally:
            self.ready, self.charts = None, ChartProcess(())
            self._forget()

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Note whether a server must live on; having this event keeps the object alive."""
        self.serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Make the guide; whatever is wrong with it shows before anything is emptied."""
        self._forget()
        self.guide = self.ready or self._settled(config)
        _add_once(config.markdown_extensions, EXTENSIONS)
        _add_once(config.extra_css, STYLES)
        _add_once(config.extra_javascript, SCRIPTS)
        if self.guide:
            self._name_pages(config, self.guide)
        return config

    def _settled(self, config: MkDocsConfig) -> GuideLike | None:
        try:
            self.trouble = ""
            spec = _spec_path(config, self.config.spec)
            self.good = guide_of(spec, design_of(spec))
            self.charts.close()
            self.charts = ChartProcess(self.good.charts)
        except GuidegenError as error:
            if not self.serving:
                raise PluginError(str(error)) from error
            # A server that raises hangs: the last good guide stays, with the trouble on top.
            self.trouble = str(error)
            terminal.error("%s", error)
        return self.good

    def _name_pages(self, config: MkDocsConfig, guide: GuideLike) -> None:
        # A nav of the site's own names the guide's pages where it wants them.
        if config.nav is None:
            # The theme prints titles as they are, so they must be markup already.
            config.nav = [{Markup(escape(page.title)): page.uri} for page in guide.pages]
        if self.config.names_site:
            config.site_name = Markup(escape(guide.title))

    def on_files(self, found: Files, /, *, config: MkDocsConfig) -> Files:
        """Add the guide's files and what they need of styles and scripts."""
        if self.guide:
            self._add_guide(found, config, self.guide)
        elif "index.md" not in found.src_uris:
            # A server that starts with a broken spec needs a page to show the trouble on.
            found.append(File.generated(config, "index.md", content=WAITING))
        for name in (*STYLES, *SCRIPTS):
            if name not in found.src_uris:
                home = str(folder("site") / "docs" / name)
                found.append(File.generated(config, name, abs_src_path=home))
        if self.ready:
            for file in [file for file in found if file.src_uri.endswith(UNUSED)]:
                found.remove(file)
        return found

    def _add_guide(self, found: Files, config: MkDocsConfig, guide: GuideLike) -> None:
        contents = files(guide, self.charts.expected()) | {printed.NAME: ""}
        self.names = {name for name in contents if name.endswith(".md")}
        for name, content in contents.items():
            if name in found.src_uris:
                log.info("guidegen: '%s' of the site stands in place of the guide's own.", name)
                self.names.discard(name)
                continue
            found.append(File.generated(config, name, content=content))

    def on_page_markdown(
        self, markdown: str, /, *, page: Page, config: MkDocsConfig, files: Files
    ) -> str:
        """Date the page by the guide, not by the day of the build; keep its title text."""
        if self.guide and page.file.src_uri in self.names:
            titles = {one.uri: one.title for one in self.guide.pages}
            # The theme takes the entities out of any other title and prints it as it is.
            page.meta["title"] = Markup(escape(titles[page.file.src_uri]))
            page.update_date = self.guide.date.isoformat() if self.guide.date else UNDATED
        return markdown

    def on_page_content(
        self, html: str, /, *, page: Page, config: MkDocsConfig, files: Files
    ) -> str:
        """Box the tables, and keep the page for the print file."""
        if page.file.src_uri not in self.names:
            return html
        self.parts[page.file.src_uri] = boxed = scrolling_tables(html)
        return boxed

    def on_env(self, env: Environment, /, *, config: MkDocsConfig, files: Files) -> Environment:
        """Fill in what was not known before: charts and the print file."""
        if not self.guide:
            return env
        charts = self.charts.drawn()
        self.figures = figures_of(self.guide, charts)
        late = {f"figures/{name}.svg": figure.svg for name, figure in charts.items()}
        late[printed.NAME] = printed.document(self.guide, self.parts, self.figures)
        for name, content in late.items():
            file = files.get_file_from_path(name)
            if file and file.generated_by:
                file.content_string = content
        return env

    @event_priority(-50)
    def on_post_page(self, output: str, /, *, page: Page, config: MkDocsConfig) -> str:
        """Put each drawing where its image was, now that search has read the page."""
        if page.file.src_uri in self.names:
            output = inline_figures(output, self.figures)
        if self.trouble:
            strip = f'<pre class="gg-trouble" role="alert">{escape(self.trouble)}</pre>'
            output = output.replace("</header>", f"</header>{strip}", 1)
        return output


def _add_once(target: list[Any], wanted: Iterable[Any]) -> None:
    there = {str(item) for item in target}
    target.extend(item for item in wanted if str(item) not in there)


def _spec_path(config: MkDocsConfig, spec: str) -> Path:
    home = Path(config.config_file_path).parent
    if not spec:
        raise PublishError(
            f"{Path(config.config_file_path).name}: plugins: guidegen: 'spec' is missing. "
            "Accepted: the path of a fixture spec, from the folder of this file."
        )
    return home / spec


class _Notes(logging.Handler):
    """Collects what MkDocs would have printed."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def _announce() -> None:
    # A checkout that is run without being installed has no entry point to be found by.
    point = EntryPoint("guidegen", f"{__name__}:{GuidegenPlugin.__name__}", "mkdocs.plugins")
    cast(Plugins, MkDocsConfig.plugins).installed_plugins.setdefault(point.name, point)


def build_site(guide: GuideLike, charts: ChartProcess, into: Path) -> None:
    """Make the whole site of a guide with the configuration of `site/`.

    Parameters
    ----------
    guide : GuideLike
        The guide.
    charts : ChartProcess
        The process that draws its charts meanwhile.
    into : Path
        The folder to fill; everything in it but hidden files is removed first.

    Raises
    ------
    PublishError
        If MkDocs finds anything to warn of: a link, anchor or image that leads nowhere.

    """
    logger, notes = logging.getLogger("mkdocs"), _Notes()
    before, logger.propagate = logger.propagate, False
    logger.addHandler(notes)
    try:
        _announce()
        config = load_config(str(folder("site") / "mkdocs.yml"), site_dir=str(into), strict=True)
        plugin = config.plugins["guidegen"]
        assert isinstance(plugin, GuidegenPlugin)  # our own configuration names it
        # It speaks of addresses in the web; this site lives in a folder.
        config.theme.static_templates.discard("404.html")
        config.theme.static_templates.discard("sitemap.xml")
        with plugin.given(guide, charts):
            mkdocs_build(config)
    except MkDocsException as error:
        raise PublishError("\n".join(notes.lines or [str(error)])) from error
    finally:
        logger.removeHandler(notes)
        logger.propagate = before
