"""Few places are reckoned with in plain numbers, many in arrays: both say the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.plan.order import Follow
from cutplan.solve import solve
from cutplan.solve.clock import UNHURRIED
from cutplan.solve.instance import scale
from cutplan.solve.ordering.task import task_of
from cutplan.solve.roll import few_places
from cutplan.solve.roll.choice import filler_of
from cutplan.solve.roll.few_places import FewPlaces
from cutplan.solve.roll.phased import PhasedRolls
from cutplan.solve.roll.places import places_on
from cutplan.solve.search.certificate import paper_taken
from random_rooms import STOCKS, random_room

PRINTED = ("straight", "half", "third", "quarter")


@given(
    seed=st.integers(0, 10**6),
    match=st.sampled_from(PRINTED),
    stock=st.sampled_from(STOCKS),
    certain=st.booleans(),
    data=st.data(),
)
def test_rolls_are_worth_and_filled_the_same(
    seed: int,
    match: str,
    stock: str,
    certain: bool,  # noqa: FBT001 - drawn
    data: st.DataObject,
) -> None:
    """At any prices, and with any drops left, the values of rolls and the layouts that fill them are the same."""
    instance = scale(random_room(seed, match=match, stock=stock, most_columns=12), certain=certain).instance
    kinds = len(instance.kinds)
    prices = data.draw(st.lists(st.integers(0, 30), min_size=kinds, max_size=kinds))
    remaining = [data.draw(st.integers(0, kind.demand)) for kind in instance.kinds]

    few = FewPlaces(instance, places_on(instance), UNHURRIED).worth(prices)
    many = PhasedRolls(instance).worth(prices)

    assert few.by_type == many.by_type
    for roll_type in range(len(instance.roll_types)):
        assert few.fill(roll_type, remaining) == many.fill(roll_type, remaining)


def test_an_ordinary_room_has_few_places() -> None:
    """A half-drop room of up to 30 columns on sealed rolls needs no array; a quarter-drop house does."""
    room = scale(random_room(0, match="half", stock="sealed", most_columns=30), certain=True).instance
    house = scale(random_room(0, match="quarter", stock="measured", most_columns=200), certain=True).instance

    assert isinstance(filler_of(room), FewPlaces)
    assert isinstance(filler_of(house), PhasedRolls)


@given(seed=st.integers(0, 10**6), match=st.sampled_from(PRINTED), stock=st.sampled_from(STOCKS))
def test_open_paper_is_worth_the_same(seed: int, match: str, stock: str) -> None:
    """What an open roll can still give is the same number by number as in arrays."""
    task = task_of(solve(random_room(seed, match=match, stock=stock, most_columns=10)), Follow.DROPS)
    faces = []
    for most in (10**9, -1):  # first one by one, then in arrays
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(few_places, "MOST_STEPS", most)
            faces.append(task.paper(UNHURRIED))

    one_by_one, in_arrays = faces
    for state in one_by_one.unopened:
        assert one_by_one.after_each(state) == in_arrays.after_each(state)
    assert one_by_one.worths == in_arrays.worths
    assert (one_by_one.offsets, one_by_one.useds) == (in_arrays.offsets, in_arrays.useds)


@given(seed=st.integers(0, 10**6), match=st.sampled_from(PRINTED))
def test_paper_taken_is_up_to_the_nearest_place_of_any_drop(seed: int, match: str) -> None:
    """A drop takes its length, and what is lost until the print is right for some drop: looked for one by one."""
    instance = scale(random_room(seed, match=match, stock="sealed", most_columns=20), certain=True).instance

    expected = [
        kind.length + min((kind.phase - other.phase - kind.length) % instance.repeat for other in instance.kinds)
        for kind in instance.kinds
    ]

    assert paper_taken(instance) == expected
