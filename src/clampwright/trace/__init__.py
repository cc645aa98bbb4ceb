"""Torque-angle-time data: reading, features, verdict, and the simulated wrench.

Import the parts from their modules: `model` (a trace), `reading` (from a file), `given` (what is
known beforehand), `verdict` (the judgement), `strokes`, `curve` and `features` (what it rests on),
`simulate` (a wrench and a fastener to try it on).
"""
