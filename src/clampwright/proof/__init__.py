"""Canonical entries, Merkle tree, checkpoints, keys and verification. Pure.

``strictjson`` one text, one byte form; ``ids`` names of entries; ``entry`` one line of the log;
``merkle`` the tree over the lines; ``keys`` and ``checkpoint`` who signed which state of it;
``record`` what is handed out, and ``verify``, which finds whether it was changed.
"""

from clampwright.proof.strictjson import canonical, parse_strict

__all__ = ["canonical", "parse_strict"]
