"""The page's parts on rolls and for the customer, and how a phone is let in."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
import segno

from cutplan.page.phone_code import code_drawn, code_typed
from page_client import HOST, Visitor
from test_page_door import SCENARIOS

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Return a browser at a copy of the reading corner."""
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / "reading-corner.toml", path)
    return Visitor(path)


def test_rolls_are_those_of_the_plan_each_with_its_picture(visitor: Visitor) -> None:
    """As many pictures as layouts, and the answer that every command gives."""
    sequence = visitor.desk.planned().sequence
    part = visitor.get("/part/rolls").text

    assert part.count('class="picture"') == len(sequence.plan.layouts)
    assert f"{sequence.plan.rolls_needed} rolls" in part


def test_buying_is_told_with_its_reasons_in_words_of_the_page(visitor: Visitor) -> None:
    """What to buy first, then why; no underlining, and nothing to type into a terminal for the proof."""
    part = visitor.get("/part/buy").text

    assert part.index("Buy ") < part.index("<li>")
    assert "<h3>What would save a roll</h3>" in part
    assert "=====" not in part
    assert "(--" not in part
    assert "cutplan" not in part


def test_rolls_are_put_on_the_list_and_taken_off(visitor: Visitor) -> None:
    """Three alike of a batch; the plan is then made from what is in hand, and says so when it is too little."""
    before = visitor.desk.text()
    asked = {"what": "roll", "count": 3, "batch": "2207", "first_motif": ""}
    assert visitor.post("/change", asked).fields == {}
    part = visitor.get("/part/rolls").text

    assert "batch 2207, 3 rolls" in part
    assert visitor.desk.scenario().job.rolls[0].count == 3
    assert visitor.post("/change", {"what": "remove", "path": ["roll", 0]}).fields == {}
    assert visitor.desk.text().strip() == before.strip()


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"length": "5 m", "first_motif": ""}, "fits"),
        ({"length": "40 mm", "first_motif": ""}, "fits nowhere"),
        ({"length": "soon", "first_motif": ""}, "Cannot read"),
        ({"length": "900", "first_motif": "9 m"}, "must be less than the repeat of"),
    ],
)
def test_offcut_is_told_where_it_fits(visitor: Visitor, asked: dict[str, str], said: str) -> None:
    """Whatever is typed, the answer is a sentence."""
    answer = visitor.post("/fit", asked).fields

    assert said in str(answer.get("said", answer.get("error")))


def test_offcut_whose_batch_is_not_told_is_judged_for_each_batch_of_the_rolls(visitor: Visitor) -> None:
    """As the command does: with rolls of two batches in hand there are two answers."""
    for batch in ("11", "22"):
        visitor.post("/change", {"what": "roll", "count": 2, "batch": batch, "first_motif": ""})

    said = visitor.post("/fit", {"length": "3 m", "first_motif": ""}).fields["said"]

    assert "If it is of batch 11:" in str(said)
    assert "If it is of batch 22:" in str(said)


def test_customer_sees_the_start_that_is_kept_with_its_cost(tmp_path: Path) -> None:
    """The rolls are the plan's, at the price on the label; the same opens as a page of its own without any script."""
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / "alcove-feature-wall.toml", path)
    visitor = Visitor(path)
    plan = visitor.desk.planned().sequence.plan
    part = visitor.get("/part/customer").text
    page = visitor.get("/customer")

    assert f"It takes {plan.rolls_needed} rolls" in part
    assert f"It takes {plan.rolls_needed} rolls" in page.text.partition("What could be had instead")[0]
    assert " style=" not in part
    assert "<script" not in page.text
    assert "script-src" not in page.headers["content-security-policy"]
    assert "default-src 'none'" in page.headers["content-security-policy"]


def test_phone_comes_in_by_a_code_that_opens_once(visitor: Visitor) -> None:
    """The laptop asks for a code; the phone that scans it comes in, the next that scans it does not."""
    answer = visitor.post("/phone", {}).fields
    address = str(answer["address"])
    assert address.startswith(f"http://{HOST}/?key=")
    way_in = address.removeprefix(f"http://{HOST}")

    assert str(answer["svg"]) == code_drawn(address)
    first, second = (visitor.get(way_in, cookie="") for _ in range(2))
    assert (first.status, second.status) == (303, 404)


def test_code_on_the_screen_is_the_code_of_the_address() -> None:
    """Each sign is two modules, one above the other; what is written is light, with a light edge all round."""
    address = f"http://{HOST}/?key=AbCdEfGhIjKlMnOpQrStUv"
    lines = code_typed(address).splitlines()
    rows = [[sign in upper for sign in line] for line in lines for upper in ("▀█", "▄█")]
    dark = [[int(not light) for light in row[2:-2]] for row in rows[2:-2]]

    assert dark[: len(dark[0])] == [list(row) for row in segno.make(address, micro=False).matrix]
    assert all(rows[0] + rows[1] + rows[-1])


def test_too_few_rolls_are_shown_with_what_they_cover(tmp_path: Path) -> None:
    """As the command does: what is covered and what stays bare, the steps and the rolls of it, what could be given up.

    Two drops of 2.5 m take 5.2 m with usual trims, and 5.1 m with 2 in of trim in all; one roll of 5.15 m is in hand.
    """
    path = tmp_path / "room.toml"
    path.write_text(
        'units = "mm"\n[paper]\nname = "Vine"\nroll_length = "10.05 m"\nroll_width = 530\nmatch = "free"\n'
        '[[roll]]\nlabel = "A"\nlength = "5.15 m"\n[[drop]]\nlabel = "1"\nheight = 2500\ncount = 2\n',
        encoding="utf-8",
    )
    visitor = Visitor(path)
    rolls, table = visitor.get("/part/rolls").text, visitor.get("/part/table").text

    for part in (rolls, table):
        assert "Only part of this job can be cut" in part
        assert "Bare: drop 1 (1 of 2)." in part
    assert rolls.count('class="picture"') == 1
    assert 'data-ask="given_up"' in rolls
    assert "Cut drop" in table
    assert "data-record" not in table
    assert "trim" in visitor.get("/part/given_up").text
    assert not visitor.desk.is_begun()
    visitor.post("/change", {"what": "roll", "count": 1, "batch": "", "first_motif": ""})
    assert 'id="done-next"' in visitor.get("/part/table").text
