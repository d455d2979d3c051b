"""Sizes as they are printed and typed; refusals by name; what another tyre does to the height."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuning.engine.errors import EngineInputError
from tuning.engine.tyres import Tyre, growth_by_size, nominal_diameter, parse, radius_growth


@pytest.mark.parametrize(
    ("size", "tyre"),
    [
        ("120/70ZR17 M/C (58W)", Tyre(120, 70, 17)),
        ("120/70ZR17M/C", Tyre(120, 70, 17)),
        ("120/70 R 17 58H", Tyre(120, 70, 17)),
        ("180/55 ZR 17", Tyre(180, 55, 17)),
        ("180/55zr17", Tyre(180, 55, 17)),
        ("180/55×17", Tyre(180, 55, 17)),
        ("150/70B17", Tyre(150, 70, 17)),
        ("150/80 VB 16", Tyre(150, 80, 16)),
        ("130/90 HB16", Tyre(130, 90, 16)),
        ("110/90 V16", Tyre(110, 90, 16)),
        ("90/90-21", Tyre(90, 90, 21)),
        ("90/90 – 21 54S", Tyre(90, 90, 21)),
        ("  80/100 - 21  51M", Tyre(80, 100, 21)),
        ("110 / 80 - 19", Tyre(110, 80, 19)),
        ("１２０／７０ＺＲ１７", Tyre(120, 70, 17)),
    ],
)
def test_sizes_as_printed(size: str, tyre: Tyre) -> None:
    assert parse(size) == tyre
    assert nominal_diameter(size) == tyre.diameter


@pytest.mark.parametrize(
    ("size", "reason"),
    [
        ("MH90-21", "alpha_tyre_size"),
        ("MT90B16", "alpha_tyre_size"),
        ("mu85hb-16", "alpha_tyre_size"),
        ("MH90-21 (80/90-21)", "alpha_tyre_size"),
        ("3.50-18", "inch_tyre_size"),
        ("3,50-18", "inch_tyre_size"),
        ("4.00H18", "inch_tyre_size"),
        ("3.25 S 19", "inch_tyre_size"),
        ("4.25/85H18", "inch_tyre_size"),
        ("2.75 x 17", "inch_tyre_size"),
        ("", "unreadable_tyre_size"),
        ("front", "unreadable_tyre_size"),
        ("120/70", "unreadable_tyre_size"),
        ("120/70-175", "unreadable_tyre_size"),
        ("120/70-17/18", "unreadable_tyre_size"),
        # Both ends in one field: neither is taken for the other.
        ("120/70ZR17 / 180/55ZR17", "unreadable_tyre_size"),
        ("120/200-17", "unreadable_tyre_size"),
        ("120/70-45", "unreadable_tyre_size"),
        ("40/70-17", "unreadable_tyre_size"),
        ("350-18", "unreadable_tyre_size"),
    ],
)
def test_refused_by_name(size: str, reason: str) -> None:
    with pytest.raises(EngineInputError) as caught:
        nominal_diameter(size, "tyre_size.front")
    (fault,) = caught.value.faults
    assert (fault.path, fault.value, fault.reason) == ("tyre_size.front", size, reason)


@given(st.text(alphabet="0123456789/-. ZRBMHVx×–", max_size=200) | st.text(max_size=60))
def test_any_text_is_a_size_or_refused(text: str) -> None:
    try:
        found = nominal_diameter(text)
    except EngineInputError:
        return
    assert 8 * 25.4 < found < 23 * 25.4 + 2 * 330 * 1.1


def test_long_text_is_refused_at_once() -> None:
    with pytest.raises(EngineInputError):
        parse("120/70" + " " * 200_000 + "x")


@given(
    st.integers(50, 330), st.integers(25, 110), st.integers(10, 23), st.sampled_from(["-", "ZR", " R ", "B", " - "])
)
def test_what_is_written_is_read(width: int, aspect: int, rim: int, between: str) -> None:
    assert parse(f"{width}/{aspect}{between}{rim}") == Tyre(width, aspect, rim)


def test_growth() -> None:
    assert growth_by_size("180/55-17", "190/55-17") == pytest.approx(5.5)
    assert growth_by_size("190/55-17", "180/55-17") == pytest.approx(-5.5)
    diameters = [nominal_diameter(size) for size in ("180/55-17", "190/55-17")]
    assert float(radius_growth(*(math.pi * d for d in diameters))) == pytest.approx(5.5, abs=1e-12)
    assert np.isnan(radius_growth(math.nan, 1900.0))
    with pytest.raises(EngineInputError) as caught:
        growth_by_size("180/55-17", "MT90B16")
    assert caught.value.faults[0].path == "after"
