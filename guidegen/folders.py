"""Names of folders and files: those that travel with the package, and those of a guide."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

from guidegen.errors import GuidegenError

# A file that must be there: an empty folder of the right name is no proof.
PROOF = {"templates": "words/en.yaml", "site": "mkdocs.yml"}
PACKAGE = Path(__file__).parent
#: Parts of a builder's own, beside the spec.
OWN_PARTS = "own-parts.yaml"


def folder(name: str) -> Path:
    """The folder of this name: inside an installed package, or beside it in a checkout.

    Raises
    ------
    GuidegenError
        If the installation has lost the folder.
    """
    for home in (PACKAGE, PACKAGE.parent):
        if (home / name / PROOF[name]).is_file():
            return home / name
    raise GuidegenError(f"{name}/{PROOF[name]} did not come with guidegen: install it again")


def slug(file: str) -> str:
    """Folder name of a spec file: letters, digits and hyphens.

    Examples
    --------
    >>> slug("Herbarium copy_light.yaml")
    'herbarium-copy-light'
    """
    stem = re.sub(r"\.ya?ml$", "", file)
    plain = unicodedata.normalize("NFKD", stem).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "guide"
