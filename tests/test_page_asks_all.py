"""Whatever key a scenario may hold, the page asks for it, or the reason why it does not stands here."""

from __future__ import annotations

import html
import json
import re
import tomllib
from collections import defaultdict
from typing import TYPE_CHECKING, Any, Final

import pytest

from cutplan.parts.read_parts import read_job
from cutplan.scenario.tables import Table
from page_client import Visitor
from test_page_door import SCENARIOS
from test_page_survey import changed, edited

if TYPE_CHECKING:
    from pathlib import Path

PLAIN: Final = """\
units = "mm"

[paper]
name = "Sallow leaf, dusk"
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
offset_direction = "down"
motif_from_left = 265

[trim]
top = 50

[[wall]]
name = "bed wall"
width = 2400
height = 2450
opening = [{ kind = "window", left = 700, width = 900, foot = 900, height = 1200, reveal = 100 }]
fitting = [{ kind = "fitting", name = "bed head", left = 200, width = 300, height = 600 }]

[[wall]]
name = "door wall"
width = 2000
height = 2450

[start]
wall = "bed wall"
at = 1200
puts = "motif"
motif_drop = 100

[cutting]
open_rolls = 2

[pace]
pasted = "paper"
soak = 8

[[roll]]
label = "A"
first_motif = 0
flaws = [{ from = 1000, to = 1100 }]

[[roll]]
label = "B"
pieces = [{ length = 5000, first_motif = 10 }]

[[offcut]]
label = "N"
length = 3000
first_motif = 10
"""
"""One paper, with all that a job may say of it."""

SHEETS: Final = """\
units = "mm"

[paper]
roll_length = 3000
roll_width = 500

[sheets]
count = 4

[[wall]]
name = "bed wall"
width = 1800
height = 2400

[start]
puts = "set"
at = "middle"
motif_drop = 0
"""

GRASSCLOTH: Final = """\
units = "mm"

[paper]
roll_length = "5 m"
roll_width = 900
match = "free"

[equal_strips]
edge_trim = 20

[[wall]]
name = "bed wall"
width = 1800
height = 2400
"""

PARTED: Final = """\
units = "mm"

[[wall]]
name = "bed wall"
width = 2400
height = 2450

[[rail]]
name = "dado rail"
foot = 900
height = 60

[[band]]
name = "filling"
above = "dado rail"
paper = { roll_length = "10.05 m", roll_width = 530, match = "64/32 cm", offset_direction = "down" }

[[band]]
name = "dado"
below = "dado rail"
paper = { roll_length = "10.05 m", roll_width = 530, match = "61 cm" }

[[border]]
name = "rope"
foot = 1800
paper = { roll_length = "5 m", roll_width = 85, match = "18 cm" }

[start]
wall = "bed wall"
at = 1200
puts = "joint"
motif_drop = 100

[lining]
roll_length = "10.05 m"
roll_width = 560
pace = { pasted = "paper", soak = 5 }
cutting = { open_rolls = 2 }

[[lining.roll]]
label = "L"
count = 9

[[damp_lining]]
name = "foil"
roll_length = "10.05 m"
roll_width = 560
adhesive = "foil adhesive"
part = [{ wall = "bed wall", height = 1000 }]

[[material]]
name = "paste"
use = "paste"
covers = "40 m2"
"""
"""Bands, a border, linings and what is bought besides."""

NOT_ASKED: Final = {
    "drop": "a list of drops has no room to be drawn: the page says that the file is to be changed",
    "paper.picture": "the photograph's lines are dragged over the picture",
    "start.wall": "the start is dragged, or typed beside the wall that is dragged",
    "start.at": "the start is dragged, or typed beside the wall that is dragged",
    "start.middle_of": "the start is dragged to that middle",
    "start.between": "the start is dragged to that middle",
    "start.puts": "chosen beside the wall that is dragged",
    "start.way": "chosen beside the wall that is dragged",
    "start.motif_drop": "the print is dragged, or its height typed beside the wall",
    "finish": "chosen beside the wall that is dragged",
    "wall.top": "typed as the height, point for point",
    "wall.opening.kind": "told by the button that adds it",
    "wall.fitting.kind": "told by the button that adds it",
    "band.start": "dragged on the band's own page",
    "band.finish": "chosen on the band's own page",
    "paper.across": "strips side by side on a roll are those of a border, of which it is asked",
    "border.paper.across": "asked of the border",
    "border.drop": "worked out from the walls",
    "border.wall": "worked out from the walls",
    "border.room": "worked out from the walls",
    "border.units": "those of the whole file",
    "border.trim": "asked as how much longer each end is cut",
    "border.start": "where it begins is worked out, and told in the file where it is not",
    "border.finish": "where it closes is worked out, and told in the file where it is not",
    "border.sheets": "no border comes in numbered sheets",
    "border.equal_strips": "no border is hung in equal strips",
    "offcut.after": "written by a record of work only",
    "border.paper.motif_above": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.motif_below": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.motif_from_left": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.motif_width": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.offset_direction": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.overlap": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.picture": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.reverse": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.selvedge": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.selvedge_left": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.selvedge_right": "nothing across a border is matched, lapped or trimmed off",
    "border.paper.sideways": "a border runs one way",
    "border.paper.foil": "said of the wall's own paper",
    "border.paper.wet_growth": "a border is laid along the wall as it is cut",
}
"""Keys, with all that they hold, for which there is no field, and why."""


def keys_read(paths: list[Path], monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Return every key that the tables of some files may hold, by the tables' names from the top."""
    read = defaultdict[str, set[str]](set)

    def noted(*told: Any) -> Table:  # noqa: ANN401 - whatever a table is made of
        table = Table(*told)
        read[".".join(step for step in table.path if isinstance(step, str))].update(table.keys)
        return table

    with monkeypatch.context() as patched:
        for module in ("scenario.tables", "parts.border_tables"):
            patched.setattr(f"cutplan.{module}.Table", noted)
        for path in paths:
            read_job(path)
    keys = {f"{holder}.{key}" if holder else key for holder, keys in read.items() for key in keys}
    return {key for key in keys if key not in read}


def keys_asked(visitor: Visitor) -> set[str]:
    """Return the keys for which the job's pages have a field, those of a part's own page too."""
    parts = visitor.get("/part/parts").text
    pages = ["", *(f"/of/{name}" for name in re.findall(r'href="of/([^"/]+)/"', parts))]
    texts = [visitor.get(f"{page}/part/{part}").text for page in pages for part in ("paper", "room", "start", "rolls")]
    added = [json.loads(html.unescape(told)) for text in texts for told in re.findall(r'data-change="([^"]+)"', text)]
    paths = [each["path"] for each in added if each["what"] == "entry"]
    paths += [json.loads(html.unescape(told)) for text in texts for told in re.findall(r'data-path="([^"]+)"', text)]
    return {".".join(step for step in path if isinstance(step, str)) for path in paths}


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Return files that between them hold every table of a scenario."""
    folder = tmp_path_factory.mktemp("jobs")
    for number, text in enumerate((PLAIN, SHEETS, GRASSCLOTH, PARTED)):
        (folder / f"{number}.toml").write_text(text, encoding="utf-8")
    return [*sorted(folder.iterdir()), SCENARIOS / "photographed-paper.toml", SCENARIOS / "reuse-two-rolls.toml"]


def test_page_asks_for_every_key_that_a_scenario_may_hold(jobs: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """A key that is read and not asked for would have to be typed into the file by a man with paste on his hands."""
    read = keys_read(jobs, monkeypatch)
    asked = {key for path in jobs for key in keys_asked(Visitor(path))}
    missed = {key for key in read if not any(f"{each}.".startswith(f"{key}.") for each in asked)}
    left = {key for key in missed if not any(f"{key}.".startswith(f"{held}.") for held in NOT_ASKED)}

    assert "paper.match" in read & asked
    assert left == set()
    assert {held for held in NOT_ASKED if not any(f"{key}.".startswith(f"{held}.") for key in missed)} == set()


def test_lists_of_names_corners_and_lining_rolls_are_written_as_a_scenario_has_them(jobs: list[Path]) -> None:
    """Names with a semicolon between them; an answer taken out takes its key with it."""
    plain, parted = Visitor(jobs[0]), Visitor(jobs[3])
    assert edited(plain, ["cutting", "first_walls"], "door wall; bed wall", "") == {}
    assert edited(plain, ["wall", 0, "turn"], "25", "") == {}
    assert edited(plain, ["start", "motif_at"], "165 cm", "") == {}
    assert edited(parted, ["material", 0, "on"], "filling; dado", "") == {}
    assert changed(parted, what="entry", path=["lining", "roll"]) == {}
    told, of_parts = tomllib.loads(plain.desk.text()), tomllib.loads(parted.desk.text())

    assert told["cutting"]["first_walls"] == ["door wall", "bed wall"]
    assert told["wall"][0]["turn"] == 25
    assert told["start"] == {"wall": "bed wall", "at": 1200, "puts": "motif", "motif_at": "165 cm"}
    assert plain.desk.survey().faults == ()
    assert of_parts["material"][0]["on"] == ["filling", "dado"]
    assert [roll["label"] for roll in of_parts["lining"]["roll"]] == ["L", "roll 1"]
    assert edited(plain, ["start", "motif_at"], "", "165 cm") == {}
    assert tomllib.loads(plain.desk.text())["start"]["motif_drop"] == 0
