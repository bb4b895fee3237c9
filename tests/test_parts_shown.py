"""Jobs of several parts as they are shown: on the whole walls, on a sheet for each part, on the page of a command."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from cutplan.cli import load
from cutplan.cli.app import app
from cutplan.parts.address import job_name
from cutplan.parts.part import PartedJob
from cutplan.parts.read_parts import parse_job, read_job
from cutplan.render.drawing.parts_picture import parts_pictures
from sessions import REPOSITORY, lay_out_scenarios, printed, sessions, shows

if TYPE_CHECKING:
    from typer.testing import Result

DADO_ROOM = "scenarios/parts/dado-room.toml"
STAIR_HALL = "scenarios/parts/stair-hall.toml"


def run(*words: str) -> Result:
    """Return what a command did."""
    load(words)
    return CliRunner().invoke(app, words)


def texts(picture: str) -> list[str]:
    """Return what is written in a picture."""
    return re.findall(r"<text[^>]*>([^<]+)</text>", picture)


def test_every_band_is_on_the_picture_of_the_whole_wall() -> None:
    """The hearth wall of the dado room has drop 1 of the frieze, of the filling and of the dado, and one name."""
    job = read_job(DADO_ROOM)
    assert isinstance(job, PartedJob)

    first = parts_pictures(job)[0]

    assert first.walls == (0,)
    assert texts(first.picture.svg()).count("1") == 3
    assert texts(first.picture.svg()).count("hearth wall") == 1


def test_a_border_is_drawn_with_its_mitres_and_numbered() -> None:
    """Of the border round the door the left strip is a trapezium: 2165 up its outer edge, 2080 up its inner one."""
    job = read_job(STAIR_HALL)
    assert isinstance(job, PartedJob)

    picture = parts_pictures(job)[0].picture
    scale = 470 / 5150  # the height of the walls sets it
    rings = re.findall(r'<path d="M([-\d. L]+)Z" fill="#fff" fill-rule="evenodd" stroke', picture.svg())
    heights = [sorted(float(point.split()[1]) for point in ring.split("L")) for ring in rings]

    wanted = [round((5150 - height) * scale, 1) for height in (2165, 2080, 0, 0)]
    assert wanted in heights


def test_each_part_has_a_sheet_of_its_own_with_the_whole_walls(tmp_path: Path) -> None:
    """``-o job.html`` writes one file for each part; a part that is named alone has its own."""
    written = run("sheet", STAIR_HALL, "-o", str(tmp_path / "job.html"))
    alone = run("sheet", f"{STAIR_HALL}/dado", "-o", str(tmp_path / "alone.html"))

    assert (written.exit_code, alone.exit_code) == (0, 0)
    assert sorted(path.name for path in tmp_path.glob("job-*.html")) == [
        "job-dado.html",
        "job-door-border.html",
        "job-filling.html",
    ]
    for name in ("alone", "job-door-border"):
        page = (tmp_path / f"{name}.html").read_text(encoding="utf-8")
        assert "The whole walls" in page
        assert "stair-hall, " in page
    refused = run("sheet", STAIR_HALL)
    assert (refused.exit_code, f"{STAIR_HALL}/filling" in refused.stderr) == (2, True)


def test_the_walls_of_all_parts_are_drawn_at_once(tmp_path: Path) -> None:
    """``cutplan draw`` shows the whole walls; rolls and the table belong to one part."""
    drawn = run("draw", DADO_ROOM, "-o", str(tmp_path / "walls.svg"))

    assert drawn.exit_code == 0
    assert "door wall" in texts((tmp_path / "walls.svg").read_text(encoding="utf-8"))
    assert run("draw", DADO_ROOM, "--what", "rolls").exit_code == 2
    assert run("draw", f"{DADO_ROOM}/dado", "--what", "rolls").exit_code == 0


def test_a_job_is_called_after_its_file_and_part() -> None:
    """A folder or a file that is not there names no part."""
    assert job_name(f"{DADO_ROOM}/dado") == "dado-room, dado"
    assert job_name(DADO_ROOM) == "dado-room"


def test_each_band_has_places_of_its_own_to_start() -> None:
    """``cutplan compare`` answers for the filling and for the dado; a border has no start of that kind."""
    compared = run("compare", STAIR_HALL, "--keep", "height", "--keep", "start")

    assert compared.exit_code == 0
    heads = re.findall(r"^  - ([a-z ]+): Your own placement", compared.stdout, re.MULTILINE)
    assert heads == ["filling", "dado"]


def test_steps_of_one_part_are_recorded_by_its_address(tmp_path: Path) -> None:
    """Each part has a record of its own, and the record goes with the judge."""
    file = tmp_path / "hall.toml"
    file.write_text(Path(STAIR_HALL).read_text(encoding="utf-8"), encoding="utf-8")
    border = f"{file}/door border"

    words = [("done", border, "1-3"), ("hung", border, "1"), ("status", border), ("replan", border)]
    assert [run(*each).exit_code for each in words] == [0, 0, 0, 0]
    record = tmp_path / "hall.door border.record.jsonl"
    assert record.is_file()
    assert run("check", str(record)).exit_code == 0


def test_the_page_on_bands_shows_what_is_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each command, as a reader would type it beside the scenarios."""
    page = (REPOSITORY / "docs" / "bands.md").read_text(encoding="utf-8")
    lay_out_scenarios(tmp_path)
    monkeypatch.chdir(tmp_path)

    assert len(sessions(page)) == 3
    for command, shown in sessions(page):
        assert shows(shown, printed(command)), command


def test_the_examples_of_the_page_on_bands_are_read() -> None:
    """Its tables, put on a wall with a door and a picture rail, make a job of two bands and two borders."""
    page = (REPOSITORY / "docs" / "bands.md").read_text(encoding="utf-8")
    bands, borders = re.findall(r"^```toml\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    room = """units = "mm"
[[wall]]
name = "wall"
width = 3000
height = 2600
[[wall.opening]]
kind = "door"
name = "front door"
left = 500
width = 800
height = 2000
[[rail]]
name = "picture rail"
foot = 2300
[start]
at = "middle"
puts = "joint"
motif_drop = 0
[[band]]
name = "frieze"
above = "picture rail"
bare = true
"""

    job = parse_job(room + bands + borders, "room.toml")

    assert isinstance(job, PartedJob)
    assert [part.name for part in job.parts] == ["filling", "door border", "crown"]


SURVEYED = [
    *("mm", "", ""),  # units and trims
    *("no", "", "", "no", "1", "hall wall", "4800", "2450", "", "1", "door", "", "1710", "900", "2050", "0"),
    *("1", "dado rail", "850 mm above foot", "60"),
    *(
        "",
        "no",
        "Hop vine",
        "",
        "",
        "",
        "",
        "64/32 cm",
        "84",
        "",
        "",
        "no",
        "middle",
        "middle",
        "180",
        "",
        "0",
    ),  # filling
    *("", "yes"),  # the dado, left bare
    *("1", "door border", "door", "yes", "Rope", "", "85", "18 cm", ""),
    *("yes", "20.1 m", "", "14.50", "", "no", "yes"),  # lined in courses round the corners
    *("1", "10 m", "500 mm", "", "", "pitch adhesive", "hall wall", "", "1200", "", "1000"),  # against damp
    *("2", "tub paste", "paste", "35 m2", "tub", "11.20", "filling; door border", "putty", "filler", "", "", "", ""),
]


def test_a_survey_by_questions_may_ask_about_rails_bands_and_borders(tmp_path: Path) -> None:
    """``cutplan new --parts`` writes a job of several parts, which is planned and judged."""
    load(["new"])
    file = str(tmp_path / "hall.toml")

    asked = CliRunner().invoke(app, ["new", file, "--parts"], input="\n".join(SURVEYED) + "\n")

    assert asked.exit_code == 0, asked.output
    job = read_job(file)
    assert isinstance(job, PartedJob)
    assert [(part.name, part.kind.value) for part in job.parts] == [
        ("damp-lining", "lining"), ("lining", "lining"), ("filling", "band"), ("door border", "border"),
    ]  # fmt: skip
    damp, lining = job.parts[0].lining, job.parts[1].lining
    assert damp is not None
    cells = [cell for piece in damp.pieces for cell in piece.cells]
    assert sorted((int(cell.left), int(cell.right), int(cell.top)) for cell in cells) == [
        (3, 1200, 500),
        (3, 1200, 1000),
    ]
    assert lining is not None
    assert lining.lining.goes_round
    assert [(material.name, material.use.value, material.pack, material.on) for material in job.materials] == [
        ("tub paste", "paste", "tub", ("filling", "door border")), ("putty", "filler", "pack", ()),
    ]  # fmt: skip
    filling = job.parts[2].scenario.job
    # The dado is 850 high, the rail 60; the filling hangs from 2450 to 910, and stops 85 above the door's head.
    assert {drop.height for drop in filling.drops} == {2450 - 910, 2450 - 2050 - 85}
    assert run("plan", file, "--json", "-o", f"{file}.json").exit_code == 0
    assert run("check", f"{file}.json").exit_code == 0


def test_without_a_rail_a_survey_asks_for_one_paper() -> None:
    """A border alone hangs over the one paper of the walls."""
    load(["new"])
    answers = [*SURVEYED[:19], "0", *SURVEYED[25:40], *SURVEYED[42:]]
    answers[answers.index("filling; door border")] = "paper; door border"

    asked = CliRunner().invoke(app, ["new", "-", "--parts"], input="\n".join(answers) + "\n")

    written = asked.stdout[asked.stdout.index("# A room") :]
    job = parse_job(written, "room.toml")
    assert isinstance(job, PartedJob)
    assert [part.name for part in job.parts] == ["damp-lining", "lining", "paper", "door border"]


def test_a_material_asked_for_a_part_that_is_not_there_is_refused_at_once() -> None:
    """A band left bare takes no paste."""
    load(["new"])
    answers = [*SURVEYED[: SURVEYED.index("filling; door border")], "filling; dado"]

    asked = CliRunner().invoke(app, ["new", "-", "--parts"], input="\n".join(answers) + "\n")

    assert asked.exit_code == 2
    known = 'they are "damp-lining", "lining", "filling", "door border"'
    assert f'"dado" is no part of this job; {known}' in " ".join(asked.output.split())


@pytest.mark.parametrize(("use", "covers", "example"), [("paste", "35", "40 m2"), ("filler", "3 m2", "60 m")])
def test_what_a_pack_covers_is_refused_at_once_where_it_is_no_amount(use: str, covers: str, example: str) -> None:
    """Answers from a file end at the one that cannot be taken, with how it may be written."""
    load(["new"])
    answers = [*SURVEYED[: SURVEYED.index("35 m2") - 1], use, covers]

    asked = CliRunner().invoke(app, ["new", "-", "--parts"], input="\n".join(answers) + "\n")

    assert asked.exit_code == 2
    assert example in asked.output
