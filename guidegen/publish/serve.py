"""A guide in the browser that follows its spec: MkDocs' server, with our site and plug-in."""

from __future__ import annotations

import logging
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

from jinja2 import Environment
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.livereload import LiveReloadServer
from mkdocs.theme import Theme

from guidegen.folders import folder
from guidegen.publish.inputs import POLL
from guidegen.publish.live import fault_of_ours
from guidegen.publish.plugin import GuidegenPlugin, announce
from guidegen.publish.protocol import PublishError
from guidegen.road import design_of

HOST = "127.0.0.1"  # this machine alone: what is served was not made for others
SETTLING = 0.03  # s without another change before a rebuild; an editor saves in one go
LOUD = ("guidegen", "mkdocs.plugins.guidegen")


class Server(LiveReloadServer):
    """MkDocs' server, on a port that is taken before anything is computed."""

    bound = False

    def server_bind(self) -> None:
        """Take the port; MkDocs asks for it once more after the first build."""
        if not self.bound:
            super().server_bind()

    def server_activate(self) -> None:
        """Listen: a browser that is early waits."""
        if not self.bound:
            super().server_activate()
        self.bound = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing when a browser goes away in the midst of a page."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


class Show:
    """One spec, and the folder that its site is made in."""

    def __init__(self, spec: Path, port: int, into: Path) -> None:
        self.spec, self.into = spec, into
        self.names: list[str] = []
        self.server = Server(self.rebuild, HOST, port, str(into), polling_interval=POLL)
        self.server.build_delay = SETTLING

    def configuration(self) -> MkDocsConfig:
        """The configuration of `site/`, read anew, with this spec in it."""
        # Not strict: a server that is stopped by a warning shows nothing any more.
        home = folder("site") / "mkdocs.yml"
        config = load_config(
            str(home), site_dir=str(self.into), site_url=self.server.url, strict=False
        )
        plugin_of(config).config.spec = str(self.spec)
        config.theme.get_env = partial(self._environment, config.theme)  # type: ignore[method-assign]
        return config

    def _environment(self, theme: Theme) -> Environment:
        """The theme's templates, their names listed once: the icons alone are ten thousand."""
        env = Theme.get_env(theme)
        everything = env.list_templates

        def listed(
            extensions: Collection[str] | None = None,
            filter_func: Callable[[str], bool] | None = None,
        ) -> list[str]:
            self.names = self.names or everything(extensions, filter_func)
            return self.names

        env.list_templates = listed  # type: ignore[method-assign]  # MkDocs asks it for nothing else
        return env

    def rebuild(self, config: MkDocsConfig | None = None) -> None:
        """Make the site; whatever goes wrong, the server goes on."""
        try:
            build(config or self.configuration(), serve_url=self.server.url)
        except Exception as error:  # anything: after an error the server would answer nobody
            logging.getLogger("guidegen").error("%s", fault_of_ours(error))

    def run(self) -> None:
        """Serve until somebody ends it."""
        config = self.configuration()
        config.plugins.on_startup(command="serve", dirty=False)
        try:
            self.rebuild(config)
            self.server.watch(config.docs_dir)
            self.server.watch(config.config_file_path)
            config.plugins.on_serve(self.server, config=config, builder=self.rebuild)
            self.server.serve()  # type: ignore[no-untyped-call]  # MkDocs leaves it untyped
        finally:
            config.plugins.on_shutdown()
            self.server.shutdown()


def plugin_of(config: MkDocsConfig) -> GuidegenPlugin:
    """Our plug-in of our own configuration."""
    plugin = config.plugins["guidegen"]
    assert isinstance(plugin, GuidegenPlugin)  # our own configuration names it
    return plugin


@contextmanager
def _spoken() -> Iterator[None]:
    """What the guide has to say goes to the terminal; of MkDocs, only what it warns of."""
    handler = logging.StreamHandler()
    loggers = [logging.getLogger(name) for name in ("mkdocs", *LOUD)]
    before = [(one.level, one.propagate) for one in loggers]
    logging.getLogger("mkdocs.livereload").setLevel(logging.ERROR)  # each page not found
    for one in loggers:
        one.addHandler(handler)
        one.propagate = False
        one.setLevel(logging.INFO if one.name in LOUD else logging.WARNING)
    try:
        yield
    finally:
        for one, (level, propagate) in zip(loggers, before, strict=True):
            one.removeHandler(handler)
            one.propagate = propagate
            one.setLevel(level)


def serve(spec: Path, port: int) -> None:
    """Show the guide of a spec at this machine's own address until Ctrl-C.

    Parameters
    ----------
    spec : Path
        The spec; what is wrong inside it shows on the page.
    port : int
        Number of the port.

    Raises
    ------
    SpecError
        If there is no such file.
    PublishError
        If the port can't be had.
    """
    if not spec.is_file():
        design_of(spec)  # says what stands there instead
    announce()
    for number in (signal.SIGINT, signal.SIGTERM):
        # One that was started behind another program may have been told to ignore Ctrl-C.
        signal.signal(number, signal.default_int_handler)
    into = Path(tempfile.mkdtemp(prefix="guidegen-"))
    try:
        show = Show(spec.absolute(), port, into)
        try:
            show.server.server_bind()
            show.server.server_activate()
        except OSError as error:
            raise PublishError(
                f"port {port} of {HOST}: {error.strerror or error}. Name another with --port"
            ) from error
        with _spoken():
            logging.getLogger(LOUD[0]).info(
                "%s: its guide is at %s and follows every save. Ctrl-C ends it.",
                spec,
                show.server.url,
            )
            show.run()
    except KeyboardInterrupt:
        return
    finally:
        shutil.rmtree(into, ignore_errors=True)
