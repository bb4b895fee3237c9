"""The start under the finger: the same figures as every other command's, for the place asked for last."""

from __future__ import annotations

import json
import time
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest

from cutplan.comparing.proving import Prover
from cutplan.page.asked import Asked
from cutplan.page.band import Outward, StartsBand
from cutplan.page.moving import OvertakenError, begun_of, sweep_task
from cutplan.scenario.read import parse_scenario
from cutplan.setting_out import Way
from cutplan.solve import make_plan
from page_client import Visitor
from test_page_door import SCENARIOS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from cutplan.scenario.read import Scenario

WALL = """\
# Measured on a rainy day.
units = "mm"

[paper]
name = "Bramble, ink"
roll_length = "10.05 m"
roll_width = 530            # the label says so
match = "64/32 cm"
motif_from_left = 265
motif_above = 90
motif_below = 90

[[wall]]
name = "end wall"
width = 1400
height = 2500

[[wall.fitting]]
kind = "socket"
name = "hatch"
left = 500
width = 400

[start]
wall = "end wall"
middle_of = "hatch"         # the customer's wish
puts = "middle"
motif_drop = 95
"""


@pytest.fixture
def visitor(tmp_path: Path) -> Iterator[Visitor]:
    """Return a browser at one wall of 1.40 m, whose start is the middle of a hatch, 700 from its left."""
    path = tmp_path / "wall.toml"
    path.write_text(WALL, encoding="utf-8")
    found = Visitor(path)
    yield found
    found.band.stop()


def moved(visitor: Visitor, **asked: object) -> dict[str, object]:
    """Return the answer for a start that is asked for."""
    return visitor.post("/start", asked).fields


def read(visitor: Visitor) -> Scenario:
    """Return the scenario as its file has it."""
    assert visitor.desk.path is not None
    return parse_scenario(visitor.desk.path.read_text(encoding="utf-8"), "wall.toml")


@pytest.mark.parametrize("at", ["400 mm", "93.7 cm", "1201 mm", "2 ft 11 in"])
@pytest.mark.parametrize("puts", ["middle", "joint", "motif"])
def test_rolls_under_the_finger_are_those_of_the_plan_once_it_is_kept(visitor: Visitor, at: str, puts: str) -> None:
    """Moved, then kept: the plan made from the file takes the number of rolls that was shown, and is proved."""
    shown = moved(visitor, wall=0, at=at, puts=puts, rests=True)
    assert shown["is_proved"] is True
    assert visitor.post("/start/keep", {"wall": 0, "at": at, "puts": puts}).status == 200

    scenario = read(visitor)
    plan = make_plan(scenario.job, scenario.cutting)
    assert str(shown["rolls"]) == ("1 roll" if plan.rolls_needed == 1 else f"{plan.rolls_needed} rolls")


def test_kept_start_changes_nothing_else_in_the_file(visitor: Visitor) -> None:
    """Comments and order stay; what said the start otherwise goes."""
    visitor.post("/start/keep", {"wall": 0, "at": "900 mm"})
    text = (visitor.desk.path or SCENARIOS).read_text(encoding="utf-8")

    assert text.startswith("# Measured on a rainy day.")
    assert "# the label says so" in text
    assert "middle_of" not in text
    assert text.replace("at = 900\n", "").replace('way = "right then left"\n', "").replace(" ", "") == WALL.replace(
        'middle_of = "hatch"         # the customer\'s wish\n', ""
    ).replace(" ", "")


def test_typed_start_off_the_wall_is_refused_in_words(visitor: Visitor) -> None:
    """A drag ends at the corner; what is typed is taken at its word."""
    assert "off the wall" in str(moved(visitor, wall=0, at="1500 mm")["error"])
    assert moved(visitor, wall=0, at="1500 mm", drags=True)["at_text"] == "1400 mm"


@pytest.mark.parametrize(
    "asked",
    [{"wall": 7}, {"at": "soon"}, {"puts": "nail"}, {"way": "up"}, {"finish": "3 x"}, {"finish": f"{'9' * 5000} 0"}],
)
def test_start_that_cannot_be_is_answered_in_words(visitor: Visitor, asked: dict[str, object]) -> None:
    """Whatever is asked, the answer is a sentence."""
    assert moved(visitor, **asked).get("error") or asked == {"finish": "3 x"}  # one open wall has no finish at all


def test_only_the_last_place_asked_for_is_worked_out(visitor: Visitor) -> None:
    """While one is worked out two more are asked for: the first of these is dropped, not queued."""
    mover = visitor.mover
    overtaken = mover.ticket()
    mover.ticket()

    with pytest.raises(OvertakenError):
        mover.work_out(overtaken, Asked({"wall": 0, "at": "500 mm"}))


def test_free_match_has_no_height_to_move(tmp_path: Path) -> None:
    """Nothing is asked of the first motif, and nothing is wrong without it."""
    path = tmp_path / "plain.toml"
    text = WALL.replace('"64/32 cm"', '"free"').replace("motif_drop = 95\n", "")
    for key in ("motif_from_left = 265\n", "motif_above = 90\n", "motif_below = 90\n"):
        text = text.replace(key, "")
    path.write_text(text, encoding="utf-8")
    visitor = Visitor(path)

    assert "First motif" not in visitor.get("/part/start").text
    assert moved(visitor, wall=0, at="800 mm", rests=True)["is_proved"] is True
    visitor.band.stop()


def test_list_of_drops_has_no_start() -> None:
    """The part says why instead."""
    assert "list of drops" in Visitor(SCENARIOS / "feature-wall.toml").get("/part/start").text


def waited_for(band: StartsBand) -> dict[str, object]:
    """Return the band once it is whole."""
    for _ in range(600):
        if (found := band.content())["whole"]:
            return found
        time.sleep(0.02)
    raise AssertionError


def test_band_shows_at_every_centimetre_what_the_finger_would_show(visitor: Visitor) -> None:
    """141 places on 1.40 m; at some of them the finger is asked, and agrees."""
    moved(visitor, wall=0, at="700 mm")
    band = waited_for(visitor.band)
    places = band["places"]
    assert isinstance(places, list)
    assert [place[0] for place in places] == [10.0 * number for number in range(141)]
    for at, rolls, is_proved in places[::60]:
        shown = moved(visitor, wall=0, at=f"{at} mm", rests=True)
        assert (str(shown["rolls"]).split()[0], shown["is_proved"]) == (str(rolls), is_proved)


def test_finger_takes_what_the_band_has_proved(visitor: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    """At 800 mm nothing is proved again, and the same is shown; off the centimetres the finger proves as before."""
    moved(visitor, wall=0, at="700 mm")
    waited_for(visitor.band)
    proved: list[object] = []
    answer = Prover.prove

    def counted(prover: Prover, *args: Any) -> object:  # noqa: ANN401 - whatever it takes
        proved.append(args)
        return answer(prover, *args)

    monkeypatch.setattr(Prover, "prove", counted)
    shown = moved(visitor, wall=0, at="800 mm", rests=True)
    assert not proved
    assert moved(visitor, wall=0, at="801 mm", rests=True)["is_proved"]
    assert proved

    visitor.band.found.clear()
    assert moved(visitor, wall=0, at="800 mm", rests=True) == shown


def test_customer_is_offered_other_starts_than_the_one_in_the_file(visitor: Visitor) -> None:
    """The start that is kept is one that nobody would overrule; it stands above them already."""
    moved(visitor, wall=0, at="700 mm")
    waited_for(visitor.band)
    choices = visitor.band.choices()
    kept = choices[0].placement.start
    visitor.post("/start/keep", {"wall": 0, "at": f"{float(kept.at)} mm", "puts": kept.puts.value})
    waited_for(visitor.band)
    assert kept in [choice.placement.start for choice in visitor.band.choices()]

    part = visitor.get("/part/customer").text
    assert part.count("<figcaption>Choice ") == min(len(choices) - 1, 3)
    assert f"The middle of a strip at {kept.at} mm from the left of the wall" not in part


def test_band_of_paper_sold_by_the_metre_shows_metres(tmp_path: Path) -> None:
    """At each place what the finger would be told to order."""
    text = WALL.replace('"10.05 m"', '"50 m"\nsold_by = "m"\norder_step = "1 m"').replace("1400", "300")
    path = tmp_path / "wall.toml"
    path.write_text(text.replace("left = 500", "left = 0").replace("width = 400", "width = 90"), encoding="utf-8")
    visitor = Visitor(path)
    shown = moved(visitor, wall=0, at="100 mm", rests=True)
    band = waited_for(visitor.band)
    visitor.band.stop()

    places = band["places"]
    assert isinstance(places, list)
    assert band["unit"] == "m"
    assert [f"{amount:g} m to order" for at, amount, _ in places if at == 100] == [shown["rolls"]]


def test_start_dragged_under_a_slope_keeps_the_height_that_was_pointed_at() -> None:
    """At every place a motif stays 120 cm above the floor, until the print itself is moved."""
    sloping = WALL.replace("height = 2500", "top = [[0, 2500], [1400, 2080]]").replace(
        "motif_drop = 95", 'motif_at = "120 cm"'
    )
    scenario = parse_scenario(sloping, "wall.toml")
    for at in (300, 700, 900):
        start = begun_of(scenario, Asked({"wall": 0, "at": f"{at} mm"})).start
        assert (2500 - Fraction(3, 10) * at - start.motif_drop - 1200) % 640 == 0
        assert start.motif_at is not None

    by_hand = begun_of(scenario, Asked({"wall": 0, "at": "900 mm", "drop": "50 mm"})).start
    assert by_hand.motif_drop == 50
    assert by_hand.motif_at is None


def test_band_grows_outward_from_the_finger() -> None:
    """When the finger has moved far, what is still to be worked out begins beside it."""
    scenario = parse_scenario(WALL, "wall.toml")
    task = sweep_task(scenario, Way.RIGHT_THEN_LEFT)
    sent: list[Outward] = []
    band = StartsBand(sent.append)
    for at in ("300 mm", "310 mm", "1200 mm"):
        band.aim(task, begun_of(scenario, Asked({"wall": 0, "at": at})), "mm")

    firsts = [[int(placement.start.at) for placement in order.placements[:3]] for order in sent]
    # To the left and to the right of the finger; a centimetre further on begins nothing anew.
    assert firsts == [[300, 290, 280], [310, 320, 330], [1200, 1190, 1180], [1210, 1220, 1230]]


def test_other_wall_other_room_begins_another_band(visitor: Visitor, tmp_path: Path) -> None:
    """What was found for the room before is never shown for the room now."""
    moved(visitor, wall=0, at="700 mm")
    waited_for(visitor.band)
    before = visitor.band.mark
    (tmp_path / "wall.toml").write_text(WALL.replace("width = 1400", "width = 1300"), encoding="utf-8")
    moved(visitor, wall=0, at="600 mm")

    assert len(waited_for(visitor.band)["places"]) == 131  # type: ignore[arg-type]
    assert visitor.band.mark != before


# The print itself


def test_walls_are_drawn_with_the_print_of_a_photograph(tmp_path: Path) -> None:
    """Found at an address of the page, once for all its pictures; a start of the other offset would show at a joint."""
    for name in ("photographed-paper.toml", "photographed-paper.jpg"):
        (tmp_path / name).write_bytes((SCENARIOS / name).read_bytes())
    visitor = Visitor(tmp_path / "photographed-paper.toml")
    found = moved(visitor, at="1700 mm", puts="motif", rests=True)
    visitor.band.stop()
    pictures = json.dumps([found["pictures"], found["walls"]])
    picture = visitor.get("/print.jpg")

    assert pictures.count("/print.jpg?") == 2  # the wall under the finger, and the same at rest
    assert (picture.status, picture.headers["content-type"]) == (200, "image/jpeg")
    assert picture.body.startswith(b"\xff\xd8")


def test_photograph_that_cannot_be_used_is_told_of(tmp_path: Path) -> None:
    """The drawn leaf stays, and there is no print to be had."""
    (tmp_path / "wall.toml").write_bytes((SCENARIOS / "photographed-paper.toml").read_bytes())
    visitor = Visitor(tmp_path / "wall.toml")
    found = moved(visitor, at="1700 mm", puts="motif", rests=True)
    visitor.band.stop()

    assert "is not in the scenario's folder; copy the picture there" in json.dumps(found["notices"])
    assert "print.jpg" not in json.dumps(found)
    assert visitor.get("/print.jpg").status == 404


def test_equal_strips_are_shown_where_others_have_their_start() -> None:
    """How each wall is divided, with its pictures; the customer sees the walls too, and no start to choose from."""
    visitor = Visitor(SCENARIOS / "grasscloth.toml")
    start, customer = visitor.get("/part/start").text, visitor.get("/part/customer").text

    assert "no start to move" in start
    assert "strips of" in " ".join(start.split())
    assert start.count("<figure>") > 0
    assert "finger" not in start
    assert "As planned" in customer
    assert "Other starts" not in customer
    assert visitor.get("/customer").status == 200
