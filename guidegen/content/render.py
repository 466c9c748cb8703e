"""Jinja in its sandbox: templates loop, choose and print; what a spec says stays text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from types import CodeType
from typing import Any

from jinja2 import BaseLoader, Environment, StrictUndefined, TemplateError, TemplateNotFound, nodes
from jinja2.exceptions import SecurityError, TemplateSyntaxError, UndefinedError
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from guidegen.content.files import ContentError, Raw, SearchPath, fault, read
from guidegen.errors import GuidegenError, Place, nearest
from guidegen.values import Value

# Characters that Markdown or one of its common extensions would read as a command.
_COMMANDS = re.compile(r"""[&<>"'\\`*_{}\[\]#|~^=:!$@]|^[-+.]|(?<=\d)[.)](?=\s)|\+\+""")

# All white space but the kinds that hold a number and its unit together.
_SPACES = re.compile(r"[^\S\u00a0\u2007\u202f]+")

# Where a template begins to be more than its own words.
_MARKS = re.compile(r"\{[{%#]")

#: What a template must not do: numbers come formatted, conditions as a ready yes or no.
BANNED: tuple[type[nodes.Node], ...] = (
    nodes.Assign, nodes.AssignBlock, nodes.Compare, nodes.Concat, nodes.Add, nodes.Sub,
    nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow, nodes.Neg,
)  # fmt: skip
_BANNED_TESTS = {"eq", "equalto", "==", "ne", "!=", "lt", "lessthan", "<", "le", "<=", "gt",
                 "greaterthan", ">", "ge", ">=", "sameas", "divisibleby", "even",
                 "odd"}  # fmt: skip
# `safe` would let a spec's text pass as markup; the others do sums.
_BANNED_FILTERS = {"safe", "sum", "round", "abs", "int", "float", "min", "max"}
# They take a width, and any number would do.
_WIDENING = {"ljust", "rjust", "center", "zfill", "expandtabs"}
_WIDENING_FILTERS = ("format", "center", "indent", "batch", "slice", "tojson", "pprint")
# What a template can make go wrong that Jinja does not wrap itself.
_MISHAPS = (TemplateError, TypeError, ValueError, LookupError, AttributeError, ArithmeticError,
            RecursionError, GuidegenError)  # fmt: skip


def escaped(text: str) -> Markup:
    r"""Plain text from a spec, so that neither HTML nor Markdown reads it as a command.

    Examples
    --------
    >>> escaped("a*b <i>")
    Markup('a&#42;b &#60;i&#62;')
    """
    # Entities and not backslashes: they mean the same in every Markdown dialect.
    one_line = _SPACES.sub(" ", text).strip(" ")
    return Markup(_COMMANDS.sub(lambda found: "".join(f"&#{ord(c)};" for c in found[0]), one_line))


def _for_page(value: Any) -> Any:
    if isinstance(value, str) and not hasattr(value, "__html__"):
        return escaped(value)
    return _as_text(value)


def _as_text(value: Any) -> Any:
    if isinstance(value, str | Value | StrictUndefined) or hasattr(value, "__html__"):
        return value
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    what = "a number without a kind" if isinstance(value, float) else repr(value)
    raise TypeError(f"{what} can't be printed: print a value")


class Renderer:
    """Renders texts of content files.

    Parameters
    ----------
    search : SearchPath
        Where `include` and `import` look.
    plain : bool
        For the terminal: nothing is escaped.
    """

    def __init__(self, search: SearchPath, plain: bool = False) -> None:
        self.search = search
        self.plain = plain
        self.environment = _environment(plain, _Bodies(search))

    def text(self, source: str, place: Place, context: Mapping[str, Any]) -> Markup:
        """Render a text that begins at this place.

        Raises
        ------
        ContentError
            With the line of the file that is at fault.
        """
        if not _MARKS.search(source):
            # Most sentences: Jinja would need a millisecond to give them back as they are.
            return Markup(source.strip("\n"))
        # Empty lines in front make Jinja count as the file does.
        padded = "\n" * max(0, place.line - 1) + source
        try:
            code = _compiled(padded, place.file, self.plain)
            template = self.environment.template_class.from_code(self.environment, code, {})
            return Markup(template.render(context).strip("\n"))
        except ContentError:
            raise
        except _MISHAPS as error:
            at = _line_of(error, place)
            raise fault(at, _said(error, context)) from None

    def body(self, raw: Raw, context: Mapping[str, Any]) -> Markup:
        """Render the body of a content file."""
        return self.text(raw.body, Place(raw.file, raw.body_line), context)


class _Sandbox(ImmutableSandboxedEnvironment):
    """The sandbox, without what makes gigabytes of a few signs."""

    intercepted_binops = frozenset(("*", "**", "%"))

    def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
        """Refuse: values come ready made."""
        raise SecurityError(f"'{operator}' is no work for a template: values come ready made")

    def wrap_str_format(self, value: Any) -> Any:
        """Refuse `format` of a text; its patterns hold widths too."""
        if super().wrap_str_format(value) is not None:
            raise SecurityError("'format' is no work for a template: values come ready made")

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        """Whether a template may use this attribute."""
        widens = isinstance(obj, str) and attr in _WIDENING
        return not widens and super().is_safe_attribute(obj, attr, value)


def _environment(plain: bool, loader: BaseLoader | None = None) -> ImmutableSandboxedEnvironment:
    made = _Sandbox(
        autoescape=not plain,
        undefined=StrictUndefined,
        finalize=_as_text if plain else _for_page,
        loader=loader,
        keep_trailing_newline=False,
        trim_blocks=True,
        optimized=False,  # folding constants takes longer here than it saves
        lstrip_blocks=True,
    )
    for name in _WIDENING_FILTERS:
        made.filters.pop(name, None)
    return made


@cache
def _compiler(plain: bool) -> ImmutableSandboxedEnvironment:
    return _environment(plain)


# Bounded: a server that lives for days reads many versions of a template.
@lru_cache(maxsize=4096)
def _compiled(source: str, file: str, plain: bool) -> CodeType:
    return _compiler(plain).compile(source, file, file)


class _Bodies(BaseLoader):
    """Bodies of content files by name, headers taken off."""

    def __init__(self, search: SearchPath) -> None:
        self.search = search

    def get_source(self, environment: Environment, template: str) -> tuple[str, str, Any]:
        file = None if ".." in template.split("/") else self.search.words(template)
        if file is None:
            raise TemplateNotFound(template)
        raw = read(self.search, template, file)
        return "\n" * (raw.body_line - 1) + raw.body, raw.file, lambda: True


def _line_of(error: BaseException, place: Place) -> Place:
    if isinstance(error, TemplateSyntaxError):
        return Place(error.filename or place.file, error.lineno, 1)
    line, file = place.line, place.file
    trace = error.__traceback__
    while trace is not None:
        code = trace.tb_frame.f_code
        if code.co_filename.startswith(("templates/", "own templates/")) or (
            code.co_filename == place.file
        ):
            line, file = trace.tb_lineno, code.co_filename
        trace = trace.tb_next
    return Place(file, line, 1)


def _said(error: BaseException, context: Mapping[str, Any]) -> str:
    if isinstance(error, TemplateNotFound):
        return f"there is no template called '{error.name}'"
    if isinstance(error, UndefinedError):
        return _with_hint(str(error.message), context)
    if isinstance(error, RecursionError):
        return "includes itself without end"
    return str(error) or type(error).__name__


def _with_hint(message: str, context: Mapping[str, Any]) -> str:
    found = re.match(r"'(\w+)' is undefined", message)
    guess = nearest(found[1], context) if found else ""
    return message + (f". Did you mean '{guess}'?" if guess else "")


@cache
def _parser() -> Environment:
    return ImmutableSandboxedEnvironment()


def template_troubles(source: str, place: Place) -> Iterator[str]:
    """What a template does that belongs into Python: sums, comparisons, assignments."""
    try:
        tree = _parser().parse("\n" * max(0, place.line - 1) + source)
    except TemplateSyntaxError as error:
        yield f"{place.file}:{error.lineno}: {error.message}"
        return
    for node in tree.find_all(nodes.Node):
        name = type(node).__name__.lower()
        if isinstance(node, BANNED):
            yield f"{place.file}:{node.lineno}: {name} in a template"
        elif isinstance(node, nodes.Test) and node.name in _BANNED_TESTS:
            yield f"{place.file}:{node.lineno}: comparison 'is {node.name}' in a template"
        elif isinstance(node, nodes.Filter) and node.name in _BANNED_FILTERS:
            yield f"{place.file}:{node.lineno}: filter '{node.name}' in a template"
