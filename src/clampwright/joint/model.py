"""A fastener in its joint, as the other rooms hand it around.

`Fastening` carries plain numbers. It can be made from them, or from the objects of the standards
room, and given a clamp rate either by the user or from a simple picture of the joint: a bolt with a
plain shank through plain parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from numpy.typing import ArrayLike

from clampwright.errors import Missing
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint.bearing import mean_bearing_diameter
from clampwright.joint.cone import Joint, parts_resilience
from clampwright.joint.layered_cone import layered_parts_resilience
from clampwright.joint.stiffness import (
    ENGAGED_LENGTH,
    STEEL,
    HeadShape,
    bolt_resilience,
    bolt_segments,
    clamp_rate,
)
from clampwright.joint.stress import Torsion, yield_clamp
from clampwright.joint.torque_tension import clamp_from_torque, torque_from_clamp
from clampwright.standards import Head, Hole, StrengthClass, Thread
from clampwright.words import words

HARDENING = 0.01
"""Slope after yield as a share of Young's modulus (bilinear law; usual value, from memory)."""


@dataclass(frozen=True, slots=True)
class Fastening:
    """One fastener in its joint: thread, bearing face, strength and clamp rate.

    Parameters
    ----------
    d, P, d2, d3 : float
        Nominal diameter, pitch, pitch diameter, root diameter, mm.
    stress_area : float
        Stress area of the thread, or a thinner shank's section, mm².
    bearing_outer, bearing_inner : float
        Outside and inside diameter of the face that slides when turned, mm.
    yield_stress : float, optional
        R_p0.2 or yield stress, MPa. Real fasteners of a class are stronger than its minimum.
    proof_stress : float, optional
        Stress under proof load, MPa.
    clamp_rate : float, optional
        Clamp load per degree between bolt and nut while elastic, N per degree.
    plastic_length : float, optional
        Length that stretches plastically: free loaded thread + 0.5 d, mm.
    prevailing_torque : float
        Torque that turns the fastener before it clamps, N·m.
    tangent_modulus : float
        Slope of the stress-strain line after yield, MPa.
    modulus : float
        Young's modulus of the bolt, MPa.
    tensile_strength : float, optional
        R_m, MPa; where given, no clamp load above it is ever computed.
    bolt_resilience : float, optional
        Lengthening of the bolt for each N of clamp load, mm/N, where it was reckoned.

    Raises
    ------
    OutOfRange
        A number is NaN, negative or impossible: root as large as the pitch diameter, that as large
        as the nominal one, hole as large as the bearing face, pitch of zero, proof stress above the
        tensile strength, yield stress above it, tangent modulus not below Young's modulus.

    Notes
    -----
    A fastener without a clamp rate has no computed clamp load for angle stages, and one without a
    yield stress no yield: the functions that need them say what is missing.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940)
    >>> print(f"{bolt.clamp_from_torque(37.62, mu_thread=0.12, mu_bearing=0.10):.0f} N")
    25000 N
    """

    d: float
    P: float
    d2: float
    d3: float
    stress_area: float
    bearing_outer: float
    bearing_inner: float
    yield_stress: float | None = None
    proof_stress: float | None = None
    clamp_rate: float | None = None
    plastic_length: float | None = None
    prevailing_torque: float = 0.0
    tangent_modulus: float = HARDENING * STEEL
    modulus: float = STEEL
    tensile_strength: float | None = None
    bolt_resilience: float | None = None

    def __post_init__(self) -> None:
        for name, unit in _POSITIVE.items():
            value = getattr(self, name)
            if value is not None:
                _checks.above(name, value, unit=unit)
        _checks.not_negative("prevailing_torque", self.prevailing_torque, unit="N·m")
        for small, large in (
            ("P", "d2"),
            ("d3", "d2"),
            ("d2", "d"),
            ("bearing_inner", "bearing_outer"),
        ):
            _checks.smaller(small, self._number(small), large, self._number(large))
        self._stresses_fit()

    def _number(self, name: str) -> Floats:
        return _checks.number(name, getattr(self, name))

    def _stresses_fit(self) -> None:
        _checks.within(
            "tangent_modulus",
            self.tangent_modulus,
            low=0.0,
            high=0.999 * self.modulus,
            unit="MPa",
            source="a yielded bolt is softer than an elastic one",
        )
        if self.tensile_strength is None:
            return
        for name in ("yield_stress", "proof_stress"):
            if getattr(self, name) is not None:
                _checks.within(
                    name,
                    getattr(self, name),
                    low=0.0,
                    high=self.tensile_strength,
                    unit="MPa",
                    source="no higher than the tensile strength",
                )

    @classmethod
    def from_standards(
        cls,
        thread: Thread,
        *,
        head: Head | float,
        hole: Hole | float,
        strength: StrengthClass | None = None,
        prevailing_torque: float = 0.0,
    ) -> Fastening:
        """Make a fastening from objects of the standards room.

        Parameters
        ----------
        thread : Thread
        head : Head or float
            The head or nut that is turned, or the outside diameter of its bearing face, mm.
        hole : Hole or float
            The clearance hole, or the inside diameter of the bearing face, mm.
        strength : StrengthClass, optional
            For this size of thread.
        prevailing_torque : float
            Prevailing torque, N·m.

        Returns
        -------
        Fastening
            Without a clamp rate; see `with_simple_joint` and `with_clamp_rate`.

        Raises
        ------
        OutOfRange
            As `Fastening`.

        Examples
        --------
        >>> from clampwright import standards
        >>> bolt = Fastening.from_standards(
        ...     standards.thread("M10"), head=14.63, hole=11.0, strength=standards.strength("10.9")
        ... )
        >>> bolt.yield_stress, round(bolt.bearing_diameter, 3)
        (940.0, 12.815)
        """
        return cls(
            d=thread.d,
            P=thread.P,
            d2=thread.d2,
            d3=thread.d3,
            stress_area=thread.stress_area,
            bearing_outer=head.bearing_diameter if isinstance(head, Head) else head,
            bearing_inner=hole.diameter if isinstance(hole, Hole) else hole,
            yield_stress=None if strength is None else strength.Rp,
            proof_stress=None if strength is None else strength.proof_stress,
            tensile_strength=None if strength is None else strength.Rm,
            prevailing_torque=prevailing_torque,
        )

    @property
    def bearing_diameter(self) -> float:
        """Effective friction diameter under the head, mm (mean of the face's diameters)."""
        return float(
            mean_bearing_diameter(
                bearing_outer=self.bearing_outer, bearing_inner=self.bearing_inner
            )
        )

    def with_clamp_rate(self, clamp_rate: float, *, free_thread: float) -> Fastening:
        """Give the fastening a measured or known clamp rate.

        Parameters
        ----------
        clamp_rate : float
            N per degree.
        free_thread : float
            Length of free loaded thread in the grip, mm; it stretches when the bolt yields.

        Returns
        -------
        Fastening

        Raises
        ------
        OutOfRange
            The rate is not positive or the length below zero.
        """
        free = float(_checks.not_negative("free_thread", free_thread, unit="mm"))
        return replace(self, clamp_rate=clamp_rate, plastic_length=free + ENGAGED_LENGTH * self.d)

    def with_simple_joint(
        self,
        *,
        grip: float,
        shank_length: float,
        outside: float,
        E_parts: float,
        head: HeadShape = "hexagon",
        joint: Joint = "through",
    ) -> Fastening:
        """Give the fastening the clamp rate of a plain bolt through plain parts of one material.

        Parameters
        ----------
        grip : float
            Clamped length, mm.
        shank_length : float
            Unthreaded part of it, at the nominal diameter, mm; shorter than the grip.
        outside : float
            Outside diameter of the parts around the bolt, mm.
        E_parts : float
            Young's modulus of the parts, MPa.
        head : {"hexagon", "socket"}
            Kind of head.
        joint : {"through", "tapped"}
            Bolt with nut, or screw in a tapped hole of the same parts.

        Returns
        -------
        Fastening
            With `clamp_rate` and `plastic_length`. The bolt's modulus is `modulus`.

        Raises
        ------
        OutOfRange
            A length is not positive, the shank as long as the grip, the hole as large as the parts.

        References
        ----------
        VDI 2230-1, bolt resilience and deformation cone, from memory; see
        `clampwright.joint.stiffness` and `clampwright.joint.cone`.

        Examples
        --------
        >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
        ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940)
        >>> joint = bolt.with_simple_joint(grip=45, shank_length=28, outside=60, E_parts=205_000)
        >>> print(f"{joint.clamp_rate:.1f} N/deg, {joint.plastic_length:.0f} mm")
        829.7 N/deg, 22 mm
        """
        cone = parts_resilience(
            grip=grip,
            bearing_outer=self.bearing_outer,
            hole=self.bearing_inner,
            outside=outside,
            E=E_parts,
            joint=joint,
        )
        bolt = self._plain_bolt(grip, shank_length, head, None if joint == "through" else E_parts)
        return self._with_resiliences(bolt, cone.resilience, free_thread=grip - shank_length)

    def with_layered_joint(
        self,
        *,
        thicknesses: Sequence[float],
        moduli: Sequence[float],
        shank_length: float,
        outside: float,
        head: HeadShape = "hexagon",
        E_tapped: float | None = None,
    ) -> Fastening:
        """Give the fastening the clamp rate of a plain bolt through layers of different materials.

        Parameters
        ----------
        thicknesses : sequence of float
            Of the clamped layers in order from the head, mm; washers too.
        moduli : sequence of float
            Young's modulus of each layer, MPa.
        shank_length : float
            Unthreaded part of the bolt, at the nominal diameter, mm; shorter than all layers.
        outside : float
            Outside diameter of the parts around the bolt, mm.
        head : {"hexagon", "socket"}
            Kind of head.
        E_tapped : float, optional
            Young's modulus of the part with the tapped hole, MPa; a bolt with nut if not given.

        Returns
        -------
        Fastening
            With `clamp_rate` and `plastic_length`. The bolt's modulus is `modulus`.

        Raises
        ------
        OutOfRange, ClampwrightError
            As `clampwright.joint.layered_cone.layered_parts_resilience`; or the shank is as long
            as the grip, the sum of the layers.

        References
        ----------
        VDI 2230-1, bolt resilience and deformation cone, from memory.

        Examples
        --------
        >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
        ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940)
        >>> joint = bolt.with_layered_joint(thicknesses=[20, 25], moduli=[70_000, 205_000],
        ...                                 shank_length=28, outside=60)
        >>> print(f"{joint.clamp_rate:.1f} N/deg, {joint.plastic_length:.0f} mm")
        737.5 N/deg, 22 mm
        """
        cone = layered_parts_resilience(
            thicknesses=thicknesses,
            moduli=moduli,
            bearing_outer=self.bearing_outer,
            hole=self.bearing_inner,
            outside=outside,
            joint="through" if E_tapped is None else "tapped",
        )
        grip = float(sum(thicknesses))
        bolt = self._plain_bolt(grip, shank_length, head, E_tapped)
        return self._with_resiliences(bolt, cone.resilience, free_thread=grip - shank_length)

    def _plain_bolt(
        self, grip: float, shank_length: float, head: HeadShape, E_tapped: float | None
    ) -> Floats:
        """Resilience of the bolt, mm/N; with a nut where no tapped part is given."""
        plain = _checks.not_negative("shank_length", shank_length, unit="mm")
        _checks.smaller("shank_length", plain, "grip", _checks.above("grip", grip, unit="mm"))
        segments = bolt_segments(
            d=self.d,
            d3=self.d3,
            E=self.modulus,
            head=head,
            shank=[(shank_length, self.d)] if shank_length > 0 else (),
            thread_length=grip - shank_length,
            counterpart="nut" if E_tapped is None else "tapped",
            E_tapped=E_tapped,
        )
        return bolt_resilience(segments)

    def _with_resiliences(self, bolt: Floats, parts: Floats, *, free_thread: float) -> Fastening:
        rate = clamp_rate(P=self.P, bolt_resilience=bolt, parts_resilience=parts)
        found = self.with_clamp_rate(float(rate), free_thread=free_thread)
        return replace(found, bolt_resilience=float(bolt))

    def torque_from_clamp(
        self,
        clamp: ArrayLike,
        *,
        mu_thread: ArrayLike,
        mu_bearing: ArrayLike,
    ) -> Floats:
        """Return the tightening torque (N·m) for a clamp load (N), by the long form.

        Parameters
        ----------
        clamp : array_like
            Clamp load, N.
        mu_thread, mu_bearing : array_like
            Friction coefficients.

        Returns
        -------
        float or ndarray
            Torque, N·m.

        Raises
        ------
        OutOfRange
            As `clampwright.joint.torque_tension.torque_from_clamp`.
        """
        return torque_from_clamp(
            clamp,
            P=self.P,
            d2=self.d2,
            bearing_diameter=self.bearing_diameter,
            mu_thread=mu_thread,
            mu_bearing=mu_bearing,
            prevailing_torque=self.prevailing_torque,
        )

    def clamp_from_torque(
        self,
        torque: ArrayLike,
        *,
        mu_thread: ArrayLike,
        mu_bearing: ArrayLike,
    ) -> Floats:
        """Return the clamp load (N) from a tightening torque (N·m), by the long form.

        Parameters
        ----------
        torque : array_like
            Torque, N·m.
        mu_thread, mu_bearing : array_like
            Friction coefficients.

        Returns
        -------
        float or ndarray
            Clamp load, N, as if the fastener could not yield.

        Raises
        ------
        OutOfRange
            As `clampwright.joint.torque_tension.clamp_from_torque`.
        """
        return clamp_from_torque(
            torque,
            P=self.P,
            d2=self.d2,
            bearing_diameter=self.bearing_diameter,
            mu_thread=mu_thread,
            mu_bearing=mu_bearing,
            prevailing_torque=self.prevailing_torque,
        )

    def yield_clamp(self, *, mu_thread: ArrayLike, torsion: Torsion = "plastic") -> Floats:
        """Return the clamp load (N) at which this fastener begins to yield while being turned.

        Parameters
        ----------
        mu_thread : array_like
            Friction coefficient in the thread.
        torsion : {"plastic", "elastic"}
            Reading of the torsion.

        Returns
        -------
        float or ndarray
            Clamp load, N.

        Raises
        ------
        Missing
            The yield stress is not known.
        OutOfRange
            As `clampwright.joint.stress.yield_clamp`.
        """
        if self.yield_stress is None:
            raise Missing(
                words("the yield stress of the fastener is not known; give its strength class"),
                "yield_stress",
            )
        return yield_clamp(
            yield_stress=self.yield_stress,
            stress_area=self.stress_area,
            P=self.P,
            d2=self.d2,
            mu_thread=mu_thread,
            torsion=torsion,
        )

    def yield_torque(self, *, mu_thread: ArrayLike, mu_bearing: ArrayLike) -> Floats:
        """Return the torque (N·m) at which this fastener begins to yield.

        Parameters
        ----------
        mu_thread, mu_bearing : array_like
            Friction coefficients.

        Returns
        -------
        float or ndarray
            Torque, N·m.

        Raises
        ------
        Missing
            The yield stress is not known.
        OutOfRange
            A friction coefficient lies outside 0 to 1.
        """
        return self.torque_from_clamp(
            self.yield_clamp(mu_thread=mu_thread), mu_thread=mu_thread, mu_bearing=mu_bearing
        )

    @property
    def proof_load(self) -> float | None:
        """Proof load, N, where the proof stress is known."""
        return None if self.proof_stress is None else self.proof_stress * self.stress_area


_POSITIVE = {
    "d": "mm",
    "P": "mm",
    "d2": "mm",
    "d3": "mm",
    "stress_area": "mm²",
    "bearing_outer": "mm",
    "bearing_inner": "mm",
    "yield_stress": "MPa",
    "proof_stress": "MPa",
    "clamp_rate": "N/deg",
    "plastic_length": "mm",
    "tangent_modulus": "MPa",
    "modulus": "MPa",
    "tensile_strength": "MPa",
    "bolt_resilience": "mm/N",
}
"""Fields that must be above zero where given, with their unit."""
