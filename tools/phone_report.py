"""Measure the phone as angle gauge on simulated sensors; writes docs/validation/phone-angle.md.

``python tools/phone_report.py [recordings]``; seeds are fixed, so that the page can be made again.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from clampwright.trace.phone import angle_from_phone
from clampwright.trace.phone_simulate import Phone, recorded_phone

PAGE = Path(__file__).parents[1] / "docs" / "validation" / "phone-angle.md"
COUNT, FIRST = 600, 4_000
SETS = {
    "usual phone": Phone(),
    "good phone, steady hand": Phone(
        bias_dps=0.2, drift_dps=0.01, scale=0.002, cross=0.002, lost=0.0, rock_dps=(0.0, 2.0)
    ),
    "poor phone": Phone(bias_dps=2.0, drift_dps=0.1, density=(0.02, 0.05), lost=0.03),
    "scale and axes at the worst stated": Phone(scale=0.015, cross=0.015),
    "rough hand": Phone(rock_dps=(8.0, 25.0)),
    "slow clock": Phone(rate_hz=(25.0, 50.0), jitter_s=0.004),
}


@dataclass(frozen=True)
class Measured:
    """Errors over many recordings: degrees, and as a share of the rotation."""

    error: np.ndarray
    u: np.ndarray
    turned: np.ndarray
    counted: np.ndarray

    def row(self, name: str) -> str:
        """Return it as a row of the table."""
        off = np.abs(self.error)
        inside = np.mean(off <= 1.96 * self.u)
        return (
            f"| {name} | {np.median(off):.1f} | {np.quantile(off, 0.95):.1f} | {off.max():.1f} "
            f"| {100 * np.quantile(off / self.turned, 0.95):.1f} % | {np.median(self.u):.1f} "
            f"| {100 * inside:.1f} % | {100 * np.mean(self.counted):.1f} % |"
        )


def measured(phone: Phone, count: int) -> Measured:
    """Make recordings and find their angles."""
    rows = []
    for seed in range(FIRST, FIRST + count):
        made = recorded_phone(seed, phone)
        found = angle_from_phone(made.time, made.rates, made.gravity)
        counted = len(found.swings) == made.swings
        rows.append((found.turned - made.turned, found.u, made.turned, counted))
    return Measured(*np.array(rows).T)


TOP = """# The phone as angle gauge

<!-- Written by tools/phone_report.py; do not edit. -->

`clampwright.trace.phone.angle_from_phone` finds how far a handle turned from the rates and the
gravity of a phone strapped to it, any way round, with a standard uncertainty. It was measured on
{count} simulated recordings for each line: 1 to 7 swings of 25 to 100 degrees, bolts upright,
level and at any tilt. What the made-up sensor has and leaves out stands in
`clampwright.trace.phone_simulate`; **no real phone is behind these figures.**

| phone | median error, ° | 95 % within, ° | largest, ° | 95 % within, of the rotation \
| stated u, median, ° | 95 % interval covers | swings counted right |
| --- | --- | --- | --- | --- | --- | --- | --- |
"""
END = """
The stated uncertainty is meant to be safe: the scale of the sensor is taken as off by 1.5 %
(standard uncertainty), as bad as the worst that makers state. Where it is better, the interval is
wide: a phone whose scale was once checked over a full turn would deserve a narrower one. With a
handle that rocks as fast as it turns, the answer says so and its uncertainty grows.

## How to use it

Strap the phone to the handle so that it cannot slip, hold still for half a second, pull, hold
still again. The play of the ratchet (4 to 10 degrees a swing) is in each swing unless it was taken
up before; the wind-up of the wrench is not taken out. An angle of a stage that ends at 90° ± 5° can
be checked so; one of ± 2° cannot, by a ratchet with several swings.

```python
>>> from clampwright.trace.phone import angle_from_phone
>>> from clampwright.trace.phone_simulate import recorded_phone
>>> made = recorded_phone(7)
>>> found = angle_from_phone(made.time, made.rates, made.gravity)
>>> abs(found.turned - made.turned) < 2.0 * found.u, len(found.swings) == made.swings
(True, True)

```
"""


def main() -> int:
    """Measure and write."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    rows = [measured(phone, count).row(name) for name, phone in SETS.items()]
    text = TOP.replace("{count}", str(count)) + "\n".join([*rows, END])
    PAGE.write_text(text, encoding="utf-8")
    print(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
