"""Mechanics of one joint: pure, vectorised functions with units and sources."""
