"""The content files of `templates/`: headers, conditions, words of a language, sandboxed Jinja."""
