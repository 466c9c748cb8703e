"""Generic parts as data files; no brands."""
