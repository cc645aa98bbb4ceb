"""Wrenches and adapters: which one fits a stage, and what to set it to."""
