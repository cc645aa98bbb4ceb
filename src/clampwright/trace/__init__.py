"""Torque-angle-time data: reading, features, verdict, and the simulated wrench."""
