"""Spellings of units."""

import contextlib
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import Ambiguous, ClampwrightError
from clampwright.units import Kind, Unreadable, spellings, unit_named, unit_remark, units

WRITTEN = {
    "N·m": (
        "Nm | N.m | N·m | N•m | N∙m | N⋅m | N-m | N–m | N×m | N*m | N m | N\u00a0m | "
        "N x m | Nm. | nm | NM | nM | Ｎｍ | Ｎ・ｍ | newton-metre | newton metres | "
        "Newtonmeter | newton-meters | m·N"
    ),
    "cN·m": "cNm | cN.m | cN m | Ncm | N.cm | centinewton-metre",
    "dN·m": "dNm | dN·m | dN.m",
    "daN·m": "daNm | daN.m | daN·m | m.daN | mdaN",
    "kN·m": "kNm | kN·m | KNM",
    "mN·m": "mNm | mN·m | mN.m | Nmm | N·mm",
    "MN·m": "MNm | MN·m",
    "kgf·m": (
        "kgf·m | kgf.m | kgfm | kg-m | kg·m | kgm | Kgm | mkg | m.kg | m·kg | mkp | "
        "m·kp | kpm | kp·m | kg/m | kgf/m | kgf m | kilogram-metres"
    ),
    "kgf·cm": "kgf·cm | kgf.cm | kgcm | kg-cm | kg·cm | cmkg | kpcm",
    "ft·lbf": (
        "ft·lbf | ft-lb | ft-lbs | lb-ft | lbs-ft | lb ft | ft lb | ft lbs | "
        "ft. lbs. | ft. lb. | ft.-lbs. | lbf ft | lbf·ft | lb·ft | ft·lb | ftlb | "
        "ftlbs | FT-LB | FT/LBS | ft/lb | lb/ft | foot pounds | foot-pounds | "
        "pound-feet | ft lbf | ft•lb | ft×lb | ft x lb | pi-lb | lb-pi | lb-pie | "
        "pie-lb | libras pie | ft-# | ft# | foot-pound-force | ft.lb.f | ｆｔ－ｌｂ | "
        "ft\u00adlb | ft\u2011lb"
    ),
    "in·lbf": (
        "in·lbf | in-lb | in-lbs | in. lbs. | in lb | lb in | lbf·in | lb·in | lb-in | "
        "inlb | in/lb | inch pounds | inch-pounds | pound-inches | po-lb | lb-po | "
        "in#"
    ),
    "in·ozf": "in·ozf | in-oz | oz-in | oz in | ozf·in | inch-ounces | oz. in.",
    "gf·cm": "gf·cm | gf.cm | g·cm",
    "dyn·cm": "dyn·cm | dyn.cm | dyne cm",
    "deg": ("° | º | ˚ | deg | deg. | degs | degree | degrees | DEG | Grad | degrés | grados"),
    "turn": (
        "turn | turns | rev | revs | revolution | revolutions | rotation | tour | "
        "tours | vuelta | Umdrehung"
    ),
    "flat": "flat | flats | hex flats | hexagon flat",
    "mm": "mm | millimetre | millimeters | ㎜",
    "cm": "cm | centimetres | ㎝",
    "m": "m | metre | meters",
    "µm": "µm | μm | um | microns",
    "in": 'in | in. | inch | inches | " | ″ | Zoll',
    "ft": "ft | foot | feet",
    "km": "km | kilometres | kilomètres",
    "mi": "mi | mile | miles",
    "N": "N | newton | newtons",
    "kN": "kN | KN | kilonewtons",
    "lbf": "lbf | lbs-force | pounds-force",
    "kip": "kip | kips",
    "kgf": "kgf | kp | kilopond",
    "MPa": "MPa | MPA | N/mm² | N/mm2 | N/mm^2 | N / mm² | N/㎟",
    "GPa": "GPa | kN/mm²",
    "psi": "psi | PSI | p.s.i. | lbf/in² | lb/in2 | lb / sq in",
    "ksi": "ksi | kip/in²",
    "bar": "bar | bars",
    "s": "s | sec | secs | seconds | Sekunden",
    "min": "min | mins | min. | minutes | Minuten | minutos",
    "h": "h | hr | hrs | hours | Stunden | heures | horas",
    "°C": "°C | ° C | ºC | ℃ | degC | deg C | Celsius",
    "°F": "°F | ºF | ℉ | deg F | Fahrenheit",
}
CASES = [(text, name) for name, listed in WRITTEN.items() for text in listed.split(" | ")]


@pytest.mark.parametrize(("text", "name"), CASES)
def test_a_spelling_people_write_is_known(text: str, name: str) -> None:
    assert unit_named(text).name == name


def test_every_spelling_of_the_tables_is_read_as_its_unit() -> None:
    wrong = [(s, name) for s, name in spellings() if unit_named(s).name != name]
    assert wrong == []


@pytest.mark.parametrize("name", sorted(units()))
def test_a_canonical_name_leads_back_to_its_unit(name: str) -> None:
    unit = units()[name]
    if unit.kind == "mass":
        assert unit_named(name, "mass") is unit
    else:
        assert unit_named(name) is unit
        assert unit_named(name, unit.kind) is unit


BARE = {
    ("lb", "lbs", "lbs.", "LB", "#", "pounds", "ｌｂ"): {
        None: ("ft·lbf", "in·lbf", "lbf", "lb"),
        "torque": ("ft·lbf", "in·lbf"),
        "force": "lbf",
        "mass": "lb",
    },
    ("kg", "kgs", "KG", "kilos", "kilograms", "㎏"): {
        None: ("kgf·m", "kgf·cm", "kgf", "kg"),
        "torque": ("kgf·m", "kgf·cm"),
        "force": "kgf",
        "mass": "kg",
    },
    ("oz", "ounces"): {
        None: ("in·ozf", "ozf", "oz"),
        "torque": ("in·ozf",),
        "force": "ozf",
        "mass": "oz",
    },
    ("g", "grams"): {None: ("gf·cm", "g"), "torque": ("gf·cm",), "mass": "g"},
}


@pytest.mark.parametrize(
    ("text", "kind", "wanted"),
    [
        (text, kind, wanted)
        for texts, by_kind in BARE.items()
        for text, (kind, wanted) in itertools.product(texts, by_kind.items())
    ],
)
def test_a_bare_mass_is_asked_where_more_than_one_thing_fits(
    text: str, kind: Kind | None, wanted: str | tuple[str, ...]
) -> None:
    if isinstance(wanted, str):
        assert unit_named(text, kind).name == wanted
    else:
        with pytest.raises(Ambiguous) as caught:
            unit_named(text, kind)
        assert caught.value.readings == wanted


@pytest.mark.parametrize(
    ("text", "kind", "readings"),
    [
        ("lbf", "torque", ("ft·lbf", "in·lbf")),
        ("kgf", "torque", ("kgf·m", "kgf·cm")),
        ("N", "torque", ("N·m", "cN·m", "mN·m")),
        ("N/m", None, ("N·m",)),
        ("MNM", None, ("mN·m", "MN·m")),
    ],
)
def test_half_a_torque_unit_is_asked(
    text: str, kind: Kind | None, readings: tuple[str, ...]
) -> None:
    with pytest.raises(Ambiguous) as caught:
        unit_named(text, kind)
    assert caught.value.readings == readings


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("ft-lbz", None, "did you mean ft·lbf"),
        ("degres", "angle", "did you mean deg"),
        ("furlongs", None, "is not a known unit; units are written like"),
        ("mm", "torque", "is a length, but a torque is wanted here, such as N·m"),
        ("N·m", "angle", "is a torque, but an angle is wanted here, such as deg"),
        ("", None, "is not a known unit"),
        ("N\u202em", None, "is not a known unit"),
        ("m m", None, "is not a known unit"),
        ("mN", None, "is not a known unit"),
        ("x" * 500, None, "is not a known unit"),
    ],
)
def test_what_is_no_unit_here_is_refused_in_words(text: str, kind: Kind | None, says: str) -> None:
    with pytest.raises(Unreadable, match=says) as caught:
        unit_named(text, kind)
    assert len(str(caught.value)) < 200


def test_a_product_written_with_a_slash_is_remarked() -> None:
    assert "kgf·m" in str(unit_remark("kg/m"))
    assert "ft·lbf" in str(unit_remark("FT / LBS"))
    assert unit_remark("kg-m") is None
    assert unit_remark("nonsense") is None


SEPARATORS = ["", "-", " ", ".", "·", "•", " - ", ". ", "\u00a0", "\u202f", "*", "×", "⋅", "‑"]


@given(
    st.sampled_from(["ft", "foot", "FT", "Ft"]),
    st.sampled_from(SEPARATORS),
    st.sampled_from(["lb", "lbs", "LBS", "lbf", "pounds", "lb.", "#"]),
    st.sampled_from([slice(None), slice(None, None, -1)]),
)
def test_any_separator_and_either_order_make_the_same_foot_pound(
    length: str, separator: str, force: str, order: slice
) -> None:
    assert unit_named(separator.join((length, force)[order])).name == "ft·lbf"


@given(st.text(max_size=90))
@settings(max_examples=200)
def test_any_text_is_a_unit_or_refused_in_words(text: str) -> None:
    name = ""
    with contextlib.suppress(ClampwrightError):
        name = unit_named(text).name
    assert not name or name in units()
