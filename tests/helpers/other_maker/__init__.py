"""Pulls of a second maker, written apart from the simulator of the package to check the judge.

Nothing of the package's simulator is used, and where a form could be chosen it is another one:

- The joint comes in by a smooth logarithm of an exponential, not by a parabola, and yields by a
  power law (Ramberg and Osgood) or by a rounded corner; clamp load by the power-screw form.
- Friction wanders (a first-order random course over the angle), its static excess grows with the
  time of rest and dies in a straight line.
- The hand moves at a speed that wanders and trembles, slows down before the target, lets its grip
  give way in steps, and leaves a drag of the pawl in the back swing.
- Torque and angle go through filters of their own (one pole, median or none), are rounded, lose
  samples, and their clock is rounded.
- Faults follow the list of signs in the field's own words (cross-threading as a power of the way,
  stripping in steps, slip as a fall in a straight line, and so on).

What is given is the plain object that a person would write, with nulls and missing keys.
"""

from other_maker.pulls import OtherPull, other_pull

__all__ = ["OtherPull", "other_pull"]
