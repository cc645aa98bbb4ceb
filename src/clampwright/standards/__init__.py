"""Threads, strength classes, heads, holes and friction conditions, each row with its source."""
