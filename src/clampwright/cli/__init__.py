"""Commands: thin, with lazy imports, and ``--json`` everywhere."""
