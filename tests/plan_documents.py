"""Small plan documents, laid out by hand, for the tests of the checker."""

from __future__ import annotations

from copy import deepcopy
from typing import Any, TypeAlias

Document: TypeAlias = dict[str, Any]


def cut(drop: str, start: int | str, end: int | str, *, shown: tuple[float, float] | None = None) -> Document:
    """Return a cut with its exact places and the floats beside them."""
    from_mm, to_mm = shown or (float(start), float(end))
    return {"drop": drop, "from_mm": from_mm, "to_mm": to_mm, "from": str(start), "to": str(end)}


def changed(document: Document, *path: str | int, to: object) -> Document:
    """Return a copy of the document with one value replaced; ``path`` leads to it."""
    copy = deepcopy(document)
    place: Any = copy
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = to
    return copy


def measured_plan() -> Document:
    """Return a half-drop of 600 mm on two measured rolls of 5600 mm, datums at 130 mm and every 600 mm on.

    Every cut is 50 + 2400 + 50 = 2500 mm. Drop 1 wants its first motif 80 mm down, so 130 mm below its cut
    top: it may start at 0, 600, … 3000. Drop 2 wants it at 380 mm, 430 below its cut top: it may start at
    130 − 430 + 600 = 300, 900, … Roll A takes drop 1 at 0–2500 and at 3000–5500, leaving 100 mm; roll B takes
    drop 2 at 300–2800, leaving 2800. No roll holds three drops of 2500 mm, so with each drop priced at 1/2
    of a roll no roll is worth more than 1, and three drops need at least 3/2, hence 2 rolls.
    """
    return {
        "format": "cutplan-plan/1",
        "status": "optimal",
        "objective": "rolls",
        "rolls_needed": 2,
        "lower_bound": 2,
        "cost": None,
        "at_best": None,
        "stopped": None,
        "proof": {
            "by": "prices",
            "bound": "2",
            "prices": {"scale": 2, "drops": {"1": 1, "2": 1}, "premiums": {"A": 0, "B": 0}},
        },
        "rolls": [
            {
                "roll": "A",
                "lot": "A",
                "count": 1,
                "length_mm": 5600,
                "first_motif_mm": 130,
                "sealed": False,
                "cuts": [cut("1 (1 of 2)", 0, 2500), cut("1 (2 of 2)", 3000, 5500)],
                "left_mm": 100.0,
                "slack_mm": 100.0,
            },
            {
                "roll": "B",
                "lot": "B",
                "count": 1,
                "length_mm": 5600,
                "first_motif_mm": 130,
                "sealed": False,
                "cuts": [cut("2", 300, 2800)],
                "left_mm": 2800.0,
                "slack_mm": 2800.0,
            },
        ],
        "notes": [],
        "scenario": {
            "units": "mm",
            "paper": {"name": "Fern, ochre", "roll_length": 5600, "match": "60/30 cm"},
            "roll": [{"label": "A", "first_motif": 130}, {"label": "B", "first_motif": "13 cm"}],
            "drop": [
                {"label": "1", "height": 2400, "first_motif": 80, "count": 2},
                {"label": "2", "height": "2.4 m", "first_motif": 380},
            ],
        },
    }


def sealed_plan() -> Document:
    """Return a straight match of 640 mm on sealed rolls of 10 200 mm, bought as needed, for 8 drops.

    A cut is 2500 mm and the next like it starts 2560 mm on, so three span 7620 mm and four 10 180 mm. For
    certain a layout may span 10 200 − 640 = 9560: three drops, ⌈8/3⌉ = 3 rolls. At best it may span the whole
    roll: four drops, 8/4 = 2 rolls. Positions allow for the worst lead-in: 640–3140, 3200–5700, 5760–8260,
    which leaves 10 200 − 8260 = 1940 mm, or 4500 mm where only two drops are cut.
    """
    three = [cut("1", 640, 3140), cut("1", 3200, 5700), cut("1", 5760, 8260)]
    roll = {"lot": "roll", "length_mm": 10200.0, "first_motif_mm": None, "sealed": True}
    return {
        "format": "cutplan-plan/1",
        "status": "optimal",
        "objective": "rolls",
        "rolls_needed": 3,
        "lower_bound": 3,
        "cost": "252",
        "at_best": 2,
        "at_best_lower_bound": 2,
        "at_best_status": "optimal",
        "proof": {"by": "prices", "bound": "3", "prices": {"scale": 3, "drops": {"1": 1}, "premiums": {}}},
        "at_best_proof": {"by": "prices", "bound": "2", "prices": {"scale": 4, "drops": {"1": 1}}},
        "rolls": [
            {"roll": "roll-1", "count": 2, "cuts": three, "left_mm": 1940.0, "slack_mm": 1940.0, **roll},
            {"roll": "roll-3", "cuts": deepcopy(three[:2]), "left_mm": 4500.0, "slack_mm": 4500.0, **roll},
        ],
        "scenario": {
            "units": "mm",
            "paper": {"roll_length": "10.2 m", "match": "64 cm", "price": 84.00},
            "drop": [{"label": "1", "height": 2400, "first_motif": 95, "count": 8}],
        },
    }


def third_drop_plan() -> Document:
    """Return a third-drop whose label rounds 640/3 mm to 21.3 cm, on one measured roll of 5000 mm.

    Datums lie at 50 mm and every 640 mm on; a cut is 50 + 2000 + 50 = 2100 mm. Drop 1 (first motif 0) starts at
    0 and ends at 2100. Drop 2 (first motif 640/3) starts at 50 − 50 − 640/3 + 4·640 = 7040/3 = 2346.67 mm, the
    first such place beyond 2100, and ends at 7040/3 + 2100 = 13340/3 mm, leaving 5000 − 13340/3 = 1660/3 mm.
    """
    return {
        "format": "cutplan-plan/1",
        "status": "optimal",
        "rolls_needed": 1,
        "lower_bound": 1,
        "proof": {
            "by": "prices",
            "bound": "1",
            "prices": {"scale": 2, "drops": {"1": 1, "2": 1}, "premiums": {}},
        },
        "rolls": [
            {
                "roll": "A",
                "lot": "A",
                "length_mm": 5000,
                "first_motif_mm": 50,
                "sealed": False,
                "cuts": [
                    cut("1", 0, 2100),
                    cut("2", "7040/3", "13340/3", shown=(2346.6666666666665, 4446.666666666667)),
                ],
                "left_mm": 553.3333333333334,
                "slack_mm": 553.3333333333334,
            },
        ],
        "scenario": {
            "units": "mm",
            "paper": {"roll_length": 5000, "match": "64/21.3 cm", "offset_direction": "down"},
            "roll": [{"label": "A", "first_motif": 50}],
            "drop": [
                {"label": "1", "height": 2000, "first_motif": 0},
                {"label": "2", "height": 2000, "first_motif": "213 1/3 mm"},
            ],
        },
    }


def free_plan_in_inches() -> Document:
    """Return a free match in inches: 33 ft rolls, 4 drops of 96 in and trims of 2 in, so cuts of 100 in.

    A roll of 396 in holds three (300 in), so 4 drops need ⌈4/3⌉ = 2 rolls. 100 in is 2540 mm exactly.
    """
    roll = {"lot": "roll", "length_mm": 10058.4, "first_motif_mm": None, "sealed": True}
    return {
        "format": "cutplan-plan/1",
        "status": "optimal",
        "rolls_needed": 2,
        "lower_bound": 2,
        "at_best": 2,
        "at_best_lower_bound": 2,
        "at_best_status": "optimal",
        "proof": {"by": "prices", "bound": "2", "prices": {"scale": 3, "drops": {"W": 1}, "premiums": {}}},
        "at_best_proof": {"by": "prices", "bound": "2", "prices": {"scale": 3, "drops": {"W": 1}}},
        "rolls": [
            {
                "roll": "roll-1",
                "cuts": [cut("W", 0, 2540), cut("W", 2540, 5080), cut("W", 5080, 7620)],
                "left_mm": 2438.4,  # 96 in
                **roll,
            },
            {"roll": "roll-2", "cuts": [cut("W", 0, 2540)], "left_mm": 7518.4, **roll},  # 296 in
        ],
        "scenario": {
            "units": "in",
            "paper": {"roll_length": "33 ft", "match": "free"},
            "trim": {"top": 2, "bottom": "2"},
            "drop": [{"label": "W", "height": "8 ft", "count": 4}],
        },
    }


def cost_plan() -> Document:
    """Return a free match on rolls that differ in price: one of 5600 mm at 50, two of 3000 mm at 30.

    Three cuts of 2500 mm: two from the long roll and one from a short one cost 80. Priced at 25 each, two drops
    are worth the long roll's 50 and one is worth less than a short roll's 30, so no plan costs less than 75,
    and as all prices are multiples of 10, none less than 80: at the dearest price of 50 that is 2 rolls.
    """
    return {
        "format": "cutplan-plan/1",
        "status": "optimal",
        "objective": "cost",
        "rolls_needed": 2,
        "lower_bound": 2,
        "cost": "80.00",
        "cost_lower_bound": "80",
        "proof": {"by": "prices", "bound": "80", "prices": {"scale": 1, "drops": {"1": 25}, "premiums": {}}},
        "rolls": [
            {"roll": "L", "lot": "L", "cuts": [cut("1", 0, 2500), cut("1", 2500, 5000)], "left_mm": 600},
            {"roll": "S-1", "lot": "S", "cuts": [cut("1", 0, 2500)], "left_mm": 500},
        ],
        "scenario": {
            "units": "mm",
            "paper": {"roll_length": 5600, "match": "free", "price": 50},
            "roll": [{"label": "L"}, {"label": "S", "length": "3 m", "count": 2, "price": 30.00}],
            "drop": [{"label": "1", "height": 2400, "count": 3}],
        },
    }
