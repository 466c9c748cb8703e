"""What the guide says: steps and the walk through them, checks, cautions, faults, the record."""

from guidegen.guide.make import WalkError, make
from guidegen.guide.model import Guide, Page

__all__ = ["Guide", "Page", "WalkError", "make"]
