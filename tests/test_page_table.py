"""The table's part of the page: the same durable record, each thing in it once."""

from __future__ import annotations

import shutil
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from cutplan.page.table_part import next_by_timetable
from cutplan.progress.work import work_on
from page_client import Visitor
from test_page_door import SCENARIOS

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.progress.state import State


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Return a browser at a job of its own: three drops in a reading corner."""
    path = tmp_path / "corner.toml"
    shutil.copy(SCENARIOS / "reading-corner.toml", path)
    return Visitor(path)


def state_of(visitor: Visitor) -> State:
    """Return where the work stands, as any command reads it."""
    return work_on(visitor.desk.scenario()).begun()


def done(visitor: Visitor, step: int, *, times: int = 0, mark: str = "") -> dict[str, object]:
    """Record a step as done, and return the answer."""
    fields = {"what": "done", "plan": 1, "step": step, "times": times, "id": mark or f"step {step}"}
    return visitor.post("/record", fields).fields


def cut_first(visitor: Visitor) -> str:
    """Do the steps up to the first drop cut, and return what is written on it."""
    for step in visitor.desk.state().plan.steps:
        assert done(visitor, step.number) == {}
        if step.piece is not None:
            return step.piece
    raise AssertionError


def test_first_tick_begins_the_work_with_the_plan_that_is_shown(visitor: Visitor) -> None:
    """Until then there is no record; the plan in it is the one whose steps the page showed."""
    shown = visitor.desk.state().plan
    assert not visitor.desk.is_begun()

    assert done(visitor, shown.first) == {}
    assert state_of(visitor).plan.steps == shown.steps


def test_step_sent_again_is_recorded_once(visitor: Visitor) -> None:
    """The answer to the first was lost, so the page sent the same thing again."""
    for _ in range(3):
        assert done(visitor, 1, mark="lost answer") == {}

    assert len(work_on(visitor.desk.scenario()).entries) == 2  # the plan, and one step


def test_step_ticked_by_two_at_once_is_recorded_once(visitor: Visitor) -> None:
    """Ten devices at once: each is told that it is done, and the record has it once."""
    visitor.desk.state()
    with ThreadPoolExecutor(10) as pool:
        answers = list(pool.map(lambda number: done(visitor, 1, mark=f"device {number}"), range(10)))

    assert answers == [{}] * 10
    assert len(work_on(visitor.desk.scenario()).entries) == 2


def test_what_cannot_have_happened_begins_no_record(visitor: Visitor) -> None:
    """A drop is hung that is not cut: the page says so, and no file appears."""
    answer = visitor.post("/record", {"what": "hung", "piece": "1", "id": "a"})

    assert "does not lie on the table" in str(answer.fields["error"])
    assert not visitor.desk.is_begun()


def test_spoiled_drop_leads_to_a_new_plan(visitor: Visitor) -> None:
    """The page asks whether the paper is enough, and goes on by the new plan, whose steps are numbered on."""
    piece = cut_first(visitor)
    assert visitor.post("/record", {"what": "spoiled", "piece": piece, "why": "torn", "id": "s"}).fields == {}
    assert "Is there enough paper?" in visitor.get("/part/table").text

    answer = visitor.get("/part/enough").text
    assert "enough paper" in answer
    entries = len(work_on(visitor.desk.scenario()).entries)
    assert visitor.post("/record", {"what": "replan", "entry": entries, "id": "r"}).fields == {}
    after = state_of(visitor)
    assert after.plan.number == 2
    assert after.wanted_again == {}


def test_replan_is_not_made_over_what_was_recorded_meanwhile(visitor: Visitor) -> None:
    """Somebody hung a drop while the answer was read: the new plan would not know of it."""
    piece = cut_first(visitor)
    entries = len(work_on(visitor.desk.scenario()).entries)
    visitor.post("/record", {"what": "hung", "piece": piece, "id": "h"})

    answer = visitor.post("/record", {"what": "replan", "entry": entries, "id": "r"})
    assert "meanwhile" in str(answer.fields["error"])
    assert state_of(visitor).plan.number == 1


def test_undo_takes_back_only_what_was_shown_as_last(visitor: Visitor) -> None:
    """Two devices undo at once: what the second did not see stays."""
    cut_first(visitor)
    last = work_on(visitor.desk.scenario()).counting[-1].number

    assert visitor.post("/record", {"what": "undo", "entry": last, "id": "u1"}).fields == {}
    assert "meanwhile" in str(visitor.post("/record", {"what": "undo", "entry": last, "id": "u2"}).fields["error"])


def test_hung_twice_is_hung_once(visitor: Visitor) -> None:
    """Both of two hands press it; so with pasting and with what is spoiled."""
    piece = cut_first(visitor)
    for what in ("pasted", "hung", "spoiled"):
        before = len(work_on(visitor.desk.scenario()).entries)
        for hand in "ab":
            answer = visitor.post("/record", {"what": what, "piece": piece, "why": "creased", "id": f"{what} {hand}"})
            assert answer.fields == {}
        assert len(work_on(visitor.desk.scenario()).entries) == before + 1


def test_each_of_pieces_of_one_name_is_pasted_and_hung(tmp_path: Path) -> None:
    """More than 300 lengths: rolls are cut alike, and the pieces of each are called by their drop."""
    path = tmp_path / "ward.toml"
    path.write_text(
        """units = "mm"
[paper]
name = "Ward"
roll_length = "10.05 m"
match = "free"
[[drop]]
label = "1"
height = 4400
count = 302
""",
        encoding="utf-8",
    )
    ward = Visitor(path)
    for step in ward.desk.state().plan.steps:
        assert done(ward, step.number) == {}
    for what in ("pasted", "hung"):
        for number in range(2):
            assert ward.post("/record", {"what": what, "piece": "1", "id": f"{what} {number}"}).fields == {}

    assert state_of(ward).hung == ("1", "1")
    assert state_of(ward).on_table == ()


def test_names_with_markup_are_shown_as_text(tmp_path: Path) -> None:
    """A drop may be called anything."""
    path = tmp_path / "hostile.toml"
    name = "<script>alert(1)</script>"
    path.write_text(
        f"""units = "mm"
[paper]
name = "{name}"
roll_length = "10.05 m"
match = "64 cm"
[[drop]]
label = "{name}"
height = 2400
first_motif = 95
""",
        encoding="utf-8",
    )
    part = Visitor(path).get("/part/table").text

    assert "<script" not in part
    assert "&lt;script&gt;" in part


# Against the clock, and what else can happen


@pytest.fixture
def day(tmp_path: Path) -> Visitor:
    """Return a browser at a job with the pace of its work, of 17 steps."""
    path = tmp_path / "day.toml"
    shutil.copy(SCENARIOS / "a-day.toml", path)
    with path.open("a", encoding="utf-8") as file:
        file.write('\n[pace]\npasted = "paper"\nsoak = 8\nbegin = "08:00"\n')
    return Visitor(path)


def told(visitor: Visitor, what: str, **fields: object) -> dict[str, object]:
    """Record something, and return the answer."""
    return visitor.post("/record", {"what": what, "id": f"{what} {fields}", **fields}).fields


def test_next_step_stands_against_the_clock(day: Visitor) -> None:
    """The day begins at 08:00 with a cut of three minutes; what is pasted soaks for eight, until it hangs."""
    piece = cut_first(day)
    table = " ".join(day.get("/part/table").text.split())
    assert f"By the timetable: Paste and fold {piece} at 08:03," in table
    assert 'data-by="table"' in table
    assert told(day, "pasted", piece=piece) == {}
    table = " ".join(day.get("/part/table").text.split())

    assert f"Drop {piece}: hang it at" in table
    assert table.count('data-by="soak"') == 1
    assert told(day, "hung", piece=piece) == {}
    assert 'data-by="soak"' not in day.get("/part/table").text


def test_day_off_makes_nobody_late(day: Visitor) -> None:
    """Days are counted on which something is recorded: years later, what was due on the first was due yesterday."""
    cut_first(day)
    work, state = day.desk.work(), day.desk.state()
    assert work is not None
    now = datetime(2030, 5, 6, 7, 0, tzinfo=UTC)
    moment = next_by_timetable(work, state, day.desk.scenario().pace, now)

    assert moment is not None
    assert moment.by == datetime(2030, 5, 5, 8, 3, tzinfo=UTC)


def test_new_plan_has_a_timetable_from_the_next_day_on(day: Visitor) -> None:
    """On the day on which it is made the hours are gone; its own first day is the next on which somebody works."""
    piece = cut_first(day)
    assert told(day, "spoiled", piece=piece, why="torn") == {}
    assert told(day, "replan", entry=len(work_on(day.desk.scenario()).entries)) == {}
    table = " ".join(day.get("/part/table").text.split())
    work, state, pace = work_on(day.desk.scenario()), day.desk.state(), day.desk.scenario().pace
    tomorrow = datetime.now(UTC) + timedelta(days=1)
    moment = next_by_timetable(work, state, pace, tomorrow)

    assert state.plan.number == 2
    assert "<td>08:00</td>" in table
    assert "By the timetable:" not in table
    assert moment is not None
    assert moment.by == tomorrow.replace(hour=8, minute=0, second=0, microsecond=0)


def test_flaw_and_length_found_otherwise_are_recorded(day: Visitor) -> None:
    """150 mm of no use 3 m down the roll; the first piece is found to be 10 mm longer than planned."""
    piece = cut_first(day)
    roll = next(iter(state_of(day).rolls))
    assert told(day, "cut", piece=piece, length="2360") == {}
    assert told(day, "flawed", roll=roll, at="3 m", length="150 mm") == {}
    kinds = [type(entry.event).__name__ for entry in work_on(day.desk.scenario()).counting]

    assert kinds[-2:] == ["CutPiece", "Flawed"]
    assert "how long it is" in str(told(day, "flawed", roll=roll, at="3 m")["error"])


def test_any_entry_is_taken_back_with_what_rests_on_it(day: Visitor) -> None:
    """A cut that was hung since is not taken back alone: the page says what rests on it, and does both when told to."""
    piece = cut_first(day)
    assert told(day, "hung", piece=piece) == {}
    cut_entry = work_on(day.desk.scenario()).counting[-2].number
    refused = told(day, "take back", entry=cut_entry, with_rest=False)
    assert "What rests on it has to go with it" in str(refused["error"])
    assert state_of(day).hung == (piece,)

    assert told(day, "take back", entry=cut_entry, with_rest=True) == {}
    assert (state_of(day).hung, state_of(day).on_table) == ((), ())


def test_rolls_not_opened_are_named_by_the_first_and_the_last_that_follow_one_another(tmp_path: Path) -> None:
    """A hotel's 1100 rolls are one line; a roll that is opened out of turn parts them."""
    text = (SCENARIOS / "hotel-bedrooms.toml").read_text(encoding="utf-8")
    path = tmp_path / "hotel.toml"
    path.write_text(text, encoding="utf-8")
    hotel = Visitor(path)
    assert "Not opened yet: roll-1 to roll-1100." in hotel.get("/part/table").text

    assert done(hotel, 1, times=0) == {}
    assert "Measured one of these" in hotel.get("/part/table").text
    assert hotel.post("/record", {"what": "measured", "roll": "roll-5", "left": "10050", "id": "m"}).fields == {}

    assert "Not opened yet: roll-2 to roll-4, roll-6 to roll-1100." in hotel.get("/part/table").text
