"""The judge of a record of work: its lines, its plans, and what was done as it tells."""

from __future__ import annotations

import json
import shutil
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest
from typer.testing import CliRunner

from cutplan.check import PlanUnreadable, check_text, report_lines
from cutplan.check.record_rules.recorded_work import RecordedLine, Work
from cutplan.check.record_rules.steps_of_plan import Doing, Step
from cutplan.check.stated.fields import Table
from cutplan.cli.all_commands import app

if TYPE_CHECKING:
    from collections.abc import Callable

SCENARIOS: Final = Path(__file__).parent.parent / "scenarios"
SCENARIO = """\
units = "mm"
[paper]
name = "Sorrel, chalk"
roll_length = "10.05 m"
match = "64/32 cm"
[[drop]]
label = "1"
height = 2400
first_motif = 95
[[drop]]
label = "2"
height = 2400
first_motif = 415
count = 3
"""


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a record: a plan of 4 pieces, 1 cut and hung, another cut and spoiled, the rest planned anew."""
    path = tmp_path_factory.mktemp("work") / "room.toml"
    path.write_text(SCENARIO, encoding="utf-8")
    for command in (
        ["begin"],
        ["done", "1-3"],
        ["hung", "1"],
        ["done", "4-6"],
        ["spoiled", "2 (1 of 3)", "--why", "torn"],
        ["replan"],
    ):
        result = CliRunner().invoke(app, [command[0], str(path), *command[1:]])
        assert result.exit_code == 0, (command, result.output)
    return path.with_suffix(".record.jsonl").read_text(encoding="utf-8")


def forged(record: str, number: int, change: Callable[[dict[str, Any]], object]) -> str:
    """Return the record with an entry changed, and every line's sum made right again."""
    sums, lines = "", []
    for place, line in enumerate(record.splitlines(), start=1):
        entry = json.loads(line)
        del entry["sum"]
        if place == number:
            change(entry)
        body = json.dumps(entry, separators=(",", ":"))[:-1]
        sums = sha256((sums + body).encode()).hexdigest()[:16]
        lines.append(f'{body},"sum":"{sums}"}}\n')
    return "".join(lines)


def test_a_record_is_judged_with_every_plan_in_it(record: str) -> None:
    """One piece hangs, the spoiled one is wanted again; both plans hold, and so does the record."""
    lines = report_lines(check_text(record))

    assert lines[-1] == "the record holds"
    assert "checked: record: line by line, 6 in all; 1 hang, 0 lie cut" in lines
    assert any(line.startswith("checked: plan 2: optimal: ") for line in lines)
    assert "on trust: what was measured and bought, and what is left on rolls that were opened" in lines


def test_forging_nothing_changes_nothing(record: str) -> None:
    """The forger of these tests writes lines as cutplan does."""
    assert forged(record, 1, lambda _: None) == record


def test_a_changed_line_is_named(record: str) -> None:
    """Line 3 says that piece 1 hangs; as piece 4 it no longer has its sum."""
    with pytest.raises(PlanUnreadable, match="line 3: was changed"):
        check_text(record.replace('"pieces":["1"]', '"pieces":["4"]'))


def test_a_lost_line_is_named(record: str) -> None:
    """Without line 2 the sum of the next is not right."""
    lines = record.splitlines(keepends=True)
    with pytest.raises(PlanUnreadable, match="line 2: was changed, or a line before it lost"):
        check_text("".join([lines[0], *lines[2:]]))


def test_entries_deleted_at_the_end_are_counted_by_the_file_beside_the_record(record: str) -> None:
    """Five of six entries, each with its sum: only that file knows of the sixth, and without it that is on trust."""
    cut_off = "".join(record.splitlines(keepends=True)[:-1])
    end = json.dumps({"format": "cutplan-record-end/1", "entries": 6, "sum": record[-19:-3], "answered": 6})

    assert check_text(record, end).holds
    assert [violation.line() for violation in check_text(cut_off, end).violations] == [
        "the record was cut off: it ends after entry 5, and 6 were recorded"
    ]
    assert [violation.line() for violation in check_text(record, end.replace("6", "5")).violations] == [
        "line 5: is not the entry that was recorded there"
    ]
    assert "that no entry came after the last: there is no file beside the record that counts them" in (
        check_text(cut_off).trusted
    )
    (fault,) = check_text(cut_off, end).violations
    assert fault.amount == 1
    assert check_text(record, end.replace("6,", "0,", 1)).holds
    for broken in ("xx", "[]", "{}", end.replace("6,", "-1,")):
        with pytest.raises(PlanUnreadable, match="the file beside the record"):
            check_text(record, broken)


def test_check_reads_the_file_beside_a_record(tmp_path: Path) -> None:
    """Deleted at the end, a record does not hold; with the file garbled neither it nor a command goes on."""
    room, path = tmp_path / "room.toml", tmp_path / "room.record.jsonl"
    room.write_text(SCENARIO, encoding="utf-8")
    for command in ("begin", "done"):
        assert CliRunner().invoke(app, [command, str(room)]).exit_code == 0
    first = path.read_text(encoding="utf-8").splitlines(keepends=True)[0]
    whole = path.read_text(encoding="utf-8")
    path.write_text(first, encoding="utf-8")

    assert CliRunner().invoke(app, ["check", str(path)]).exit_code == 3
    path.write_text(whole, encoding="utf-8")
    assert CliRunner().invoke(app, ["check", str(path)]).exit_code == 0
    path.with_suffix(".end").write_text("xx", encoding="utf-8")
    for words in (["check", str(path)], ["status", str(room)]):
        assert CliRunner().invoke(app, words).exit_code == 2
    path.with_suffix(".end").unlink()
    assert "nobody can tell" in CliRunner().invoke(app, ["status", str(room)]).output


@pytest.mark.parametrize(
    ("number", "change", "fault"),
    [
        (1, lambda entry: entry["document"].update(rolls_needed=9), "plan 1: rolls_needed says 9"),
        (1, lambda entry: entry["steps"].pop(), "line 1: the steps do not cut the pieces of the plan in its order"),
        (1, lambda entry: entry["steps"][2].update(length="2499"), "line 1: step 3 says «cut, drop 1, 2499 mm"),
        (1, lambda entry: entry["steps"][1].update(step=7), "line 1: step 7 stands where step 2 has its turn"),
        (
            1,
            lambda entry: entry["steps"][2].update(motif="150"),
            "line 1: step 3 says «cut, drop 1, 2500 mm, motif 150",
        ),
        (1, lambda entry: entry["steps"][0].update(length="9000"), "line 1: step 1 says «open, 9000 mm»"),
        (1, lambda entry: entry["steps"][1].update(lot="roll 9"), "line 1: step 3 says «cut"),
        (1, lambda entry: entry["steps"][1].update(count=2), "line 1: step 2 is for 2 rolls like roll-1"),
        (1, lambda entry: entry["stock"][0].update(length="9000"), "line 1: the stock has another length of roll"),
        (1, lambda entry: entry["stock"][0].update(of="A"), "line 1: the stock has roll of A, of which it is not"),
        (1, lambda entry: entry.update(stock=[]), "line 1: roll is not in the stock"),
        (6, lambda entry: entry.update(scenario="0" * 32), "line 6: is for another scenario than the one that counts"),
        (2, lambda entry: entry.update(steps=[1, 2, 99]), "line 2: plan 1 has no step 99"),
        (2, lambda entry: entry.update(times=2), "line 2: step 3 is done 2 times, it is for 1"),
        (2, lambda entry: entry.update(plan=2), "line 2: tells of plan 2, and plan 1 is in use"),
        (3, lambda entry: entry.update(pieces=["2 (3 of 3)"]), "line 3: piece 2 (3 of 3) is hung, and it was not cut"),
        (3, lambda entry: entry.update(pieces=["1", "1"]), "line 3: piece 1 is hung, and it hangs already"),
        (3, lambda entry: entry.update(pieces=[["1"]]), "line 3: piece ['1'] is hung, and it was not cut"),
        (5, lambda entry: entry.update(piece="3"), "line 5: piece 3 is spoiled, and it was not cut"),
        (5, lambda entry: entry.update(piece="1"), "line 6: drop 1 is to be cut 0 times, and 1 of it remain"),
        (6, lambda entry: entry.update(plan=1), "line 6: plan 1 comes after plan 1"),
    ],
)
def test_what_cannot_have_happened_is_refused(
    record: str, number: int, change: Callable[[dict[str, Any]], object], fault: str
) -> None:
    """A forger who makes every sum right is found out by what is told: each fault with its line or plan."""
    lines = [violation.line() for violation in check_text(forged(record, number, change)).violations]

    assert any(line.startswith(fault) for line in lines), lines


@pytest.mark.parametrize(
    ("number", "change", "fault"),
    [
        (2, lambda entry: entry.update(at="yesterday"), "at: must be a time"),
        (3, lambda entry: entry.update(pieces=[]), "pieces: must be a list of one or more"),
        (1, lambda entry: entry["stock"][0].update(sheet=0), r"stock\[1\].sheet: must be a whole number of at least 1"),
    ],
)
def test_an_entry_that_tells_nothing_is_none(
    record: str, number: int, change: Callable[[dict[str, Any]], object], fault: str
) -> None:
    """A time that is none, and a list without anything in it, cannot have been recorded."""
    with pytest.raises(PlanUnreadable, match=fault):
        check_text(forged(record, number, change))


@pytest.mark.parametrize(
    ("table", "key", "value", "told"),
    [
        ("drop", "trim", {"top": "50 mm", "bottom": "60 mm"}, "drop 2 is another than the scenario wants"),
        ("drop", "label", "3", "drop 3 is another than the scenario wants"),
        ("paper", "match", "64 cm", "is for a print that repeats or steps otherwise than in the plans before"),
    ],
)
def test_what_remains_is_planned_as_it_was_wanted(record: str, table: str, key: str, value: object, told: str) -> None:
    """A plan for what remains brings a scenario of its own, and in that nobody may cut the drops shorter."""

    def change(entry: dict[str, Any]) -> None:
        scenario = entry["document"]["scenario"]
        for place in scenario["drop"] if table == "drop" else [scenario[table]]:
            place[key] = value
            if key == "trim":
                place["height"] = "2390 mm"

    broken = {violation.line() for violation in check_text(forged(record, 6, change)).violations}

    assert f"line 6: {told}" in broken
    assert key != "trim" or len(broken) == 1


def test_roll_that_nobody_has_opened_is_as_long_as_it_was(tmp_path: Path) -> None:
    """What is left on rolls that were opened is told by whoever opened them; the others are as they were bought."""
    path = tmp_path / "room.toml"
    path.write_text(SCENARIO.replace("[[drop]]", '[[roll]]\nlabel = "A"\ncount = 3\n[[drop]]', 1), encoding="utf-8")
    for command in (["begin"], ["done", "1-3"], ["measured", "A-1", "7000"], ["replan"]):
        assert CliRunner().invoke(app, [command[0], str(path), *command[1:]]).exit_code == 0
    record = path.with_suffix(".record.jsonl").read_text(encoding="utf-8")

    def lengthen(entry: dict[str, Any]) -> None:
        for roll in entry["document"]["scenario"]["roll"]:
            roll["length"] = "10100 mm" if roll["label"] in ("A-2", "A-3") else roll["length"]
        for lot in entry["stock"]:
            lot["length"] = "10100" if lot["label"] in ("A-2", "A-3") else lot["length"]

    told = {violation.line() for violation in check_text(forged(record, 4, lengthen)).violations}

    assert check_text(record).holds
    assert {line for line in told if "neither opened nor measured" in line} == {
        f"line 4: {roll} is not as long as the rolls of A, and was neither opened nor measured"
        for roll in ("A-2", "A-3")
    }


def test_what_was_undone_no_longer_counts(record: str) -> None:
    """An entry that undoes a later one, or one that was undone before, undoes nothing."""
    undo = {"at": "2031-05-04T16:02:11Z", "kind": "undone", "undoes": 9}
    line = f'{{"entry":7,{json.dumps(undo)[1:-1]},"sum":""}}\n'

    faults = [violation.line() for violation in check_text(forged(record + line, 1, lambda _: None)).violations]

    assert faults == ["line 7: undoes entry 9, which it cannot"]


def with_entries(record: str, *entries: dict[str, Any]) -> str:
    """Return the record with entries after its last."""
    first = len(record.splitlines()) + 1
    told = [{"entry": number, "at": "2031-05-04T16:02:11Z", **entry} for number, entry in enumerate(entries, first)]
    return forged(record + "".join(f"{json.dumps({**entry, 'sum': ''})}\n" for entry in told), 0, lambda _: None)


def faults_after(record: str, *entries: dict[str, Any]) -> list[str]:
    """Return the violations of the record with entries after its last."""
    return [violation.line() for violation in check_text(with_entries(record, *entries)).violations]


def by_hand(piece: str, **more: object) -> dict[str, Any]:
    """Return an entry that tells of a piece cut otherwise than planned."""
    return {"kind": "cut", "piece": piece, "roll": "roll-1", "length": "2500", **more}


def done(*steps: int) -> dict[str, Any]:
    """Return an entry that tells of steps done, of the plan that is in use at the end."""
    return {"kind": "done", "plan": 2, "steps": [*steps]}


def test_piece_cut_by_hand_stands_for_the_step_that_cuts_it(record: str) -> None:
    """Step 16 cuts piece 2 (2 of 3), and step 14 the first; a piece cut again stands for the next step that is left."""
    assert faults_after(record, by_hand("2 (2 of 3)"), done(14)) == []
    assert faults_after(record, by_hand("2 (2 of 3)"), done(16)) == ["line 8: step 16 is done 2 times, it is for 1"]

    again = (done(12, 13, 14), {"kind": "spoiled", "piece": "2 (1 of 3)", "why": "torn"}, by_hand("2 (1 of 3)"))

    assert faults_after(record, *again, done(19)) == []
    assert faults_after(record, *again, done(16)) == ["line 10: step 16 is done 2 times, it is for 1"]


def test_steps_beside_one_that_there_is_not_are_done(record: str) -> None:
    """Step 14 cuts piece 2 (1 of 3), which can hang."""
    assert faults_after(record, done(99, 14), {"kind": "hung", "pieces": ["2 (1 of 3)"]}) == [
        "line 7: plan 2 has no step 99"
    ]


def test_a_step_touches_every_roll_that_it_is_done_on() -> None:
    """Rolls 2 and 3 of A are opened."""
    work = Work(plan=1, steps={1: Step(1, "A", 2, 2, Doing("open"))})
    facts = Table("", {"plan": 1, "steps": [1], "times": 2}, [])

    assert [*work.apply(RecordedLine(2, "done", facts, "", ""))] == []
    assert work.touched - {""} == {"A", "A-2", "A-3"}


def test_steps_of_a_plan_may_have_greater_numbers_than_are_in_use(record: str) -> None:
    """Those between were of a plan that was undone."""

    def onward(entry: dict[str, Any]) -> None:
        for step in entry["steps"]:
            step["step"] += 7

    assert check_text(forged(record, 6, onward)).holds


def test_no_piece_is_cut_by_hand_that_hangs_or_lies_there(record: str) -> None:
    """Drop 1 hangs; of drop 2 three are wanted."""
    assert faults_after(record, by_hand("1")) == ["line 7: piece 1 is cut once more than it is wanted"]

    three = [by_hand(f"2 ({number} of 3)") for number in (1, 2, 3)]

    assert faults_after(record, *three) == []
    assert faults_after(record, *three, by_hand("2 (3 of 3)")) == [
        "line 10: piece 2 (3 of 3) is cut once more than it is wanted"
    ]


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"length": "2300"}, "2300 mm long, is said to reach, for 2400 mm"),
        ({"length": None}, "0 mm long, is said to reach, for 2400 mm"),
        ({"short": True}, "2500 mm long, is said not to reach, for 2400 mm"),
    ],
)
def test_piece_cut_by_hand_reaches_or_does_not_as_its_length_says(
    record: str, more: dict[str, object], told: str
) -> None:
    """A drop of 2400 mm and trims of 50 mm take 2450 mm at least."""
    assert faults_after(record, by_hand("2 (1 of 3)", **more)) == [f"line 7: piece 2 (1 of 3), {told}"]
    assert faults_after(record, by_hand("2 (1 of 3)", length="2450")) == []


def test_piece_is_pasted_once_and_some_piece_is_where_any_is_told_of(record: str) -> None:
    """It lies cut on the table, and unpasted no more."""
    cut, pasted = by_hand("2 (1 of 3)"), {"kind": "pasted", "pieces": ["2 (1 of 3)"]}

    assert faults_after(record, cut, pasted) == []
    assert faults_after(record, cut, pasted, pasted) == [
        "line 9: piece 2 (1 of 3) is pasted, and it does not lie unpasted on the table"
    ]
    with pytest.raises(PlanUnreadable, match="must be a list of one or more"):
        faults_after(record, {"kind": "pasted", "pieces": []})


def test_each_piece_that_cannot_hang_is_named(record: str) -> None:
    """One hangs already, and the next was never cut."""
    assert faults_after(record, {"kind": "hung", "pieces": ["1", "2 (3 of 3)"]}) == [
        "line 7: piece 1 is hung, and it hangs already",
        "line 7: piece 2 (3 of 3) is hung, and it was not cut",
    ]


def test_drops_are_those_of_the_corrected_scenario(record: str) -> None:
    """After a correction that has no drop 2, none can be cut; one that brings no scenario is for none that counts."""
    scenario = json.loads(record.splitlines()[0])["document"]["scenario"]
    scenario = {**scenario, "drop": scenario["drop"][:1]}
    told = {"kind": "corrected", "pieces": {"1": ["1"]}, "scenario": fingerprint_of(scenario)}

    assert faults_after(record, {**told, "document": scenario}) == []
    on_trust = "where pieces hang since the scenario was corrected"
    texts = (record, with_entries(record, {**told, "document": scenario}))
    assert [on_trust in check_text(text).trusted for text in texts] == [False, True]
    assert faults_after(record, {**told, "document": scenario}, by_hand("2")) == [
        "line 8: there is no drop 2",
        "line 8: piece 2 is cut once more than it is wanted",
    ]
    assert faults_after(record, told) == ["line 7: is for another scenario than the one that counts"]


def fingerprint_of(scenario: dict[str, Any]) -> str:
    """Return the digest by which entries name a scenario."""
    return sha256(json.dumps(scenario, sort_keys=True, separators=(",", ":")).encode()).hexdigest()[:32]


@pytest.mark.parametrize("body", ['{"at":', "[" * 100_000])
def test_a_line_that_is_no_json_is_no_entry(record: str, body: str) -> None:
    """Though its sum is right: it breaks off, or goes deeper than anybody writes."""
    last = json.loads(record.splitlines()[-1])["sum"]
    line = f'{body},"sum":"{sha256((last + body).encode()).hexdigest()[:16]}"}}\n'

    with pytest.raises(PlanUnreadable, match="line 7: not JSON"):
        check_text(record + line)


def test_a_last_line_that_was_never_finished_is_none(record: str) -> None:
    """What a power cut left of an entry was never recorded."""
    assert check_text(record + '{"entry":7,"at":').violations == ()


@pytest.mark.parametrize(
    "name", ["hotel-bedrooms", "reading-corner", "measured-rolls", "mural", "parts/dado-room.toml/dado"]
)
def test_work_begun_spoiled_and_planned_anew_holds(name: str, tmp_path: Path) -> None:
    """Rolls bought as needed, a pace, measured rolls, sheets, a band of several: nothing that happened is refused."""
    file, _, part = name.partition(".toml/")
    path = tmp_path / "room.toml"
    shutil.copy(SCENARIOS / f"{file}.toml", path)
    address = f"{path}/{part}" if part else str(path)
    spoiled = [] if file in ("hotel-bedrooms", "mural") else [["spoiled", "1", "--why", "torn"]]
    for command in (["begin"], ["done", "1-4"], *spoiled, ["replan"]):
        result = CliRunner().invoke(app, [command[0], address, *command[1:]])
        assert result.exit_code == 0, (command, result.output)
    (record,) = tmp_path.glob("*.record.jsonl")

    assert [violation.line() for violation in check_text(record.read_text(encoding="utf-8")).violations] == []
