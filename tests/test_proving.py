"""What vouches for «proved», part by part: against everything that can be tried, and when a part has done enough."""

from __future__ import annotations

from random import Random
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

import pytest

from cutplan.solve.clock import Clock, TimeIsUp
from cutplan.solve.instance import DropKind, Instance, RollType
from cutplan.solve.layout import Layout, places_of
from cutplan.solve.roll import fullest
from cutplan.solve.roll.choice import rolls_of
from cutplan.solve.search import closing, cover, full_rolls, gap_search, likely_rolls, programme
from cutplan.solve.search.bound import relax
from cutplan.solve.search.certificate import certificates_by_rule, certify, nothing_proved
from cutplan.solve.search.full_rolls import decide_full_rolls, decided
from cutplan.solve.search.gap_search import GapSearch
from cutplan.solve.search.grouping import group, hand_out, split
from cutplan.solve.search.haste import certificates_at_once
from cutplan.solve.search.outcome import unknown, value_of
from cutplan.solve.search.strategy import optimise
from test_solver_stages import AT_LEISURE, assert_cuts_every_drop, ignore

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.solve.roll.holding import Pricing

NEVER_ASKED: Final[Pricing] = None  # type: ignore[assignment]
"""In place of what prices rolls, where nothing may be priced."""


# --- When the linear programme has said enough ------------------------------------------------------------

THREE: Final = Instance(0, 0, (DropKind(0, 30, 3),), (RollType(100, 0, None, 1),))
"""Three drops, of which one roll holds all; cut one from each roll they take three."""

ONE_EACH: Final = Layout(0, (0,))


def test_no_price_is_asked_once_the_programme_is_down_to_the_value_wanted() -> None:
    """Three rolls are all that is asked, and the first columns give them."""
    relaxation = relax(THREE, NEVER_ASKED, [ONE_EACH], Clock(AT_LEISURE), low_enough=3)

    assert (relaxation.certificate, relaxation.columns) == (nothing_proved(THREE), (ONE_EACH,))


def test_no_column_is_added_once_the_bound_is_as_good_as_wanted() -> None:
    """The first prices, of a whole roll for each drop, prove one roll already."""
    relaxation = relax(THREE, rolls_of(THREE), [ONE_EACH], Clock(AT_LEISURE), good_enough=1)

    assert relaxation.certificate.bound == 1
    assert relaxation.columns == (ONE_EACH,)


def test_one_roll_is_proved_like_any_other_number() -> None:
    """The least value that is not nothing is no reason to stop."""
    relaxation = relax(THREE, rolls_of(THREE), [Layout(0, (0, 0, 0))], Clock(AT_LEISURE))

    assert relaxation.certificate.bound == 1


def test_no_price_is_asked_of_rolls_that_cost_nothing() -> None:
    """Nothing is less than nothing."""
    kept = Instance(0, 0, THREE.kinds, (RollType(100, 0, 3, 0),))

    assert relax(kept, NEVER_ASKED, [ONE_EACH], Clock(AT_LEISURE)).certificate == nothing_proved(kept)


# --- What is tried before the search ----------------------------------------------------------------------

COARSE: Final = Instance(
    0,
    0,
    (DropKind(0, 11_501, 2), DropKind(0, 8_501, 1), DropKind(0, 8_499, 1)),
    (RollType(20_001, 0, 3, 1), RollType(11_501, 0, 1, 1)),
)
"""A free match for which prices prove two rolls, and the first plan takes three."""

PRINTED: Final = Instance(
    7,
    0,
    (DropKind(6, 6, 3), DropKind(6, 5, 3), DropKind(3, 6, 2)),
    (RollType(29, 2, 8, 1), RollType(23, 4, 2, 1), RollType(29, 4, 1, 1)),
)
"""A print of which the same is true."""


@pytest.mark.parametrize(
    ("instance", "are_few", "target", "tried"),
    [
        pytest.param(COARSE, False, 2, [2], id="free match, too many to list"),
        pytest.param(COARSE, True, 2, [], id="free match, listed"),
        pytest.param(COARSE, False, 3, [], id="free match, asked for more than the bound"),
        pytest.param(PRINTED, False, 2, [], id="print, too many to list"),
    ],
)
def test_layouts_that_hardly_waste_are_tried_of_a_free_match_at_the_bound_where_not_all_can_be_listed(
    instance: Instance,
    are_few: bool,  # noqa: FBT001 - a parameter
    target: int,
    tried: list[int],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Elsewhere the search is sooner by itself."""
    asked: list[int] = []
    monkeypatch.setattr(GapSearch, "is_small", lambda _self, _target: are_few)
    monkeypatch.setattr(GapSearch, "of_few_layouts", lambda _self, target, _clock: asked.append(target))
    monkeypatch.setattr(closing, "_target", lambda _outcome: target)

    def ended(*_: object) -> None:
        raise TimeIsUp("what is tried before the search has ended")

    monkeypatch.setattr(closing, "_decide", ended)
    outcome = unknown(instance)
    optimise(outcome, Clock(AT_LEISURE), ignore)

    assert outcome.stopped == "what is tried before the search has ended"
    assert asked == tried


def test_what_is_tried_first_leaves_time_for_the_rest() -> None:
    """Each try takes a part of the time that is left, and all of them together do not take all."""
    for part, tries in (
        (gap_search.SHARE, len(gap_search.PARTS)),
        (full_rolls.FOR_ALL, 1),
        (likely_rolls.FOR_TRIES, 1),
    ):
        assert part > 0
        assert tries * part < 1


@pytest.mark.parametrize(("roll_type", "begun"), [(0, 75), (1, 54), (2, 75)])
def test_a_list_is_given_up_at_one_beginning_too_many(
    roll_type: int, begun: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So many are looked at when a drop is cut as soon as it can be, and what was begun is not begun anew later on."""
    network = rolls_of(PRINTED).networks([1, 1, 1], [0, 0, 0])[roll_type]

    monkeypatch.setattr(cover, "MOST_PATHS", begun)
    assert cover.layouts_of(network, PRINTED, [1, 1, 1], 0)
    monkeypatch.setattr(cover, "MOST_PATHS", begun - 1)
    with pytest.raises(cover.TooManyError):
        cover.layouts_of(network, PRINTED, [1, 1, 1], 0)


def test_nothing_is_decided_at_one_way_to_fill_a_roll_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 20, 12 + 8, 12 + 5 + 3, 9 + 8 + 3 and 8 + 7 + 5 are full; a list without one of them would prove nothing."""
    kinds = (*(DropKind(0, length, 1) for length in (12, 8, 7, 5, 3)), DropKind(0, 9, 5))
    instance = Instance(0, 0, kinds, (RollType(20, 0, None, 1),))

    monkeypatch.setattr(fullest, "MOST_LISTED", 4)
    assert decided(instance, 4, Clock(AT_LEISURE), 0.5) is not None
    monkeypatch.setattr(fullest, "MOST_LISTED", 3)
    assert decided(instance, 4, Clock(AT_LEISURE), 0.5) is None


@pytest.mark.parametrize("in_time", [0, 3])
def test_a_programme_that_does_not_end_is_looked_at_no_longer_than_patience_lasts(
    in_time: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However often it was looked at while there was time, it is left after so many steps as patience has."""
    looks: list[float] = []
    hanging = SimpleNamespace(start=lambda: None, is_alive=lambda: True, join=looks.append)
    monkeypatch.setattr(programme, "threading", SimpleNamespace(Thread=lambda **_: hanging))
    monkeypatch.setattr(Clock, "left", property(lambda _: float(len(looks) <= in_time)))

    solved = programme.Programme(THREE).decide(Clock(AT_LEISURE), dict)

    assert (solved.layouts, solved.is_decided) == (None, False)
    assert len(looks) == in_time + round(programme.PATIENCE / programme.STEP)


# --- Against everything that can be tried -----------------------------------------------------------------


@pytest.mark.parametrize("way", ["list", "steps"])
@pytest.mark.parametrize("seed", range(1, 24, 2))
def test_no_plan_is_said_not_to_be_that_trying_everything_finds(
    seed: int, way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of rolls in hand for nothing, dear and cheap ones, at prices that prove a lot, a little or nothing."""
    instance = small_instance(seed)
    least = least_of(instance)
    if way == "steps":
        monkeypatch.setattr(cover, "MOST_PATHS", 0)
    rolls = rolls_of(instance)
    assert all(certificate.bound <= least for certificate in certificates_at_once(instance))
    for certificate in (nothing_proved(instance), *certificates_by_rule(instance, rolls)):
        assert certificate.bound <= least
        seeking = GapSearch(instance, rolls, certificate)
        found = seeking.plan_of(least, Clock(AT_LEISURE), is_bound=False)
        below = seeking.plan_of(least - 1, Clock(AT_LEISURE), is_bound=False)

        assert found.layouts is not None
        assert_cuts_every_drop(instance, found.layouts)
        assert value_of(instance, found.layouts) == least
        assert (below.layouts, below.is_decided) == (None, True)


@pytest.mark.parametrize("value", [1, 3])
@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_so_many_rolls_are_said_to_hold_all_drops_only_if_they_do(seed: int, value: int) -> None:
    """As many as trying everything finds, one more, and one fewer if that has paper enough; full ones or not."""
    instance = whole_rolls(seed, value, are_full=seed % 2 == 0)
    fewest = least_of(instance) // value
    for rolls in range(max(fewest - 1, -(-paper_of(instance) // 20)), fewest + 2):
        answer = decided(instance, rolls, Clock(AT_LEISURE), 1.0)

        assert answer is not None
        assert answer.is_decided
        assert (answer.layouts is None) == (rolls < fewest)
        if answer.layouts is not None:
            assert_cuts_every_drop(instance, answer.layouts)
            assert value_of(instance, answer.layouts) <= rolls * value


@pytest.mark.parametrize("seed", range(0, 60, 2))
def test_rolls_that_would_have_to_be_full_settle_the_bound_as_trying_everything_does(seed: int) -> None:
    """Either they can all be full, and that plan is kept, or one roll more is proved by the search."""
    instance = whole_rolls(seed, 1, are_full=True)
    least = least_of(instance)
    outcome = unknown(instance)
    full = outcome.bound = paper_of(instance) // instance.roll_types[0].length

    decide_full_rolls(outcome, Clock(AT_LEISURE))

    if least == full:
        assert (outcome.is_proved, outcome.by_search, outcome.bound) == (True, False, full)
    else:
        assert (outcome.layouts, outcome.by_search, outcome.bound) == (None, True, full + 1)


@pytest.mark.parametrize("seed", range(0, 40, 2))
def test_whatever_a_roll_holds_it_holds_in_groups_too(seed: int) -> None:
    """Kinds planned as one ask no more: every layout stays one, so that the bound of groups holds for the kinds."""
    instance = small_instance(seed)
    grouping = group(instance)
    group_of = {kind: number for number, kinds in enumerate(grouping.members) for kind in kinds}

    assert sorted(group_of) == list(range(len(instance.kinds)))
    for number, kinds in enumerate(grouping.members):
        assert grouping.grouped.kinds[number].demand == sum(instance.kinds[kind].demand for kind in kinds)
    for layout in all_layouts(instance):
        (gathered,) = grouping.gather({layout: 1})
        assert is_held(grouping.grouped, gathered)


@pytest.mark.parametrize("seed", range(0, 40, 2))
def test_prices_of_groups_prove_as_much_for_their_kinds(seed: int) -> None:
    """Every kind has the price of its group, at which rolls are worth no more."""
    instance = small_instance(seed)
    grouping, rolls = group(instance), rolls_of(instance)
    for certificate in certificates_by_rule(grouping.grouped, rolls_of(grouping.grouped)):
        prices = grouping.prices_of_full(certificate).prices
        proved = certify(instance, prices, rolls.worth(prices).by_type, certificate.scale)

        assert proved.bound == certificate.bound


def test_drops_are_handed_out_first_ones_first_and_come_together_at_all_places_of_a_layout() -> None:
    """Of two and three four are handed out; a layout of one place is split as one of more is."""
    left = [0, 3, 2]

    assert hand_out((2, 1), left, 4) == ((2, 2), (1, 2))
    assert left == [0, 1, 0]
    assert hand_out((2, 1), left, 2) is None
    assert list(split([((2, 2), (1, 2))])) == [((2,), 2), ((1,), 2)]


def small_instance(seed: int) -> Instance:
    """Return up to six drops, and rolls of which some cost nothing, some run out, and some hold not every kind."""
    rng = Random(f"proving {seed}")  # noqa: S311 - repeatable, nothing secret
    repeat = rng.choice([0, 5, 7])
    kinds = tuple(
        {(phase, length): DropKind(phase, length, rng.randint(1, 2)) for phase, length in _sizes(rng, repeat)}.values()
    )
    types = (
        RollType(24, rng.choice([None, 0]), None, rng.choice([1, 3])),
        RollType(17, 0, rng.randint(1, 2), rng.choice([0, 2]), holds=rng.choice([None, frozenset([0])])),
    )
    return Instance(repeat, 0, kinds, types)


def _sizes(rng: Random, repeat: int) -> Iterator[tuple[int, int]]:
    for _ in range(3):
        yield rng.choice([0, 2, 3]) if repeat else 0, rng.randint(4, 13)


def whole_rolls(seed: int, value: int, *, are_full: bool) -> Instance:
    """Return four to seven drops of a free match on rolls of 20; ``are_full``: all together as long as some rolls."""
    rng = Random(f"whole {seed}")  # noqa: S311 - repeatable, nothing secret
    while True:
        lengths = sorted(rng.sample(range(3, 17), 4))
        kinds = tuple(DropKind(0, length, rng.randint(1, 2)) for length in lengths)
        instance = Instance(0, 0, kinds, (RollType(20, 0, None, value),))
        if (paper_of(instance) % 20 == 0) == are_full:
            return instance


def paper_of(instance: Instance) -> int:
    """Return how long all drops are together."""
    return sum(kind.length * kind.demand for kind in instance.kinds)


def least_of(instance: Instance) -> int:
    """Return the least value of an instance, by cutting every layout from every roll."""
    demands = tuple(kind.demand for kind in instance.kinds)
    numbers = [
        {tuple(layout.counts[kind] for kind in range(len(demands))) for layout in all_layouts(instance, index)}
        for index in range(len(instance.roll_types))
    ]
    least = {demands: 0}
    for roll_type, cut in zip(instance.roll_types, numbers, strict=True):
        for _ in range(sum(demands) if roll_type.supply is None else roll_type.supply):
            for left, value in list(least.items()):
                for counts in cut:
                    after = tuple(max(0, one - other) for one, other in zip(left, counts, strict=True))
                    least[after] = min(least.get(after, value + roll_type.value), value + roll_type.value)
    return least[(0,) * len(demands)]


def all_layouts(instance: Instance, *of_types: int) -> list[Layout]:
    """Return every layout, in every order, of rolls of these types or of all, that no drop is missing for."""
    begun = [Layout(index, ()) for index in of_types or range(len(instance.roll_types))]
    found = []
    while begun:
        layout = begun.pop()
        for kind, wanted in enumerate(instance.kinds):
            longer = Layout(layout.roll_type, (*layout.kinds, kind))
            if longer.counts[kind] <= wanted.demand and is_held(instance, longer):
                begun.append(longer)
                found.append(longer)
    return found


def is_held(instance: Instance, layout: Layout) -> bool:
    """Return True when a roll is long and wide enough for all of a layout."""
    holds = instance.roll_types[layout.roll_type].holds
    return (holds is None or holds.issuperset(layout.kinds)) and places_of(instance, layout) is not None
