"""Comparing asks of every height whether the ceiling cuts a motif; the walls are told of the motifs that it cuts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.comparing.figures import columns_cut
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import Edge, SettingOut, set_out
from cutplan.setting_out.motifs import AtCeiling, at_ceiling, motifs_cut_in

REPEAT = 64


def room_of(drop: int, above: int, below: int, tops: tuple[int, int, int], *, is_told: bool) -> SettingOut:
    """Return a wall under two slopes whose print hangs ``drop`` below the level line."""
    across = "motif_from_left = 200\nmotif_width = 90\n" if is_told else ""
    first, middle, last = tops
    scenario = parse_scenario(
        f'units = "mm"\n[paper]\nroll_length = 10050\nroll_width = 530\nmatch = "{REPEAT} cm/half"\n'
        f"motif_above = {above}\nmotif_below = {below}\n{across}"
        f'[room]\nlevel_line = 2400\n[start]\nwall = "east"\nat = 0\nputs = "joint"\nmotif_drop = {drop}\n'
        f'[[wall]]\nname = "east"\nwidth = 3100\ntop = [[0, {first}], [1400, {middle}], [3100, {last}]]\n',
        "loft.toml",
    )
    assert scenario.setting_out is not None
    return scenario.setting_out


def told(setting_out: SettingOut) -> int:
    """Return how many columns the walls are told to have whose motif the ceiling cuts."""
    found = motifs_cut_in(setting_out.room, setting_out.paper, setting_out.pieces)
    return len({piece.column for piece, cut in found if cut.edge is Edge.TOP})


HEIGHTS = st.integers(2300, 2500)


@given(
    drop=st.integers(0, 639),
    above=st.integers(0, 400),
    below=st.integers(0, 400),
    tops=st.tuples(HEIGHTS, HEIGHTS, HEIGHTS),
    is_told=st.booleans(),
)
def test_as_many_columns_are_compared_as_the_walls_are_told_of(
    drop: int, above: int, below: int, tops: tuple[int, int, int], *, is_told: bool
) -> None:
    """Under a slope too, wherever the motif is across the strip, and however tall it is."""
    found = room_of(drop, above, below, tops, is_told=is_told)
    assert columns_cut(at_ceiling(found.room, found.paper, found.pieces), found.paper) == told(found)


@given(drop=st.integers(0, 300), lower=st.integers(-300, 300), tops=st.tuples(HEIGHTS, HEIGHTS, HEIGHTS))
def test_print_hung_lower_is_compared_without_setting_it_out(drop: int, lower: int, tops: tuple[int, int, int]) -> None:
    """A print hung lower cuts as many as the room set out with the print there."""
    found = room_of(drop, 110, 70, tops, is_told=True)
    there = room_of((drop + lower) % 640, 110, 70, tops, is_told=True)
    ceiling = at_ceiling(found.room, found.paper, found.pieces)
    assert columns_cut(ceiling, found.paper, Fraction(lower)) == told(there)


@pytest.mark.parametrize(("ends", "is_cut"), [(179, True), (180, False), (640, False), (641, True), (0, False)])
def test_motif_that_just_meets_the_ceiling_is_whole(ends: int, *, is_cut: bool) -> None:
    """A motif 180 tall that ends 180 below the ceiling begins at it; one that ends at it stands wholly above."""
    found = room_of(0, 110, 70, (2400, 2400, 2400), is_told=False)
    assert AtCeiling(1, Fraction(ends), Fraction(180)).cuts(found.paper.pattern) is is_cut


def test_no_motif_told_is_none_cut() -> None:
    """Where the label does not say how far the motif reaches, nothing is said of it."""
    found = room_of(0, 0, 0, (2400, 2350, 2400), is_told=False)
    assert at_ceiling(found.room, found.paper, found.pieces) == ()
    assert told(set_out(found.room, found.paper, found.start, found.way, found.finish)) == 0


def test_strip_that_ends_in_a_point_where_its_motif_is_shows_none() -> None:
    """Ceiling and stair meet at the strip's right edge, where its motif stands: nothing of it hangs there to be cut."""
    scenario = parse_scenario(
        'units = "mm"\n[paper]\nroll_length = 10050\nroll_width = 530\nmatch = "64 cm"\n'
        "motif_above = 110\nmotif_below = 70\nmotif_from_left = 530\n"
        '[start]\nwall = "east"\nat = 0\nputs = "joint"\nmotif_drop = 110\n'
        '[[wall]]\nname = "east"\nwidth = 1060\ntop = [[0, 2400], [1060, 1000]]\nfoot = [[0, 0], [1060, 1000]]\n',
        "stair.toml",
    )
    found = scenario.setting_out
    assert found is not None
    assert {piece.column for piece in found.pieces} == {0, 1}
    assert 1 not in {piece.column for piece, _ in motifs_cut_in(found.room, found.paper, found.pieces)}
    assert 1 not in {each.column for each in at_ceiling(found.room, found.paper, found.pieces)}
