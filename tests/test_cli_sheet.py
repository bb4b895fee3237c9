"""``cutplan sheet`` and ``cutplan draw`` as a user runs them."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from pictures import SVG
from program import run
from sheets import parsed

WALL = Path("scenarios/alcove-feature-wall.toml")
DROPS = Path("scenarios/feature-wall.toml")


def test_sheet_writes_one_file_and_says_so(tmp_path: Path) -> None:
    """The file is a whole page; its steps are those of the plan."""
    target = tmp_path / "job.html"
    result = run("sheet", WALL, "-o", target)

    assert (result.exit_code, result.stdout, result.stderr) == (0, "", f"cutplan: wrote {target}\n")
    page = parsed(target.read_text(encoding="utf-8"))
    assert "Seed honesty, ochre" in page.text
    assert "step-1" in page.ids


def test_sheet_goes_to_standard_output() -> None:
    """Without a file the page is printed."""
    result = run("sheet", DROPS)

    assert result.exit_code == 0
    assert result.stdout.startswith("<!DOCTYPE html>")


def test_sheet_takes_the_readers_units() -> None:
    """A wall of 3050 mm with 100 mm of trim is cut 10 ft 4 1/16 in long: 3150 mm are 124.016 in."""
    assert "10 ft 4 1/16 in" in parsed(run("sheet", DROPS, "--units", "in").stdout).text


def test_sheet_is_of_the_plan_in_use_with_what_is_done(tmp_path: Path) -> None:
    """Three steps done are ticked, drop 1 spoiled is marked; after a new plan its steps go on from 21, none ticked."""
    job = tmp_path / "wall.toml"
    job.write_text(DROPS.read_text(encoding="utf-8"), encoding="utf-8")
    pages = []
    for command in (("begin", job), ("done", job, "1-3"), ("spoiled", job, "1", "--why", "torn"), ("replan", job)):
        assert run(*command).exit_code == 0
        pages.append(run("sheet", job).stdout)

    ticked = [re.findall(r'id="step-(\d+)"[^>]* checked', page) for page in pages]
    assert ticked == [[], ["1", "2", "3"], ["1", "2", "3"], []]
    assert [page.count("step spoiled") for page in pages] == [0, 0, 1, 0]
    assert len({re.findall(r'data-sheet="(\w+)"', page)[0] for page in pages}) == 2
    assert min(int(number) for number in re.findall(r'id="step-(\d+)"', pages[-1])) == 22
    assert "Plan 2 of this job" in pages[-1]


def test_customer_page_of_a_room(tmp_path: Path) -> None:
    """Without alternatives it comes at once."""
    target = tmp_path / "customer.html"
    result = run("sheet", WALL, "--customer", "--no-alternatives", "-o", target)

    assert result.exit_code == 0
    assert "Where the pattern sits" in parsed(target.read_text(encoding="utf-8")).text


def test_customer_page_needs_a_room() -> None:
    """From a list of drops nobody knows where they hang."""
    result = run("sheet", DROPS, "--customer")

    assert result.exit_code == 2
    assert result.stderr == (
        "cutplan: scenarios/feature-wall.toml lists its drops, so nobody knows where they hang; survey the room in "
        "[[wall]] for the customer's page\n"
    )


def test_pdf_without_its_part_is_status_4(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is written, and the browser's way is named."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    target = tmp_path / "job.pdf"
    result = run("sheet", DROPS, "-o", target)

    assert result.exit_code == 4
    assert "pip install 'cutplan[pdf]'" in result.stderr
    assert "choose Print, then Save as PDF" in result.stderr
    assert not target.exists()


@pytest.mark.filterwarnings("ignore")
def test_pdf_is_made_by_its_part(tmp_path: Path) -> None:
    """A file that ends in .pdf is one."""
    pytest.importorskip("weasyprint", reason="the optional part pdf is not installed", exc_type=ImportError)
    target = tmp_path / "job.pdf"

    assert run("sheet", DROPS, "-o", target, "--paper", "letter").exit_code == 0
    assert target.read_bytes().startswith(b"%PDF")


def test_pdf_tells_which_letters_no_font_has(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The name of a room in a script without a font is empty boxes on paper: that is said, with what to do."""
    monkeypatch.setattr("cutplan.cli.sheet_work.sheet_pdf", lambda *_: (b"%PDF", "北壁"))
    target = tmp_path / "job.pdf"
    result = run("sheet", DROPS, "-o", target)

    assert result.exit_code == 0
    said = f"{target} has an empty box for each 北 (U+5317), 壁 (U+58C1): no font of this machine has them."
    assert said in result.stderr


def test_sheet_refuses_to_overwrite_the_scenario() -> None:
    """Asked before planning."""
    result = run("sheet", WALL, "-o", WALL)

    assert result.exit_code == 2
    assert "is the scenario itself" in result.stderr


@pytest.mark.parametrize(("what", "written"), [("walls", "alcove wall"), ("rolls", "roll-1"), ("table", "roll-1")])
def test_draw_writes_one_picture(tmp_path: Path, what: str, written: str) -> None:
    """Each is an SVG of its own, in which its name is written or said."""
    target = tmp_path / "picture.svg"
    result = run("draw", WALL, "--what", what, "-o", target)

    assert (result.exit_code, result.stderr) == (0, f"cutplan: wrote {target}\n")
    root = ET.fromstring(target.read_text(encoding="utf-8"))  # noqa: S314 - our own text
    said = [element.text or "" for element in root.iter() if element.tag in {f"{SVG}text", f"{SVG}title"}]
    assert any(written in text for text in said)


def test_draw_needs_a_room_for_walls() -> None:
    """A list of drops has rolls to draw, and no walls."""
    result = run("draw", DROPS)

    assert result.exit_code == 2
    assert "draw its plan with --what rolls" in result.stderr


def test_draw_prints_to_standard_output() -> None:
    """Without a file the picture is printed."""
    assert run("draw", WALL).stdout.startswith("<svg ")
