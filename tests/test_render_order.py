"""The order of cutting in words: each figure, and only what is proved."""

from __future__ import annotations

from typing import Final

import pytest

from cutplan.plan.order import CuttingOrder, Follow
from cutplan.render.words.answer_words import order_in_words


def order(
    most: int, furthest: int, most_bound: int, furthest_bound: int, follow: Follow = Follow.DROPS
) -> CuttingOrder:
    """Return an order of two open rolls with these figures and bounds."""
    return CuttingOrder(follow, 2, (), most, furthest, most_bound, furthest_bound)


BEGINNING: Final = "Cut as you hang, with no more than 2 rolls open"
PROVED: Final = "Proved: no order of cutting these rolls does better."


@pytest.mark.parametrize(
    ("told", "figures", "standing"),
    [
        (order(0, 0, 0, 0), "each drop can be hung as soon as it is cut", PROVED),
        (
            order(1, 1, 1, 1),
            "no more than 1 drop ever lies cut before its turn, and none more than 1 place ahead",
            PROVED,
        ),
        (
            order(3, 7, 3, 5),
            "no more than 3 drops ever lie cut before their turn, and none more than 7 places ahead",
            "No order has fewer waiting; less than 5 ahead is ruled out.",
        ),
        (
            order(3, 7, 2, 3),
            "no more than 3 drops ever lie cut before their turn, and none more than 7 places ahead",
            "Not proved to be the best; fewer than 2 is ruled out.",
        ),
        (
            order(2, 2, 0, 2),
            "no more than 2 drops ever lie cut before their turn, and none more than 2 places ahead",
            "Not proved to be the best.",
        ),
    ],
)
def test_an_order_drop_by_drop_is_told_with_what_is_proved(told: CuttingOrder, figures: str, standing: str) -> None:
    """Figures in the singular and the plural, and the standing of their bounds."""
    assert order_in_words(told) == f"{BEGINNING}: {figures}. {standing}"


@pytest.mark.parametrize(
    ("told", "figures"),
    [
        (order(0, 0, 0, 0, Follow.WALLS), "no drop is cut before its wall's turn"),
        (
            order(2, 1, 2, 1, Follow.WALLS),
            "no more than 2 drops ever lie cut before their turn, and none more than 1 wall ahead",
        ),
    ],
)
def test_an_order_wall_by_wall_counts_walls(told: CuttingOrder, figures: str) -> None:
    """Distances are walls, not places."""
    assert order_in_words(told) == f"Cut wall by wall, with no more than 2 rolls open: {figures}. {PROVED}"


def test_cutting_all_at_once_keeps_pace_with_nothing() -> None:
    """Then there is no figure to tell."""
    told = order(0, 0, 0, 0, Follow.NOTHING)
    assert order_in_words(told) == "All drops are cut at once, one roll after another."
