"""The print itself across joints, read from the pixels that a browser draws: it meets, or a wrong label shows."""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import pytest
from in_chromium import ROOT, missing
from PIL import Image

from cutplan.photograph import print_of
from cutplan.render.drawing.wall_picture import wall_pictures
from cutplan.scenario.read import parse_scenario

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")

SCENARIO: Final = ROOT / "scenarios" / "photographed-paper.toml"
FINER: Final = 4
PER_MM: Final = 570 / 3400
"""Units for a millimetre of its wall, 3400 mm wide."""
STEM: Final = 110
REPEAT: Final = 640.0
BESIDE: Final = 6
"""Millimetres from a joint at which the print is looked at: the hairline of the joint itself is 3 mm wide."""


def stems(browser: Browser, old: str, new: str) -> list[tuple[list[float], list[float]]]:
    """Return the heights in millimetres at which stems reach each joint from its left and from its right."""
    scenario = parse_scenario(SCENARIO.read_text(encoding="utf-8").replace(old, new), str(SCENARIO))
    assert scenario.setting_out is not None
    joints = [float(column.panels[0].left) for column in scenario.setting_out.columns[1:]]
    (part,) = wall_pictures(scenario.setting_out, for_customer=True, printed=print_of(scenario))
    bounds = part.picture.bounds
    context = browser.new_context(
        viewport={"width": round(bounds.width), "height": round(bounds.height)}, device_scale_factor=FINER
    )
    page = context.new_page()
    page.set_content(f"<body style='margin:0'>{part.picture.svg()}</body>")
    shown = Image.open(BytesIO(page.screenshot())).convert("L")
    context.close()
    top, foot = round(-bounds.top * FINER) + 12, round((2420 * PER_MM - bounds.top) * FINER) - 12

    def heights(along: float) -> list[float]:
        x = round((along * PER_MM - bounds.left) * FINER)
        column = shown.crop((x, top, x + 1, foot)).tobytes()
        dark = [top + y for y, light in enumerate(column) if light < STEM]  # a leaf has a lightness of 130
        ends = [y for y, after in pairwise([*dark, foot + 9]) if after - y > 1]
        begins = [after for y, after in pairwise([top - 9, *dark]) if after - y > 1]
        return [(begin + end) / 2 / FINER / PER_MM for begin, end in zip(begins, ends, strict=True)]

    return [(heights(joint - BESIDE), heights(joint + BESIDE)) for joint in joints]


def furthest(sides: tuple[list[float], list[float]]) -> float:
    """Return how far from any stem on the right of a joint a stem on its left may end."""
    left, right = sides
    return max(min((abs(one - other) for other in right), default=REPEAT) for one in left)


def test_print_meets_across_every_joint(browser: Browser) -> None:
    """Three or four stems at each joint, of a repeat of 640 on 2420; each goes on within 8 mm on 12 mm of paper."""
    found = stems(browser, "", "")

    assert all(len(left) in (3, 4) and len(left) == len(right) for left, right in found)
    assert max(map(furthest, found)) < 8


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"down"', '"up"'),
        ("64 cm/third", "64 cm/half"),
        ("roll_width = 530", "roll_width = 580"),
        ("64 cm/third", "58 cm/third"),
    ],
    ids=["direction", "half", "width", "repeat"],
)
def test_wrong_label_shows_as_a_joint_that_does_not_meet(browser: Browser, old: str, new: str) -> None:
    """A third drop the other way is out by 213 mm, as a half drop by 107.

    Drawn in the proportions of its picture, a print is out by what a wrong width or repeat makes of a third of it.
    """
    assert max(map(furthest, stems(browser, old, new))) > 20
