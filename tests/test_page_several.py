"""Jobs of several parts or rooms on the page: what there is of each, each with a page of its own."""

from __future__ import annotations

import shutil
import tomllib
from typing import TYPE_CHECKING

import pytest

from cutplan.cli import page_work
from cutplan.faults import ScenarioError
from cutplan.page.desk import Desk
from cutplan.page.further_fields import LISTS, TABLES
from cutplan.page.survey_fields import question_of
from cutplan.parts.part import PartedJob
from cutplan.parts.read_parts import read_job
from cutplan.scenario.read import Scenario
from page_client import Visitor
from test_page_door import SCENARIOS
from test_page_survey import changed, edited

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def dado_room(tmp_path: Path) -> Visitor:
    """Return a browser at a copy of the room whose walls have a frieze, a filling and a dado."""
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / "parts" / "dado-room.toml", path)
    return Visitor(path)


@pytest.fixture
def guest_house(tmp_path: Path) -> Visitor:
    """Return a browser at a copy of the contract: bedrooms, some of them mirrored, a landing, a suite."""
    for path in (SCENARIOS / "guest-house").iterdir():
        shutil.copy(path, tmp_path / path.name)
    return Visitor(tmp_path / "contract.toml")


@pytest.fixture
def parlour(tmp_path: Path) -> Visitor:
    """Return a browser at a copy of a room in one paper."""
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / "parlour.toml", path)
    return Visitor(path)


def test_page_of_a_job_of_several_parts_leads_to_each(dado_room: Visitor) -> None:
    """The survey stands there once; what belongs to one part stands on that part's page alone."""
    parts = dado_room.get("/part/parts").text

    for name in ("frieze", "filling", "dado"):
        assert f'href="of/{name}/"' in parts
    assert "dado-room" not in parts
    assert dado_room.get("/part/room").text.count('class="sheet"') == 4
    for name in ("start", "rolls", "table", "customer", "photograph"):
        assert dado_room.get(f"/part/{name}").text == ""
        assert dado_room.get(f"/of/filling/part/{name}").text != ""
    assert dado_room.get("/of/filling/part/room").text == ""
    assert "Back to the whole job" in dado_room.get("/of/filling/").text


def test_part_has_its_own_paper_start_rolls_and_record(dado_room: Visitor) -> None:
    """What is changed on its page is changed in its band, and its record is not the job's."""
    field = '["band", 1, "paper", "name"]'.replace('"', "&#34;")
    assert f'data-path="{field}"' in dado_room.get("/of/filling/part/paper").text
    kept = dado_room.post("/of/filling/start/keep", {"wall": 1, "at": "1800 mm", "drop": "100 mm"})
    assert kept.status == 200
    dado_room.post("/of/filling/change", {"what": "roll", "count": 9, "batch": "7"})
    dado_room.post("/of/filling/record", {"what": "done", "plan": 1, "step": 1, "times": 0, "id": "a"})

    told = tomllib.loads(dado_room.desk.text())
    assert (told["band"][1]["start"]["wall"], told["start"]["wall"]) == ("window wall", "hearth wall")
    assert told["band"][1]["roll"] == [{"label": "A", "count": 9, "batch": "7"}]
    assert dado_room.desk.path is not None
    names = [path.name for path in dado_room.desk.path.parent.iterdir()]
    recorded = [name for name in names if "record" in name]
    assert recorded
    assert all("filling" in name for name in recorded)


@pytest.mark.parametrize("name", ["cellar", "..", "filling%2F..", "room.toml", ""])
def test_there_is_no_page_of_what_is_no_part(dado_room: Visitor, name: str) -> None:
    """Only parts and rooms of this very job have one."""
    assert dado_room.get(f"/of/{name}/part/rolls").status == 404


def test_bands_in_one_paper_have_one_table_and_a_start_each(dado_room: Visitor) -> None:
    """They are cut from the same rolls, so that rolls and table are theirs together."""
    assert dado_room.desk.path is not None
    text = dado_room.desk.text()
    frieze, filling = (text.index(f'name = "{name}"') for name in ("Ivy wreath, moss", "Garden trellis, buff"))
    own = text[filling : text.index("[[band]]", filling)]
    dado_room.desk.path.write_text(text[:frieze] + own + text[text.index("[[band]]", frieze) :], encoding="utf-8")
    whole = dado_room.desk.survey().whole
    assert isinstance(whole, PartedJob)
    both = whole.parts[0].name
    parts = dado_room.get("/part/parts").text

    assert [len(part.sharing) for part in whole.parts] == [2, 0]
    assert parts.count('href="of/') == 4
    assert "How each roll is cut" in dado_room.get(f"/of/{both}/part/rolls").text
    assert dado_room.get(f"/of/{both}/part/start").text == dado_room.get("/of/frieze/part/rolls").text == ""
    assert "Keep this start" in dado_room.get("/of/frieze/part/start").text


def test_page_of_a_contract_counts_its_rooms_and_leads_to_each_kind(guest_house: Visitor) -> None:
    """A mirrored kind has a sheet and no page of its file; a room's page is that of its file, and no other has one."""
    parts = guest_house.get("/part/parts").text
    rooms = guest_house.desk.survey().whole
    assert rooms is not None

    assert 'href="of/bedroom/"' in parts
    assert "its walls are mirrored, its print is not" in parts
    assert guest_house.get("/part/room").text == guest_house.get("/part/rolls").text == ""
    assert 'id="f-wall-0-width"' in guest_house.get("/of/bedroom/part/room").text
    assert guest_house.get("/of/bedroom mirrored/").status == 404
    before = guest_house.desk.text()
    guest_house.post("/of/bedroom/change", {"what": "walls", "count": 1})
    assert guest_house.desk.text() == before


def test_mirrored_kind_of_a_contract_has_its_sheet(guest_house: Visitor) -> None:
    """It has no file to open: the walls, rolls and steps of one such room, as a page by itself."""
    assert 'href="mirrored/bedroom%20mirrored"' in guest_house.get("/part/parts").text
    sheet = guest_house.get("/mirrored/bedroom mirrored")

    assert sheet.status == 200
    assert "Cut drop 1" in " ".join(sheet.text.split())
    assert "script-src 'sha256-" in sheet.headers["content-security-policy"]
    assert [guest_house.get(f"/mirrored/{name}").status for name in ("bedroom", "cellar", "..")] == [404, 404, 404]


def test_rooms_of_a_contract_are_counted_and_mirrored_on_the_page(guest_house: Visitor) -> None:
    """More mirrored than there are is told beside the figure; mended, the contract is whole again."""
    assert edited(guest_house, ["rooms", 1, "mirrored"], "10", "") == {}
    part = guest_house.get("/part/parts").text
    assert "is 10 of 9" in part
    assert guest_house.get("/part/paper").text == guest_house.get("/part/all").text == ""
    assert edited(guest_house, ["rooms", 1, "mirrored"], "4", "10") == {}
    assert edited(guest_house, ["contract", "spare"], "7,5", "5") == {}

    told = tomllib.loads(guest_house.desk.text())
    assert (told["rooms"][1]["mirrored"], told["contract"]["spare"]) == (4, 7.5)
    assert "suite mirrored" in guest_house.get("/part/parts").text


def test_lined_room_lists_what_is_bought_for_all_of_it() -> None:
    """Rolls of every part, paste and filler, and the days; a lining has neither a start to move nor a label here."""
    visitor = Visitor(SCENARIOS / "parts" / "lined-room.toml")
    everything = " ".join(visitor.get("/part/all").text.split())

    assert "tub paste: 3 tubs" in everything
    assert "Days" in everything
    assert "add it under Paste, size, filler" in everything
    assert "[[" not in everything
    assert visitor.get("/of/lining/part/start").text == visitor.get("/of/lining/part/paper").text == ""
    assert "How each roll is cut" in visitor.get("/of/lining/part/rolls").text


def test_everything_that_is_folded_has_its_question() -> None:
    """Each key of each table and list is asked for by the one list of questions."""
    for table, keys in TABLES.items():
        assert all(question_of((table, key)).why for key in keys)
    for kept in LISTS.values():
        paths: list[tuple[str | int, ...]] = [(kept.key, 0, key) for key in kept.asks]
        paths += [(kept.key, 0, table, key) for table, keys in kept.tables for key in keys]
        paths += [(kept.key, 0, inner.key, 0, key) for inner in kept.inner for key in inner.asks]
        assert all(question_of(path).why for path in paths)


def test_first_rail_parts_the_paper_of_the_walls(parlour: Visitor) -> None:
    """The paper goes to the band above; the one below still wants its own, and then both are jobs."""
    paper = tomllib.loads(parlour.desk.text())["paper"]
    assert changed(parlour, what="entry", path=["rail"]) == {}
    told = tomllib.loads(parlour.desk.text())
    assert "paper" not in told
    assert [(band["name"], band["paper"]["name"]) for band in told["band"]] == [
        ("filling", paper["name"]),
        ("dado", "wallpaper"),
    ]
    typed: list[tuple[list[str | int], str]] = [
        (["rail", 0, "foot"], "900 mm"),
        (["rail", 0, "height"], "60"),
        (["band", 1, "paper", "roll_length"], "10.05 m"),
        (["band", 1, "paper", "roll_width"], "530"),
        (["band", 1, "paper", "match"], "64 cm"),
    ]
    for path, value in typed:
        assert edited(parlour, path, value, "") == {}

    assert parlour.desk.path is not None
    job = read_job(parlour.desk.path)
    assert not isinstance(job, Scenario)
    assert [part.name for part in job.parts] == ["filling", "dado"]
    for _ in range(6):
        assert changed(parlour, what="back") == {}
    assert tomllib.loads(parlour.desk.text())["paper"] == paper


@pytest.mark.parametrize(
    ("path", "typed", "told"),
    [
        (["pace", "soak"], "8", {"pace": {"soak": 8}}),
        (["pace", "stop"], "17:00", {"pace": {"stop": "17:00"}}),
        (["cutting", "open_rolls"], "3", {"cutting": {"open_rolls": 3}}),
        (["sheets", "count"], "8", {"sheets": {"count": 8}}),
        (["equal_strips", "edge_trim"], "35", {"equal_strips": {"edge_trim": 35}}),
        (["lining", "way"], "vertical", {"lining": {"way": "vertical"}}),
        (["lining", "price"], "$14.50", {"lining": {"price": 14.5}}),
    ],
)
def test_table_comes_with_its_first_answer_and_goes_with_its_last(
    parlour: Visitor, path: list[str | int], typed: str, told: dict[str, object]
) -> None:
    """An empty table would be a fault, or a wish that nobody has."""
    before = tomllib.loads(parlour.desk.text())
    assert edited(parlour, path, typed, "") == {}
    assert tomllib.loads(parlour.desk.text()) == {**before, **told}
    shown = str(told[str(path[0])][path[1]])  # type: ignore[index]
    assert edited(parlour, path, "", shown) == {}

    assert tomllib.loads(parlour.desk.text()) == before


@pytest.mark.parametrize("name", sorted(LISTS))
def test_one_more_of_every_list_is_added_and_taken_away(parlour: Visitor, name: str) -> None:
    """Each gets a name of its own; what is still to be told of it stands open."""
    before = parlour.desk.text()
    assert changed(parlour, what="entry", path=[name]) == {}
    entries = tomllib.loads(parlour.desk.text())[name]
    part = parlour.get("/part/room").text + parlour.get("/part/rolls").text
    assert f'data-path="[&#34;{name}&#34;, {len(entries) - 1}, ' in part or name in ("roll", "offcut")
    assert changed(parlour, what="back") == {}
    assert parlour.desk.text() == before
    assert "error" in changed(parlour, what="entry", path=["nails"])


def test_price_of_a_packet_is_written_with_the_packet(parlour: Visitor) -> None:
    """As it is said: how many rolls are in one stands beside the price of it."""
    assert edited(parlour, ["paper", "price"], "150 per packet of 2", str(_price(parlour))) == {}

    told = tomllib.loads(parlour.desk.text())["paper"]
    assert (told["price"], told["price_per"], told["packet"]) == (150, "packet", 2)
    assert parlour.desk.scenario().job.paper.price == 75


def _price(visitor: Visitor) -> object:
    return tomllib.loads(visitor.desk.text())["paper"].get("price", "")


@pytest.mark.parametrize("file", ["parts/dado-room.toml", "parlour.toml"])
def test_a_part_that_a_file_does_not_have_gets_no_page(file: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is refused before anything is served, as every other command refuses it."""
    monkeypatch.setattr(page_work, "listening_at", lambda *_: pytest.fail("it is served"))

    with pytest.raises(ScenarioError, match="has no part"):
        page_work.serve(SCENARIOS / file, "attic", None, phone=False, opens=False)


def test_a_part_that_the_file_has_no_longer_is_missed_on_its_page(tmp_path: Path) -> None:
    """The file may be changed elsewhere; its one paper is not shown for the part."""
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / "parlour.toml", path)

    survey = Desk(path, "attic").survey()

    assert survey.scenario is None
    assert [fault.what for fault in survey.faults] == ["has no part attic any more; it has no parts"]
