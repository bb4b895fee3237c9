"""What is done with texts that are long, strange, or run from right to left."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.render.drawing.lettering import Box, Lettering, fitted, isolated, on_one_line, width_of
from cutplan.render.drawing.picture import Picture


def test_long_text_is_shortened_with_an_ellipsis() -> None:
    """What remains is a beginning of it, and fits."""
    shown = fitted("landing window", 60, 20)

    assert shown.endswith("…")
    assert "landing window".startswith(shown.removesuffix("…").rstrip())
    assert width_of(shown, 20) <= 60


def test_text_that_fits_is_left_alone() -> None:
    """Ten digits of size 10 take 59 units."""
    assert fitted("0123456789", 59, 10) == "0123456789"


def test_nothing_is_written_where_not_even_one_sign_has_room() -> None:
    """An ellipsis alone would say nothing."""
    assert fitted("window", 5, 20) == ""


@pytest.mark.parametrize(
    ("given_text", "shown"),
    [
        ("a\nb\tc", "a b c"),
        ("a\x00b", "a\N{REPLACEMENT CHARACTER}b"),
        ("\ufffe", "\N{REPLACEMENT CHARACTER}"),
        ("<&>", "<&>"),
    ],
)
def test_signs_that_xml_forbids_are_replaced(given_text: str, shown: str) -> None:
    """White space becomes a space, what is no character the sign for that; markup is escaped later, not here."""
    assert on_one_line(given_text) == shown


def test_text_from_right_to_left_keeps_its_direction_to_itself() -> None:
    """Figures after it stay in their order; text from left to right is not touched."""
    assert isolated("מטבח") == "\N{FIRST STRONG ISOLATE}מטבח\N{POP DIRECTIONAL ISOLATE}"
    assert isolated("kitchen 2") == "kitchen 2"


def test_text_cannot_break_out_of_its_isolation() -> None:
    """A closing sign in it is dropped, and an override ends with it."""
    hostile = "\N{POP DIRECTIONAL ISOLATE}\N{RIGHT-TO-LEFT OVERRIDE}evil"

    assert isolated(hostile) == "\N{FIRST STRONG ISOLATE}\N{RIGHT-TO-LEFT OVERRIDE}evil\N{POP DIRECTIONAL ISOLATE}"


@given(st.text(max_size=60))
def test_any_text_makes_a_picture_that_parses(text: str) -> None:
    """Whatever is in a name, title or description, the SVG is well formed and shows it."""
    picture = Picture("p", text, text)
    picture.letter(Lettering(text, 20, 0, 0))

    root = ET.fromstring(picture.svg())  # noqa: S314 - our own text
    shown = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")]
    assert shown == ([on_one_line(text)] if text else [])


def test_second_text_in_the_same_place_is_not_written() -> None:
    """The first has the room."""
    picture = Picture("p", "", "")

    assert picture.letter(Lettering("one", 20, 0, 0))
    assert not picture.letter(Lettering("two", 20, 5, 5))


def test_boxes_that_share_an_edge_do_not_meet() -> None:
    """Otherwise texts set close together would crowd one another out."""
    assert not Box(0, 0, 10, 10).meets(Box(10, 0, 20, 10))
    assert Box(0, 0, 10, 10).meets(Box(9, 9, 20, 20))
