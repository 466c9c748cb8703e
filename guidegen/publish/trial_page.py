"""What `guidegen try` found, as one HTML file."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from guidegen.content.files import SearchPath, read
from guidegen.content.render import Renderer
from guidegen.content.words import load_words
from guidegen.publish.printed import skin
from guidegen.publish.protocol import PublishError
from guidegen.publish.trial import LETTERS, Data, Said

TEMPLATE = "trial/page.html"
#: At the head of every such page: no other file is replaced.
MARK = '<meta name="generator" content="guidegen try">'
#: Where in the template the styles go; they are no text to be escaped.
STYLE = "<style></style>"


def page(found: Data, search: SearchPath) -> str:
    """The answer as one HTML file that asks nothing of any other.

    Parameters
    ----------
    found : mapping
        As `guidegen.guide.trial` gives it.
    search : SearchPath
        Where words and template are looked for.
    """
    said = Said(found, load_words(search))
    columns = [
        {
            "letter": letter,
            "changes": [said.change(one) for one in column["changes"]],
            "gone": said.say("gone", keys=", ".join(column["gone"])) if column["gone"] else "",
            "verdict": said.verdict(column),
            "notes": list(said.notes(column)),
            "findings": [
                {"level": said.level(one), "text": said.finding(one),
                 "mends": [mend["text"] for mend in one["after"]["mends"]] if one["after"] else []}
                for one in column["findings"]
            ],
            "choices": [said.choice(one) for one in column["choices"]],
            "stays": said.stays(column),
        }
        for letter, column in zip(LETTERS, said.columns, strict=False)
    ]  # fmt: skip
    rows = [{"label": label, "before": before, "texts": texts}
            for label, before, texts in said.rows()]  # fmt: skip
    context = {
        "words": said.words,
        "title": said.say("title", title=found["title"]),
        "untouched": said.say("untouched", spec=found["spec"]),
        "columns": columns,
        "rows": rows,
    }
    raw = read(search, TEMPLATE, search.package / TEMPLATE)
    head, _, rest = str(Renderer(search).body(raw, context)).partition(STYLE)
    return f"{head}<style>\n{skin()}\n</style>{rest}\n"


def write(text: str, path: Path) -> None:
    """Write a page, whole or not at all.

    Raises
    ------
    PublishError
        If the name is none of a page, or something else stands there.
    OSError
        If it can't be written.
    """
    if path.suffix not in (".html", ".htm"):
        raise PublishError(f"{path}: is no name for a page. Accepted: one that ends in .html")
    if path.is_symlink() or path.exists():
        _refuse_foreign(path)
    handle, name = tempfile.mkstemp(prefix=".guidegen-", suffix=".html", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        # `mkstemp` makes a file private; a page is as readable as other files of its maker.
        mask = os.umask(0)
        os.umask(mask)
        Path(name).chmod(0o666 & ~mask)
        Path(name).replace(path)
    finally:
        with suppress(OSError):
            Path(name).unlink()


def _refuse_foreign(path: Path) -> None:
    if path.is_symlink() or not path.is_file():
        raise PublishError(f"{path}: is no ordinary file; name another")
    with path.open("rb") as file:
        start = file.read(2000)
    if MARK.encode() not in start:
        raise PublishError(
            f"{path}: was not made by this command; it is left as it is. Name another file, or"
            " move it away"
        )
