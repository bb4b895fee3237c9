"""Values written as TOML are read back as they were, exactly."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutplan.lengths import LONGEST, read_length
from cutplan.scenario.toml_text import decimal, length_value, quoted

LENGTHS = st.builds(Fraction, st.integers(0, 4_000_000), st.sampled_from([1, 2, 3, 7, 10, 64, 1000, 5080]))


@settings(max_examples=200, deadline=None)
@given(text=st.text())
def test_every_text_comes_back_as_it_was(text: str) -> None:
    """Quotation marks, line ends, control signs and all."""
    assert tomllib.loads(f"key = {quoted(text)}") == {"key": text}


@settings(max_examples=200, deadline=None)
@given(length=LENGTHS, units=st.sampled_from(["mm", "cm", "m", "in", "ft", "yd"]))
def test_every_length_comes_back_exactly(length: Fraction, units: str) -> None:
    """Whether it is written as a number, as parts of an inch, or as any other fraction."""
    assert length <= LONGEST
    document = tomllib.loads(f"key = {length_value(length, units)}", parse_float=Decimal)

    assert read_length(document["key"], units) == length


@pytest.mark.parametrize(
    ("length", "units", "written"),
    [
        (Fraction(0), "mm", "0"),
        (Fraction(2360), "mm", "2360"),
        (Fraction("2360.5"), "m", "2.3605"),
        (Fraction(640, 3), "mm", '"213 1/3 mm"'),
        (Fraction(127, 10), "in", '"1/2 in"'),
        (Fraction(127, 10), "ft", '"1/24 ft"'),
    ],
)
def test_lengths_are_written_as_people_write_them(length: Fraction, units: str, written: str) -> None:
    """Decimals that end stay bare numbers; parts of an inch and thirds are texts with their unit."""
    assert length_value(length, units) == written


def test_decimal_that_does_not_end_is_none() -> None:
    """A third has none; an eighth has."""
    assert (decimal(Fraction(1, 3)), decimal(Fraction(1, 8))) == (None, "0.125")
