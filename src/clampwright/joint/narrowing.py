"""In words: where the width of a clamp band comes from, and what would narrow it most."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.joint.band import ClampBand, Contribution
from clampwright.words import Words, words

WORTH = 0.15
"""An input with a smaller share of the variance than this is not worth a sentence of its own."""

NOTHING_LEFT = 0.1
"""Below this part of the standard uncertainty the rest is not worth a figure."""

_REMEDIES: Mapping[str, Words] = MappingProxyType(
    {
        "friction": words(
            "treat all threads and faces alike, and test the friction of these very parts: a "
            "narrower range narrows the band"
        ),
        "torque": words(
            "take a wrench that is known better, use it higher in its range, or calibrate it and "
            "take its deviation out"
        ),
        "angle": words("take an angle gauge, or mark nut and part and read between the marks"),
        "stiffness": words(
            "measure the clamp rate on the joint itself, by stretch or a load washer over an angle"
        ),
        "strength": words("take the yield stress from the certificate of this lot, or test some"),
    }
)
_WITHOUT_ANGLE = words("or finish with an angle, where the procedure allows one")


def narrowing(band: ClampBand) -> tuple[Words, ...]:
    """Say what would narrow a band most, the input that matters most first.

    Parameters
    ----------
    band : ClampBand

    Returns
    -------
    tuple of Words
        A sentence for each input with at least 15 % of the variance; empty where the clamp load is
        certain.

    Notes
    -----
    The remedies are common practice, no source. The standard uncertainty that would be left is
    computed as if the other inputs added in squares.

    References
    ----------
    Derived from the band's own contributions; what narrows each is common practice, no source.

    Examples
    --------
    >>> from clampwright.joint.band import clamp_bands
    >>> from clampwright.joint.model import Fastening
    >>> from clampwright.joint.torque_angle import Step
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11)
    >>> band, = clamp_bands(bolt, [Step("torque", 45)], friction=(0.08, 0.16), torque_u_rel=0.025)
    >>> print(narrowing(band)[0])  # doctest: +NORMALIZE_WHITESPACE
    friction makes 97 % of the variance; without it the standard uncertainty would fall from
    4.4 kN to 0.7 kN: treat all threads and faces alike, and test the friction of these very parts:
    a narrower range narrows the band, or finish with an angle, where the procedure allows one
    """
    whole = sum(part.u**2 for part in band.contributions)
    found: list[Words] = []
    for part in band.contributions:
        share = part.u**2 / whole
        if share >= WORTH or not found:
            found.append(_sentence(band, part, share))
    return tuple(found)


def _sentence(band: ClampBand, part: Contribution, share: float) -> Words:
    remedy = _REMEDIES[part.key]
    if part.key == "friction" and band.step.kind in ("torque", "snug"):
        remedy = words("{one}, {other}", one=remedy, other=_WITHOUT_ANGLE)
    left = band.u * max(0.0, 1.0 - share) ** 0.5
    if left < NOTHING_LEFT * band.u:
        return words(
            "{what} makes nearly all of the band: {remedy}", what=part.title, remedy=remedy
        )
    return words(
        "{what} makes {share:.0f} % of the variance; without it the standard uncertainty would "
        "fall from {now:.1f} kN to {left:.1f} kN: {remedy}",
        what=part.title,
        share=100.0 * share,
        now=band.u / 1000.0,
        left=left / 1000.0,
        remedy=remedy,
    )
