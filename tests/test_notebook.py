"""Plans and rooms show themselves in a notebook."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from cutplan.plan.plan import Plan
from cutplan.plan.proof import Proof, Status
from cutplan.scenario.read import parse_scenario, read_scenario
from hand_plans import half_drop_wall, job
from hostile_scenario import hostile_room
from pictures import SVG


def test_plan_shows_its_answer_and_its_rolls() -> None:
    """Two rolls: two pictures within one, below the answer's first sentence."""
    shown = half_drop_wall()._repr_html_()

    assert "<p>2 rolls are certain to be enough" in shown
    assert shown.count("<svg") == 3


def test_plan_without_layouts_says_so() -> None:
    """A search that was stopped before it found anything has nothing to draw."""
    wall = half_drop_wall()
    found_none = Plan(job(wall.job.drops), (), Status.UNKNOWN, Proof(wall.proof.bound, None, by_search=False))

    assert found_none._repr_html_() == "<p>No plan was found.</p>"


def test_room_set_out_shows_its_walls_with_their_paper() -> None:
    """The parlour takes four pictures, in one SVG that parses; among its texts are the drops and the start."""
    setting_out = read_scenario("scenarios/parlour.toml").setting_out
    assert setting_out is not None
    root = ET.fromstring(setting_out._repr_svg_())  # noqa: S314 - our own text

    written = {text.text for text in root.iter(f"{SVG}text")}
    assert len(root.findall(f"{SVG}svg")) == 4
    assert {"1", "33", "START → then ←", "closing joint"} <= written


def test_room_shows_its_walls_bare() -> None:
    """Its openings are there, and no drop."""
    setting_out = read_scenario("scenarios/loft.toml").setting_out
    assert setting_out is not None
    written = {text.text for text in ET.fromstring(setting_out.room._repr_svg_()).iter(f"{SVG}text")}  # noqa: S314

    assert {"gable", "window", "raking wall"} <= written
    assert "1" not in written


def test_two_records_in_one_notebook_share_no_ids() -> None:
    """Hatchings and clips are found by their ids, so those of different rooms differ."""
    shown = []
    for name in ("parlour", "loft"):
        setting_out = read_scenario(f"scenarios/{name}.toml").setting_out
        assert setting_out is not None
        root = ET.fromstring(setting_out._repr_svg_())  # noqa: S314 - our own text
        shown.append({element.get("id") for element in root.iter()} - {None})

    assert shown[0] & shown[1] == set()


def test_hostile_names_stay_text_in_a_notebook() -> None:
    """No tag comes of them."""
    setting_out = parse_scenario(hostile_room(), "room.toml").setting_out
    assert setting_out is not None
    tags = {element.tag for element in ET.fromstring(setting_out._repr_svg_()).iter()}  # noqa: S314 - our own text

    assert not {f"{SVG}script", f"{SVG}img", f"{SVG}image"} & tags
