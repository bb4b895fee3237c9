"""The survey edited on the page: in the scenario's own file, comments kept, nothing typed lost."""

from __future__ import annotations

import re
import shutil
import tomllib
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from cutplan.asking.interview import InterviewError
from cutplan.faults import ScenarioError
from cutplan.page.editing import value_at
from cutplan.page.survey_fields import BY_KEY
from cutplan.page.surveying import EMPTY
from cutplan.page.table_part import said
from cutplan.scenario.read import parse_scenario
from page_client import Visitor
from test_asking import FEATURE_WALL, Talk
from test_page_door import SCENARIOS

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Return a browser at a copy of the parlour."""
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / "parlour.toml", path)
    return Visitor(path)


@pytest.fixture
def newcomer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Visitor:
    """Return a browser at a survey that has no name yet."""
    monkeypatch.chdir(tmp_path)
    found = Visitor(None)
    found.desk.draft = EMPTY
    return found


def edited(visitor: Visitor, path: list[str | int], value: str, was: str) -> dict[str, object]:
    """Return the answer to one measure typed."""
    return visitor.post("/edit", {"path": path, "value": value, "was": was}).fields


def changed(visitor: Visitor, **asked: object) -> dict[str, object]:
    """Return the answer to something added or taken away."""
    return visitor.post("/change", asked).fields


def test_measure_is_changed_in_its_line_and_nowhere_else(visitor: Visitor) -> None:
    """Every other line stays as it was, with the comments."""
    before = visitor.desk.text().splitlines()
    assert edited(visitor, ["wall", 2, "opening", 0, "height"], "1.2 m", "1150") == {}
    after = visitor.desk.text().splitlines()

    lines = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert len(lines) == 1
    assert lines[0][1].startswith('height = "1.2 m"')
    assert lines[0][0].partition("#")[2] == lines[0][1].partition("#")[2] == " to the top of its shelf"


@pytest.mark.parametrize(
    ("path", "typed", "value"),
    [
        (["wall", 0, "width"], "1082", 1082),
        (["wall", 0, "width"], "3 ft 6 1/2", "3 ft 6 1/2"),
        (["wall", 0, "height"], "0=2520; 1080=2500", None),
        (["paper", "match"], "half drop, 64 cm", "64 cm/half"),
        (["paper", "price"], "$95", 95),
        (["paper", "price"], "84,50", 84.5),
        (["paper", "foil"], "yes", True),
        (["room", "built"], "1931", 1931),
        (["room", "closes"], "no", None),
        (["wall", 0, "corner"], "ext", "external"),
    ],
)
def test_what_the_trade_writes_is_taken(visitor: Visitor, path: list[str | int], typed: str, value: object) -> None:
    """Each kind of answer is written as the file takes it; one that says no more than nothing is left out."""
    shown = value_at(tomllib.loads(visitor.desk.text()), tuple(path))
    was = "yes" if shown is True else "" if shown is None else str(shown)
    assert edited(visitor, path, typed, was) == {}

    assert value_at(tomllib.loads(visitor.desk.text()), tuple(path)) == value


@pytest.mark.parametrize("typed", ["24oo", "two metres", "-5", "2,400", "1e99"])
def test_what_cannot_be_read_is_kept_and_told_beside_it(visitor: Visitor, typed: str) -> None:
    """Nothing typed is lost: it stands in the file as it was typed, with what is wrong with it on the page."""
    assert edited(visitor, ["wall", 0, "width"], typed, "1080") == {}
    part = visitor.get("/part/room").text

    assert f'value="{typed}"' in part
    field = part.partition('id="f-wall-0-width"')[2].partition('class="clash"')[0]
    assert 'class="fault"' in field
    assert "not whole yet" in visitor.get("/part/start").text


def test_what_cannot_be_is_told_beside_its_figure(visitor: Visitor) -> None:
    """A fireplace wider than its wall: the room says where, by how much, and the figure stays."""
    edited(visitor, ["wall", 2, "opening", 0, "width"], "1400", "1000")
    part = visitor.get("/part/room").text
    faults = part.partition('id="f-wall-2-opening-0-')[2]

    assert "fault" in faults
    assert 'value="1400"' in part


def test_measure_changed_by_hand_meanwhile_is_not_written_over(visitor: Visitor) -> None:
    """The file says 1090 now, the page saw 1080 and 1100 is typed: both are shown, and the hand chooses."""
    assert visitor.desk.path is not None
    visitor.desk.path.write_text(visitor.desk.text().replace("width = 1080", "width = 1090", 1), encoding="utf-8")
    answer = edited(visitor, ["wall", 0, "width"], "1100", "1080")

    assert answer["now"] == "1090"
    assert "width = 1090" in visitor.desk.text()
    assert edited(visitor, ["wall", 0, "width"], "1100", "1090") == {}
    assert "width = 1100" in visitor.desk.text()


def test_measures_typed_by_two_at_once_both_stand(visitor: Visitor) -> None:
    """Eight walls, eight hands: none writes over what another wrote meanwhile."""
    widths = [wall["width"] for wall in tomllib.loads(visitor.desk.text())["wall"]]
    with ThreadPoolExecutor(len(widths)) as pool:
        answers = list(
            pool.map(
                lambda n: edited(visitor, ["wall", n, "width"], str(widths[n] + n), str(widths[n])), range(len(widths))
            )
        )

    assert answers == [{}] * len(widths)
    assert [wall["width"] for wall in tomllib.loads(visitor.desk.text())["wall"]] == [
        width + number for number, width in enumerate(widths)
    ]


def test_line_changed_by_hand_meanwhile_stays(visitor: Visitor) -> None:
    """Somebody changed another wall in an editor: the page's change is made to that file."""
    assert visitor.desk.path is not None
    visitor.desk.path.write_text(visitor.desk.text().replace("width = 340", "width = 345", 1), encoding="utf-8")
    assert edited(visitor, ["wall", 0, "width"], "1100", "1080") == {}

    text = visitor.desk.text()
    assert "width = 345" in text
    assert "width = 1100" in text


def test_file_that_is_no_toml_meanwhile_is_not_touched(visitor: Visitor) -> None:
    """An editor saved half a line: the page says so, and writes nothing over it."""
    assert visitor.desk.path is not None
    visitor.desk.path.write_text("units = \n", encoding="utf-8")

    assert "mended by hand" in str(edited(visitor, ["wall", 0, "width"], "1100", "1080")["error"])
    assert visitor.desk.text() == "units = \n"
    assert "Mend it in the file" in visitor.get("/part/paper").text


@pytest.mark.parametrize(
    "path",
    [["wall", 99, "width"], ["drop", 0, "height"], ["paper", "nails"], ["wall", -1, "width"], [".."], ["units", "x"]],
)
def test_only_what_the_survey_asks_is_written(visitor: Visitor, path: list[str | int]) -> None:
    """A path that no field has changes nothing."""
    before = visitor.desk.text()

    assert "error" in edited(visitor, path, "5", "")
    assert visitor.desk.text() == before


def test_wall_and_what_stands_on_it_are_added_and_taken_away(visitor: Visitor) -> None:
    """A second door is named apart; what is taken away comes back by taking the change back."""
    before = visitor.desk.text()
    assert changed(visitor, what="opening", wall=0, kind="door") == {}
    assert tomllib.loads(visitor.desk.text())["wall"][0]["opening"] == [{"kind": "door", "name": "door 2"}]
    part = visitor.get("/part/room").text
    assert part.count("Still to be told.") == 3  # its left, its width, its height
    assert changed(visitor, what="remove", path=["wall", 0, "opening", 0]) == {}
    assert changed(visitor, what="back") == {}
    assert changed(visitor, what="back") == {}
    assert visitor.desk.text() == before
    assert "error" in changed(visitor, what="back")


def test_renamed_wall_is_still_the_one_that_hanging_begins_on(visitor: Visitor) -> None:
    """The start and the finish name walls and openings; they go on to mean the same."""
    start = visitor.desk.scenario().setting_out
    assert start is not None
    index = start.start.wall
    name = start.room.walls[index].name
    assert edited(visitor, ["wall", index, "name"], "long wall", name) == {}

    after = visitor.desk.scenario().setting_out
    assert after is not None
    assert (after.start.wall, after.room.walls[index].name) == (index, "long wall")


def test_new_survey_is_saved_once_it_has_a_name(newcomer: Visitor, tmp_path: Path) -> None:
    """Until then no file appears, and what is typed is kept; a file that is there is never written over."""
    changed(newcomer, what="walls", count=4, closes=True)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "taken.toml").write_text("mine", encoding="utf-8")
    for name in ("taken", "../room", "a/b", "", ".hidden", "c:room", "x" * 200):
        assert "error" in newcomer.post("/name", {"name": name}).fields
    assert newcomer.post("/name", {"name": "bed room"}).fields == {}

    assert tomllib.loads((tmp_path / "bed room.toml").read_text(encoding="utf-8"))["room"] == {"closes": True}
    assert (tmp_path / "taken.toml").read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bed room.toml", "taken.toml"]


def test_breast_parts_its_wall_into_five(newcomer: Visitor) -> None:
    """2.40 m with a breast of 1.20 m that stands out by 350 mm, 500 from the left: 500, 350, 1200, 350, 700."""
    changed(newcomer, what="walls", count=4, closes=True)
    edited(newcomer, ["wall", 0, "width"], "2400", "")
    edited(newcomer, ["wall", 0, "height"], "2500", "")
    told = {"breast_left": "500", "breast_width": "1200", "breast_depth": "350"}
    fireplace = {"fireplace_width": "90 cm", "fireplace_height": "1000"}
    assert changed(newcomer, what="breast", wall=0, **told, **fireplace) == {}

    walls = tomllib.loads(newcomer.desk.text())["wall"]
    assert [wall.get("width") for wall in walls[:5]] == [500, 350, 1200, 350, 700]
    assert [wall.get("corner") for wall in walls[:5]] == [None, "external", "external", None, None]
    assert {wall.get("height") for wall in walls[:5]} == {2500}
    assert walls[2]["opening"] == [{"kind": "fireplace", "left": 150, "width": 900, "height": 1000}]
    edited(newcomer, ["wall", 5, "width"], "2000", "")
    refused = changed(newcomer, what="breast", wall=5, breast_left="1000", breast_width="1100", breast_depth="1")
    assert "ends 2100 mm from the left of a wall 2000 mm wide" in str(refused["error"])
    assert changed(newcomer, what="breast", wall=5, breast_left="0", breast_width="1500", breast_depth="300") == {}
    walls = tomllib.loads(newcomer.desk.text())["wall"][5:8]
    assert [(wall["width"], wall.get("corner")) for wall in walls] == [(1500, "external"), (300, None), (500, None)]


def test_every_question_of_the_survey_has_one_wording(visitor: Visitor) -> None:
    """The page asks what the interview asks, with the same reason."""
    part = visitor.get("/part/paper").text
    for key in ("paper.roll_width", "paper.match", "trim.top"):
        assert BY_KEY[key].why.partition('"')[0] in part.replace("&#39;", "'").replace("&#34;", '"')


@pytest.mark.parametrize("path", sorted(SCENARIOS.rglob("*.toml")), ids=lambda path: str(path.relative_to(SCENARIOS)))
def test_every_kind_of_scenario_has_its_survey_on_the_page(path: Path) -> None:
    """Rooms, lists of drops, contracts, jobs of several parts: whatever there is is shown, or said why not."""
    visitor = Visitor(path)
    for part in ("paper", "room"):
        answer = visitor.get(f"/part/{part}")
        assert (answer.status, "Internal" in answer.text) == (200, False)
    survey = visitor.desk.survey()
    assert survey.scenario is not None or any(fault.what.rstrip(".") for fault in survey.faults)
    if survey.scenario is not None and survey.scenario.setting_out is not None:
        for number, wall in enumerate(survey.scenario.setting_out.room.walls):
            assert f'id="f-wall-{number}-width"' in visitor.get("/part/room").text, wall.name


def test_page_speaks_of_what_is_done_on_it(visitor: Visitor) -> None:
    """Answers of few words are said as the trade says them; no key of the file and no command has to be known."""
    visitor.desk.write(visitor.desk.text() + "\n[[border]]\nname = 'frieze'\n[[damp_lining]]\nname = 'pitch'\n")
    paper, room = (" ".join(visitor.get(f"/part/{part}").text.split()) for part in ("paper", "room"))

    assert '<option value="follow">as they hang</option>' in paper
    assert '<option value="vertical">up and down</option>' in room
    assert "Parts of walls" not in room
    assert "border, paper: is missing" in room
    assert not re.search(r"\[border|= \[|= \{|cutplan \w+ ", room)
    told = ["To learn it, measure first_motif on each, write it into the scenario and plan again (--tolerance 0)."]
    assert said(told) == ["To learn it, measure the first motif of each, and put them on the list below."]
    assert "measure the first motif of each" in Visitor(SCENARIOS / "feature-wall.toml").get("/part/rolls").text


def test_sheets_of_a_mural_have_no_match_to_tell() -> None:
    """Their numbers say how they follow one another: no repeat is drawn, and none is asked about."""
    paper = Visitor(SCENARIOS / "mural.toml").get("/part/paper").text

    assert "in which nothing comes again" in paper
    assert "Is it so on the roll?" not in paper
    assert BY_KEY["paper.match"].wording not in paper


def by_interview(_: Visitor, typed: str) -> Fraction | str:
    """Return what the interview takes a length of a roll for, or why it is refused."""
    try:
        return parse_scenario(Talk([*FEATURE_WALL[:2], typed, *FEATURE_WALL[3:]]).scenario(), "").job.paper.roll_length
    except InterviewError as error:
        return str(error)


def by_page(visitor: Visitor, typed: str) -> Fraction | str:
    """Return the same of the page."""
    assert edited(visitor, ["paper", "roll_length"], typed, "10.05 m") == {}
    survey = visitor.desk.survey()
    return survey.faults[0].what if survey.scenario is None else survey.scenario.job.paper.roll_length


def by_scenario(visitor: Visitor, typed: str) -> Fraction | str:
    """Return the same of a file written by hand."""
    try:
        text = visitor.desk.text().replace('roll_length = "10.05 m"', f'roll_length = "{typed}"', 1)
        return parse_scenario(text, "").job.paper.roll_length
    except ScenarioError as error:
        return str(error)


@pytest.mark.parametrize("face", [by_interview, by_page, by_scenario])
@pytest.mark.parametrize(
    ("typed", "means"),
    [
        ("10,05 m", Fraction(10050)),
        ("10050,5", Fraction("10050.5")),
        ("0,950 m", Fraction(950)),
        ("9,8500 m", Fraction(9850)),
        ("395,25 in", Fraction("10039.35")),
        *[(typed, None) for typed in ("10,050", "9,900 mm", "10,", "1,0,5 m", "10.050,5")],
    ],
)
def test_comma_is_read_by_one_rule_whoever_asks(
    visitor: Visitor, face: Callable[[Visitor, str], Fraction | str], typed: str, means: Fraction | None
) -> None:
    """A decimal comma is a point; where it could part thousands it is refused, in the same words by every face."""
    found = face(visitor, typed)

    if means is None:
        remedy = f"has a comma; if it parts thousands write {typed.replace(',', '')!r}, if decimals a point"
        assert remedy in str(found)
    else:
        assert found == means
