"""Drawings and charts: model in, SVG out. The door is `guidegen.diagrams.figures`."""
