"""Where the folders lie that travel with the package: `templates/` and `site/`."""

from __future__ import annotations

from pathlib import Path

from guidegen.errors import GuidegenError

# A file that must be there: an empty folder of the right name is no proof.
PROOF = {"templates": "words/en.yaml", "site": "mkdocs.yml"}
PACKAGE = Path(__file__).parent


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
