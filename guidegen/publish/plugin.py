"""guidegen as a plug-in of MkDocs: this module and its server alone know MkDocs."""

from __future__ import annotations

import logging
import posixpath
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
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
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.utils import nest_paths

from guidegen.errors import GuidegenError
from guidegen.folders import folder
from guidegen.publish import printed
from guidegen.publish.drawn import ChartProcess
from guidegen.publish.live import Live, stops
from guidegen.publish.markup import inline_figures, scrolling_tables
from guidegen.publish.pages import FILE_NAME, figures_of, files
from guidegen.publish.protocol import FigureLike, GuideLike, PublishError
from guidegen.road import design_of, guide_of

log = logging.getLogger("mkdocs.plugins.guidegen")
EXTENSIONS = ("attr_list", "def_list", "md_in_html", "tables")
STYLES = ("assets/guide.css",)
SCRIPTS = ("assets/guide.js", "assets/finder.js")
# Half the bytes of a site, and of no use in a folder that is carried about.
UNUSED = (".map", "sitemap.xml")
WAITING = "# No guide yet\n\nMend the spec and save it; this page then becomes the guide.\n"
# Below the bar of the theme; in a theme without one, above everything.
TOP = re.compile(r"</header>|<body\b[^>]*>(?!.*</header>)", re.DOTALL)
# The theme gives this dialog a role and no name.
DIALOG = '<div class="md-search" data-md-component="search" role="dialog"'
UNDATED = "1980-01-01"  # the first day that every archive format can hold


class Options(Config):  # type: ignore[no-untyped-call]  # MkDocs leaves this hook untyped
    """What a site's configuration may say about the guide in it."""

    spec = Type(str, default="")
    folder = Type(str, default="")
    names_site = Type(bool, default=False)


class MadeNav(list[Any]):
    """A navigation that no site asked for: the next guide of the site adds its own to it."""

    def __init__(self, before: Sequence[Any], after: Sequence[Any]) -> None:
        super().__init__([*before, *after])
        self.place = len(before)

    def add(self, items: Sequence[Any]) -> None:
        """Put a guide's pages behind those of the guides before it."""
        self[self.place : self.place] = items
        self.place += len(items)


class GuidegenPlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]  # as above
    """Puts the pages, drawings and data files of one build guide into a site."""

    supports_multiple_instances = True

    def __init__(self) -> None:
        self.ready: GuideLike | None = None
        self.charts = ChartProcess(())
        self.live = Live()
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
        if self.guide and self.config.names_site:
            config.site_name = Markup(escape(self.guide.title))
        return config

    def on_serve(
        self, server: LiveReloadServer, /, *, config: MkDocsConfig, builder: Callable[..., Any]
    ) -> LiveReloadServer:
        """Rebuild when what the guide follows from changes."""

        def rebuild() -> None:
            # As the server's own watching does, but without its half second, and without its
            # end when a file is away for a moment, as some editors save.
            with server._rebuild_cond:
                server._want_rebuild = True
                server._rebuild_cond.notify_all()

        self.live.start(rebuild)
        return server

    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Redraw the charts of a server: only now, for the pages needed the processors."""
        if self.serving:
            self.live.charts.draw()

    def on_shutdown(self) -> None:
        """End what runs beside the server."""
        self.live.close()

    def _settled(self, config: MkDocsConfig) -> GuideLike | None:
        # A server that raises hangs: there the last good guide stays, with the trouble on top.
        if self.serving:
            return self.live.settled(self._spec(config), lambda: self._made(config))
        try:
            guide = self._made(config)
        except GuidegenError as error:
            raise PluginError(str(error)) from error
        self.charts.close()
        self.charts = ChartProcess(guide.charts)
        return guide

    def _spec(self, config: MkDocsConfig) -> Path:
        return Path(config.config_file_path).parent / self.config.spec

    def _made(self, config: MkDocsConfig) -> GuideLike:
        if not self.config.spec:
            raise PublishError(
                f"{Path(config.config_file_path).name}: plugins: guidegen: 'spec' is missing. "
                "Accepted: the path of a fixture spec, from the folder of this file."
            )
        _one_folder_each(config)
        spec = self._spec(config)
        design = design_of(spec)
        try:
            return guide_of(spec, design)
        except GuidegenError as error:
            raise PublishError("\n".join([*stops(design), str(error)])) from error

    @property
    def home(self) -> str:
        """What stands before the name of each of the guide's files in the site."""
        folder = self.config.folder.strip("/")
        return f"{folder}/" if folder else ""

    def _name_pages(self, found: Files, config: MkDocsConfig, guide: GuideLike) -> None:
        # A nav of the site's own names the guide's pages where it wants them.
        if config.nav is None:
            shown = found.documentation_pages(inclusion=InclusionLevel.is_in_nav)
            own = [file.src_uri for file in shown if file.src_uri not in self.names]
            first = [name for name in own if name in ("index.md", "README.md")]
            rest = [name for name in own if name not in first]
            config.nav = MadeNav(first, nest_paths(rest))  # type: ignore[no-untyped-call]  # MkDocs leaves it untyped
        if isinstance(config.nav, MadeNav):
            # The theme prints titles as they are, so they must be markup already.
            pages: list[Any] = [
                {Markup(escape(page.title)): f"{self.home}{page.uri}"}
                for page in guide.pages
                if f"{self.home}{page.uri}" in self.names
            ]
            config.nav.add([{Markup(escape(guide.title)): pages}] if self.home else pages)

    def on_files(self, found: Files, /, *, config: MkDocsConfig) -> Files:
        """Add the guide's files and what they need of styles and scripts."""
        if self.guide:
            self._add_guide(found, config, self.guide)
            self._name_pages(found, config, self.guide)
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
        charts = self.live.charts if self.serving else self.charts
        contents = files(guide, charts.expected()) | {printed.NAME: ""}
        contents = {f"{self.home}{name}": content for name, content in contents.items()}
        self.names = {name for name in contents if name.endswith(".md")}
        # Two names can lead to one address: README.md is the first page as well as index.md.
        taken = {file.dest_uri: file.src_uri for file in found}
        for name, content in contents.items():
            file = File.generated(config, name, content=content)
            if own := taken.get(file.dest_uri):
                log.info("guidegen: '%s' of the site stands in place of the guide's own.", own)
                self.names.discard(name)
            else:
                found.append(file)

    def on_page_markdown(
        self, markdown: str, /, *, page: Page, config: MkDocsConfig, files: Files
    ) -> str:
        """Date the page by the guide, not by the day of the build; keep its title text."""
        if self.guide and page.file.src_uri in self.names:
            titles = {f"{self.home}{one.uri}": one.title for one in self.guide.pages}
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
        boxed = scrolling_tables(html)
        # A page that stands in place of the guide's own is not in its print file.
        sources = {
            posixpath.normpath(one.url): one.src_uri if one.src_uri in self.names else one.dest_uri
            for one in files
        }
        flat = printed.flat(boxed, page.file.src_uri, page.file.url, sources)
        self.parts[page.file.src_uri.removeprefix(self.home)] = flat
        return boxed

    def on_env(self, env: Environment, /, *, config: MkDocsConfig, files: Files) -> Environment:
        """Fill in what was not known before: charts and the print file."""
        if not self.guide:
            return env
        if self.serving:
            env.bytecode_cache = self.live.compiled
        charts = self.live.charts.shown() if self.serving else self.charts.drawn()
        self.figures = figures_of(self.guide, charts)
        late = {f"figures/{name}.svg": figure.svg for name, figure in charts.items()}
        late[printed.NAME] = printed.document(self.guide, self.parts, self.figures)
        for name, content in late.items():
            file = files.get_file_from_path(f"{self.home}{name}")
            if file and file.generated_by:
                file.content_string = content
        return env

    @event_priority(-50)
    def on_post_page(self, output: str, /, *, page: Page, config: MkDocsConfig) -> str:
        """Put each drawing where its image was, now that search has read the page."""
        output = output.replace(f"{DIALOG}>", f'{DIALOG} aria-label="Search">')
        if page.file.src_uri in self.names:
            output = inline_figures(output, self.figures)
        if self.serving and (strips := self.live.strips()):
            output = TOP.sub(lambda found: found[0] + strips, output, count=1)
        return output


def _add_once(target: list[Any], wanted: Iterable[Any]) -> None:
    there = {str(item) for item in target}
    target.extend(item for item in wanted if str(item) not in there)


def _one_folder_each(config: MkDocsConfig) -> None:
    mine = [one for one in config.plugins.values() if isinstance(one, GuidegenPlugin)]
    folders = [one.config.folder.strip("/") for one in mine]
    for name in folders:
        if name and not FILE_NAME.fullmatch(name):
            wrong = f"'{name}' is no name for a folder. Accepted: letters, digits, -, _ and /"
        elif folders.count(name) > 1:
            wrong = f"{folders.count(name)} guides have '{name}'. Accepted: one of its own for each"
        else:
            continue
        raise PublishError(
            f"{Path(config.config_file_path).name}: plugins: guidegen: folder: {wrong}"
        )


class _Notes(logging.Handler):
    """Collects what MkDocs would have printed."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def announce() -> None:
    """Let MkDocs find this plug-in under its name."""
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
        announce()
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
