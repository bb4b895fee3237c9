"""Plans and rooms show themselves in a notebook."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from types import SimpleNamespace
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from cutplan.parts.read_parts import read_scenario
from cutplan.plan.plan import Plan
from cutplan.plan.proof import Proof
from cutplan.render.in_notebooks import SHOWN, tell_notebook
from cutplan.render.notebook import plan_html, room_svg, setting_out_svg
from cutplan.scenario.read import parse_scenario
from hand_plans import half_drop_wall, job
from hostile_scenario import hostile_room
from pictures import SVG

if TYPE_CHECKING:
    from collections.abc import Callable

    import pytest


class Formatter:
    """Keeps what a notebook would be told of records and how they are shown."""

    def __init__(self) -> None:
        self.told: dict[tuple[str, str], Callable[[object], str]] = {}

    def for_type_by_name(self, module: str, name: str, draw: Callable[[object], str]) -> None:
        """Take one record, named as IPython wants it."""
        self.told[module, name] = draw


def test_notebook_is_told_how_each_record_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """IPython stands in by its own names; the function that it is given for plans draws a plan."""
    formatters = {kind: Formatter() for kind in ("text/html", "image/svg+xml")}
    shell = SimpleNamespace(display_formatter=SimpleNamespace(formatters=formatters))
    monkeypatch.setitem(sys.modules, "IPython", SimpleNamespace(get_ipython=lambda: shell))
    tell_notebook()

    assert {place for formatter in formatters.values() for place in formatter.told} == {
        (module, name) for _, module, name, _ in SHOWN
    }
    assert all(isinstance(getattr(import_module(module), name), type) for _, module, name, _ in SHOWN)
    wall = half_drop_wall()
    assert formatters["text/html"].told["cutplan.plan.plan", "Plan"](wall) == plan_html(wall)


def test_import_in_a_notebook_tells_it_and_loads_nothing() -> None:
    """Of the package stands there only what tells, not one record or picture."""
    code = """
import sys, types
told = []
formatter = types.SimpleNamespace(for_type_by_name=lambda module, name, draw: told.append(name))
display = types.SimpleNamespace(formatters={"text/html": formatter, "image/svg+xml": formatter})
shell = types.SimpleNamespace(display_formatter=display)
sys.modules["IPython"] = types.SimpleNamespace(get_ipython=lambda: shell)
import cutplan
print(told, sorted(name for name in sys.modules if name.startswith("cutplan")))
"""
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603 - our own interpreter

    loaded = ["cutplan", "cutplan.render", "cutplan.render.in_notebooks"]
    assert shown.stdout == f"{['Plan', 'Room', 'SettingOut']} {loaded}\n"


def test_plan_shows_its_answer_and_its_rolls() -> None:
    """Two rolls: two pictures within one, below the answer's first sentence."""
    shown = plan_html(half_drop_wall())

    assert "<p>2 rolls are certain to be enough" in shown
    assert shown.count("<svg") == 3


def test_plan_without_layouts_says_so() -> None:
    """A search that was stopped before it found anything has nothing to draw."""
    wall = half_drop_wall()
    found_none = Plan(job(wall.job.drops), (), Proof(wall.proof.bound, None, by_search=False))

    assert plan_html(found_none) == "<p>No plan was found.</p>"


def test_room_set_out_shows_its_walls_with_their_paper() -> None:
    """The parlour takes four pictures, in one SVG that parses; among its texts are the drops and the start."""
    setting_out = read_scenario("scenarios/parlour.toml").setting_out
    assert setting_out is not None
    root = ET.fromstring(setting_out_svg(setting_out))  # noqa: S314 - our own text

    written = {text.text for text in root.iter(f"{SVG}text")}
    assert len(root.findall(f"{SVG}svg")) == 4
    assert {"1", "33", "START → then ←", "closing joint"} <= written


def test_room_shows_its_walls_bare() -> None:
    """Its openings are there, and no drop."""
    setting_out = read_scenario("scenarios/loft.toml").setting_out
    assert setting_out is not None
    written = {text.text for text in ET.fromstring(room_svg(setting_out.room)).iter(f"{SVG}text")}  # noqa: S314

    assert {"gable", "window", "raking wall"} <= written
    assert "1" not in written


def test_two_records_in_one_notebook_share_no_ids() -> None:
    """Hatchings and clips are found by their ids, so those of different rooms differ."""
    shown = []
    for name in ("parlour", "loft"):
        setting_out = read_scenario(f"scenarios/{name}.toml").setting_out
        assert setting_out is not None
        root = ET.fromstring(setting_out_svg(setting_out))  # noqa: S314 - our own text
        shown.append({element.get("id") for element in root.iter()} - {None})

    assert shown[0] & shown[1] == set()


def test_hostile_names_stay_text_in_a_notebook() -> None:
    """No tag comes of them."""
    setting_out = parse_scenario(hostile_room(), "room.toml").setting_out
    assert setting_out is not None
    tags = {element.tag for element in ET.fromstring(setting_out_svg(setting_out)).iter()}  # noqa: S314 - our own text

    assert not {f"{SVG}script", f"{SVG}img", f"{SVG}image"} & tags
