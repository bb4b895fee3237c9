"""What paper without a print can give, in plain numbers and in arrays."""

from __future__ import annotations

from random import Random

import pytest

from cutplan.solve.instance import DropKind, Instance, RollType
from cutplan.solve.ordering.free_face import LONGEST, _few_steps, _in_arrays


def wanted(chance: Random) -> Instance:
    """Return a job of a few kinds of drops, some of them longer than the roll."""
    kinds = tuple(DropKind(0, chance.randint(3, 70), chance.randint(1, 6)) for _ in range(chance.randint(1, 5)))
    return Instance(0, 0, kinds, (RollType(60, None, None, 1),))


@pytest.mark.parametrize("seed", range(40))
def test_plain_numbers_say_of_each_length_what_arrays_say(seed: int) -> None:
    """What can be used, and what it can be worth by lengths and by chance prices."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    instance = wanted(chance)
    prices = [[kind.length for kind in instance.kinds], [chance.randint(0, 9) for _ in instance.kinds]]

    plain, arrays = _few_steps(instance, prices), _in_arrays(instance, prices)

    assert plain is not None
    for one, other in zip((plain[0], *plain[1]), (arrays[0], *arrays[1]), strict=True):
        assert [one(room) for room in range(61)] == [other(room) for room in range(61)]


def test_arrays_are_loaded_for_long_rolls_and_worths_of_many_steps() -> None:
    """Sixty lengths that are no multiples of one another: more than 200 sums are worth more than any shorter."""
    long = Instance(0, 0, (DropKind(0, 5, 1),), (RollType(LONGEST + 1, None, None, 1),))
    kinds = tuple(DropKind(0, 1000 + 7 * number, 1) for number in range(60))
    many = Instance(0, 0, kinds, (RollType(10_050, None, None, 1),))

    assert _few_steps(long, [[1]]) is None
    assert _few_steps(many, [[1000 + 7 * number + number % 3 for number in range(60)]]) is None
