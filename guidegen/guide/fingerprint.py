"""The short hash that every page and sheet carries."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from guidegen import __version__
from guidegen.content.files import SearchPath
from guidegen.spec import Fixture, canonical

LENGTH = 10


def fingerprint(fixture: Fixture, search: SearchPath) -> str:
    """Hash of what the guide follows from: the spec's values, the content files, the version.

    Comments, spelling of units and order of keys of the spec don't count.
    """
    found = hashlib.sha256(__version__.encode())
    found.update(json.dumps(canonical(fixture), sort_keys=True, ensure_ascii=False).encode())
    for root in (search.package, *([search.own] if search.own else [])):
        for file in sorted(root.rglob("*")):
            if file.is_file() and file.suffix in (".md", ".yaml"):
                found.update(_entry(file, root))
    return found.hexdigest()[:LENGTH]


def _entry(file: Path, root: Path) -> bytes:
    return file.relative_to(root).as_posix().encode() + b"\0" + file.read_bytes() + b"\0"
