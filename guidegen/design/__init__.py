"""The settled fixture: values, choices, findings, model, cutting plans."""

from guidegen.design.result import Choice, Design, Finding, Mend, Section
from guidegen.design.settle import SUBJECTS, settle

__all__ = ["SUBJECTS", "Choice", "Design", "Finding", "Mend", "Section", "settle"]
