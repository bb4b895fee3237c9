"""Reveals as deep as their opening is high, or deeper: a slot or a deep hatch."""

from __future__ import annotations

import pytest

from cutplan.check import check_plan
from hung_plans import document_of_text

SLOT = """
units = "mm"
[paper]
roll_length = "10.05 m"
roll_width = 500
match = "60/30 cm"
[[wall]]
name = "wall"
width = 2000
height = 2400
[[wall.opening]]
kind = "window"
name = "slot"
left = 400
width = 1200
foot = 1500
height = 300
reveal = {reveal}
[start]
at = 0
puts = "joint"
motif_drop = 100
"""


@pytest.mark.parametrize("reveal", [299, 300, 450])
def test_deep_reveal_leaves_a_piece_over_the_slot_and_one_under_it(reveal: int) -> None:
    """Columns 1 and 2, from 500 to 1500, lie in the slot: 2400 - 1800 and the reveal hang over it, 1500 under it."""
    document = document_of_text(SLOT.format(reveal=reveal))
    pieces = document["setting_out"]["pieces"]

    assert [(piece["column"], piece["top"], piece["foot"], piece["turned_under"]) for piece in pieces] == [
        (0, "2400", "0", "0"),
        (1, "2400", "1800", f"{reveal}"),
        (1, "1500", "0", "0"),
        (2, "2400", "1800", f"{reveal}"),
        (2, "1500", "0", "0"),
        (3, "2400", "0", "0"),
    ]
    assert [violation.line() for violation in check_plan(document).violations] == []
