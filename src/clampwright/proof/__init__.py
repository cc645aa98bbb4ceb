"""Canonical entries, Merkle tree, checkpoints, keys and verification. Pure."""
