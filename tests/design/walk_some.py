"""Make the guides of some variations and say, a JSON line each, what came of it.

Run by `test_variations.py` in processes of its own: a guide takes a second, and there are many.
"""

from __future__ import annotations

import json
import sys
import traceback
from pathlib import Path

import yaml

sys.path.insert(0, str(Path(__file__).parent.parent / "guide"))
import strict_reader

from guidegen.content.files import search_path
from guidegen.design import settle
from guidegen.errors import GuidegenError
from guidegen.guide import make
from guidegen.publish.figures import drawings
from guidegen.spec import load
from guidegen.spec.changes import changed

#: Figures are drawn for these, and faults solved for those; both take as long as all the words.
DRAWN, TRACED = 24, 24
#: Every twelfth variation is made into a guide: all of them take minutes.
WALKED = 12


def main(spec: Path, file: Path, part: int, parts: int) -> None:
    variations = yaml.safe_load(file.read_text("utf-8"))
    maker = sys.modules[make.__module__]
    traced = maker._traced
    for number, (name, variation) in enumerate(variations.items()):
        if number % WALKED or number // WALKED % parts != part:
            continue
        trouble = ""
        try:
            design = settle(changed(load(spec), variation.get("change", {})), mends=False)
            draw = drawings if number % DRAWN == 0 else lambda design, steps: {}
            maker._traced = traced if number % TRACED == 0 else lambda design, words: None
            guide = make(design, search_path(), draw)
            trouble = "\n".join(strict_reader.troubles(guide))
        except GuidegenError as error:
            trouble = str(error)
        except Exception:
            trouble = traceback.format_exc()
        sys.stdout.write(json.dumps({"name": name, "trouble": trouble}) + "\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
