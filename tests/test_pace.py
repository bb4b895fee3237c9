"""The timetable: every length soaks equally, one thing at a time, in hanging order, and its words."""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from cutplan.cli.all_commands import app
from cutplan.faults import ScenarioError
from cutplan.plan.order import Follow
from cutplan.render.documents.plan_document import document_of
from cutplan.render.pages.plan_page import plan_page
from cutplan.scenario.read import parse_scenario
from cutplan.solve import solve
from cutplan.solve.clock import Clock
from cutplan.solve.ordering import MOST_PIECES, order_cuts
from cutplan.table.least_idle import least_idle_of
from cutplan.table.sequence import sequence_of
from cutplan.table.timetable import DAY, Act, ActKind, Pace, PastedOn, Timetable, clock, timetable_of
from least_idle import least_idle

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.scenario.read import Scenario
    from cutplan.table.steps import Sequence

WALL = """\
units = "mm"
[paper]
name = "Newt, umber"
roll_length = "10.05 m"
match = "64/32 cm"
"""


def scenario(drops: int, pace: str = "", *, match: str = "64/32 cm", small: int = 0) -> Scenario:
    """Return ``drops`` of a half-drop 2400 mm high in turn, then ``small`` ones of 400 mm, on two walls."""
    text = WALL.replace("64/32 cm", match) + pace
    for number in range(drops + small):
        height = 2400 if number < drops else 400
        motif = f"first_motif = {95 if number % 2 == 0 else 415}\n" if match != "free" else ""
        wall = "left" if number < drops / 2 else "right"
        text += f'[[drop]]\nlabel = "{number + 1}"\nheight = {height}\nwall = "{wall}"\n{motif}'
    return parse_scenario(text, "test")


def sequence(read: Scenario, follow: Follow = Follow.DROPS) -> Sequence:
    """Return the ordered sequence of a scenario's plan."""
    return sequence_of(order_cuts(solve(read.job), follow=follow))


def timetable(read: Scenario, pace: Pace, follow: Follow = Follow.DROPS) -> Timetable:
    """Return the timetable of a scenario's plan at a pace."""
    found = timetable_of(sequence(read, follow), pace)
    assert found is not None
    return found


def minutes(*numbers: int) -> list[Fraction]:
    """Return whole minutes as times."""
    return [Fraction(number) for number in numbers]


def of_kind(table: Timetable, kind: ActKind) -> list[Act]:
    """Return the acts of one kind, in order of time."""
    return [act for act in table.acts if act.kind is kind]


# By eye


def test_the_next_length_is_cut_while_one_soaks() -> None:
    """Cut 3, paste 4, soak 8, hang 12, from 08:00.

    1: cut 08:00, pasted 08:03–08:07, hung 08:15–08:27. 2 is cut meanwhile, at 08:07. It cannot be pasted before
    08:27 − 8 − 4 = 08:15, when the hands hang 1, so it is pasted 08:27–08:31 and hung 08:39.
    """
    table = timetable(scenario(2), Pace(PastedOn.PAPER, Fraction(8)))
    assert [(clock(act.begin), act.kind.value, act.piece) for act in table.acts] == [
        ("08:00", "cut", "1"),
        ("08:03", "paste", "1"),
        ("08:07", "cut", "2"),
        ("08:15", "hang", "1"),
        ("08:27", "paste", "2"),
        ("08:39", "hang", "2"),
    ]


def test_several_wait_folded_where_the_soak_is_long() -> None:
    """Soaking 15 min and hung in 4, lengths 1, 2 and 3 are pasted from 08:03, 08:10, 08:17: before 1 hangs at 08:22."""
    table = timetable(scenario(3), Pace(PastedOn.PAPER, Fraction(15), to_hang=Fraction(4)))
    assert [clock(act.begin) for act in of_kind(table, ActKind.PASTE)] == ["08:03", "08:10", "08:17"]
    assert [clock(act.begin) for act in of_kind(table, ActKind.HANG)] == ["08:22", "08:29", "08:36"]


def test_no_more_wait_than_may() -> None:
    """The same with one folded length at most: 2 is pasted from 08:18, so that it waits from 08:22, when 1 hangs."""
    pace = Pace(PastedOn.PAPER, Fraction(15), folded=1, to_hang=Fraction(4))
    assert [clock(act.begin) for act in of_kind(timetable(scenario(2), pace), ActKind.PASTE)] == ["08:03", "08:18"]


def test_a_pasted_wall_needs_no_soak() -> None:
    """Each length hangs as soon as the wall is pasted for it."""
    table = timetable(scenario(2), Pace(PastedOn.WALL, Fraction(0)))
    pasted, hung = of_kind(table, ActKind.PASTE), of_kind(table, ActKind.HANG)
    assert [act.begin for act in hung] == [act.end for act in pasted]


def test_small_lengths_take_less_time() -> None:
    """A piece of 400 mm is less than half of 2400 mm: 6 minutes instead of 12."""
    hung = of_kind(timetable(scenario(1, small=1), Pace(PastedOn.PAPER, Fraction(5))), ActKind.HANG)
    assert [act.end - act.begin for act in hung] == minutes(12, 6)


def test_three_lengths_hung_are_looked_over() -> None:
    """After the third length the work is inspected, before a fourth is hung (BFS-Merkblatt 7)."""
    table = timetable(scenario(4), Pace(PastedOn.PAPER, Fraction(8)))
    (inspect,) = of_kind(table, ActKind.INSPECT)
    hung = of_kind(table, ActKind.HANG)
    assert hung[2].end == inspect.begin <= hung[3].begin


def test_work_stops_in_time_and_goes_on_next_morning() -> None:
    """From pasting, a length takes 4 + 8 + 12 = 24 minutes: the last that is done by 09:00 is pasted by 08:36."""
    pace = Pace(PastedOn.PAPER, Fraction(8), stop=Fraction(9 * 60))
    pasted = of_kind(timetable(scenario(4), pace), ActKind.PASTE)
    assert [(int(act.begin // DAY), clock(act.begin)) for act in pasted] == [
        (0, "08:03"),
        (0, "08:27"),
        (1, "08:00"),
        (1, "08:24"),
    ]


def test_a_whole_wall_is_cut_before_any_of_it_is_pasted() -> None:
    """Wall by wall, all drops of a wall are cut before the first of them is pasted."""
    table = timetable(scenario(6), Pace(PastedOn.PAPER, Fraction(8)), Follow.WALLS)
    first = {piece: place for place, act in enumerate(table.acts) for piece in [act.piece] if act.kind is ActKind.PASTE}
    cut = {act.piece: place for place, act in enumerate(table.acts) if act.kind is ActKind.CUT}
    assert max(cut[piece] for piece in "123") < first["1"]
    assert max(cut[piece] for piece in "456") < first["4"]


def test_a_contract_has_no_timetable() -> None:
    """A job of more pieces than are ordered singly has no timetable."""
    text = WALL + f'[[drop]]\nlabel = "a"\nheight = 2400\nfirst_motif = 95\ncount = {MOST_PIECES + 1}\n'
    assert timetable_of(sequence(parse_scenario(text, "test")), Pace(PastedOn.PAPER, Fraction(8))) is None


# What holds of every timetable

PACES = st.builds(
    Pace,
    pasted=st.just(PastedOn.PAPER),
    soak=st.integers(0, 30).map(Fraction),
    folded=st.integers(1, 4),
    to_cut=st.integers(1, 6).map(Fraction),
    to_paste=st.integers(1, 8).map(Fraction),
    to_hang=st.integers(2, 30).map(lambda half: Fraction(half, 2)),
    to_hang_small=st.integers(1, 8).map(Fraction),
    begin=st.integers(6 * 60, 10 * 60).map(Fraction),
    stop=st.sampled_from([None, Fraction(12 * 60), Fraction(17 * 60)]),
    has_mate=st.booleans(),
)


@settings(max_examples=40)
@given(pace=PACES, drops=st.integers(1, 9), small=st.integers(0, 4), follow=st.sampled_from(list(Follow)))
def test_every_length_soaks_equally(pace: Pace, drops: int, small: int, follow: Follow) -> None:
    """Exactly the soak lies between pasting and hanging; order, hands, folded lengths and hours are kept."""
    read = scenario(drops, small=small)
    table = timetable(read, pace, follow)
    pasted, hung, cut = (of_kind(table, kind) for kind in (ActKind.PASTE, ActKind.HANG, ActKind.CUT))
    labels = [drop.label for drop in read.job.drops]
    assert [act.piece for act in hung] == [act.piece for act in pasted] == labels
    assert Counter(act.piece for act in cut) == Counter(labels)
    for paste, hang in zip(pasted, hung, strict=True):
        assert hang.begin - paste.end == pace.soak
        assert next(act for act in cut if act.piece == paste.piece).end <= paste.begin
        waiting = sum(other.end <= paste.end < act.begin for other, act in zip(pasted, hung, strict=True))
        assert waiting <= pace.folded
        assert paste.begin // DAY == (hang.end - 1) // DAY
    at_work = [act for act in table.acts if act.kind is not ActKind.INSPECT]
    whose = [at_work]
    if pace.has_mate:
        whose = [[act for act in at_work if (act.kind is ActKind.HANG) is hangs] for hangs in (False, True)]
    assert all(one.end <= other.begin for acts in whose for one, other in pairwise(acts))
    for act in at_work:
        assert act.begin % DAY >= pace.begin
        assert act.end - act.begin // DAY * DAY <= (pace.stop or DAY)


@given(drops=st.integers(1, 9), follow=st.sampled_from(list(Follow)))
def test_every_step_is_part_of_one_act(drops: int, follow: Follow) -> None:
    """The acts of cutting take up all steps of the sequence, each once, in order."""
    steps = sequence(scenario(drops), follow)
    table = timetable_of(steps, Pace(PastedOn.PAPER, Fraction(8)))
    assert table is not None
    parts = [act.steps for act in table.acts if act.steps is not None]
    assert [number for first, last in parts for number in range(first, last + 1)] == [
        step.number for step in steps.steps
    ]


# The hands


def test_a_mate_lets_one_hang_without_a_break() -> None:
    """Cut 3, pasted 4, soaked 8: the first hangs at 08:15; from then on 12 minutes each hold 3 + 4 of the mate's."""
    table = timetable(scenario(5), Pace(PastedOn.PAPER, Fraction(8), has_mate=True))
    hung = of_kind(table, ActKind.HANG)

    assert [clock(act.begin) for act in hung] == ["08:15", "08:27", "08:39", "08:51", "09:03"]
    assert table.idle == least_idle_of(table).minutes == Fraction(15)


def test_cuts_made_ahead_fill_what_would_be_idle() -> None:
    """Of 4 lengths of 14 min and 2 of 8: every table has 20 idle minutes or more, found by trying everything."""
    pace = Pace(PastedOn.PAPER, Fraction(8), to_hang=Fraction(14), to_hang_small=Fraction(8))
    table = timetable(scenario(4, small=2), pace)

    assert table.idle == least_idle_of(table).minutes == least_idle([14, 14, 14, 14, 8, 8], pace)


@pytest.mark.parametrize("has_mate", [False, True])
@pytest.mark.parametrize(("soak", "hang"), [(0, 5), (4, 3), (5, 9), (9, 4)])
def test_no_table_has_less_idle_time_than_is_said_to_be_the_least(soak: int, hang: int, *, has_mate: bool) -> None:
    """Three lengths, the last a short one, tried minute by minute without leaving anything out."""
    pace = Pace(
        PastedOn.PAPER, Fraction(soak), 2, Fraction(2), Fraction(3), Fraction(hang), Fraction(2), has_mate=has_mate
    )
    table = timetable(scenario(2, small=1), pace)

    assert least_idle_of(table).minutes == least_idle([hang, hang, 2], pace) <= table.idle


def test_a_clock_that_has_ended_leaves_the_timetable_whole_and_says_that_it_is_not_proved() -> None:
    """Stopped before its first step the search leaves the bound of a few sums, and one that had time the proof."""
    read = scenario(4, small=2, pace='[pace]\npasted = "paper"\nsoak = 8\nminutes_full = 14\nminutes_small = 8\n')
    steps, pace = sequence(read), read.pace
    assert pace is not None
    table = timetable(read, pace)
    stopped, proved = least_idle_of(table, Clock(0).is_over), least_idle_of(table, Clock(600).is_over)

    assert stopped.minutes < proved.minutes == table.idle
    assert (stopped.was_stopped, proved.was_stopped) == (True, False)

    page, whole = (
        plan_page(steps, read.notes, read.units, None, pace, is_over=clock.is_over) for clock in (Clock(0), Clock(600))
    )
    assert "Not proved, for the search was\nstopped; no table that keeps every soak has less than" in page
    assert page[page.index("  08:00") :] == whole[whole.index("  08:00") :]
    assert whole == plan_page(steps, read.notes, read.units, None, pace)


def test_a_search_is_stopped_within_one_step_of_its_clock() -> None:
    """A clock that ends at the sixth look is looked at once more, to tell that it was what stopped the search."""
    pace = Pace(PastedOn.PAPER, Fraction(8), to_hang=Fraction(14), to_hang_small=Fraction(8))
    looks = iter([*([False] * 5), True, True])

    assert least_idle_of(timetable(scenario(4, small=2), pace), lambda: next(looks)).was_stopped
    assert not list(looks)


def test_a_mate_may_cut_the_day_before() -> None:
    """To cut takes 900 of the 960 minutes till midnight: the first is pasted the next day, with 64 min of idling."""
    pace = Pace(PastedOn.PAPER, Fraction(60), to_cut=Fraction(900), has_mate=True)
    table = timetable(scenario(1), pace)

    assert table.idle == least_idle_of(table).minutes == Fraction(64)


# The scenario


def read_pace(lines: str) -> Pace:
    """Return the pace that a scenario of one drop states."""
    pace = scenario(1, f"[pace]\n{lines}\n").pace
    assert pace is not None
    return pace


def test_a_pace_is_read_with_its_usual_values() -> None:
    """Three folded lengths may wait, and work begins at 08:00, where nothing else is said."""
    pace = read_pace('pasted = "paper"\nsoak = 7.5')
    assert pace == Pace(PastedOn.PAPER, Fraction(15, 2))
    assert (pace.folded, clock(pace.begin)) == (3, "08:00")


def test_every_figure_of_a_pace_is_read() -> None:
    """Minutes as numbers, times of day in quotes."""
    lines = 'pasted = "paper"\nsoak = 8\nfolded = 4\nminutes_cut = 2\nminutes_paste = 5\nminutes_full = 15\n'
    pace = read_pace(lines + 'minutes_small = 7\nbegin = "7:30"\nstop = "16:45"\nmate = true')
    cut, paste, full, small, begin, stop = minutes(2, 5, 15, 7, 7 * 60 + 30, 16 * 60 + 45)
    assert pace == Pace(PastedOn.PAPER, Fraction(8), 4, cut, paste, full, small, begin, stop, has_mate=True)


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        ('pasted = "paper"', "pace.soak: is missing; add for example soak = 8, in minutes, as the roll's label says"),
        ('pasted = "table"\nsoak = 8', 'pace.pasted: must be "paper" or "wall", not "table"'),
        (
            'pasted = "wall"\nsoak = 8',
            "pace.soak: paper for a pasted wall needs no soak; leave soak out, or mend pasted",
        ),
        (
            'pasted = "wall"\nfolded = 2',
            "pace.folded: paper for a pasted wall is not folded; leave folded out, or mend pasted",
        ),
        (
            'pasted = "paper"\nsoak = "8 min"',
            'pace.soak: must be a number of minutes, 0 or more and no more than a day, not "8 min"; write soak = 8',
        ),
        (
            'pasted = "paper"\nsoak = 8\nminutes_full = 0',
            (
                "pace.minutes_full: must be a number of minutes, more than 0 and no more than a day, "
                "not 0; write minutes_full = 8"
            ),
        ),
        (
            'pasted = "paper"\nsoak = 8\nbegin = 08:00:00',
            (
                "pace.begin: must be a time of day in quotes, not the date or time 08:00:00; "
                'write for example begin = "08:00"'
            ),
        ),
        (
            'pasted = "paper"\nsoak = 8\nbegin = "24:00"',
            'pace.begin: must be a time of day in quotes, not "24:00"; write for example begin = "08:00"',
        ),
        (
            'pasted = "paper"\nsoak = 8\nbegin = "16:50"\nstop = "17:00"',
            (
                "pace.stop: leaves no time for a length on any day: one length takes 24 min from pasting to trimming; "
                "begin earlier, or stop later"
            ),
        ),
        ('pasted = "paper"\nsoak = 8\nfoldet = 2', "pace.foldet: unknown key; did you mean folded?"),
    ],
)
def test_a_fault_of_the_pace_is_told_with_its_remedy(lines: str, fault: str) -> None:
    """Each fault is one line with its place, and nothing is planned."""
    with pytest.raises(ScenarioError) as raised:
        scenario(1, f"[pace]\n{lines}\n")
    (line, _) = raised.value.lines()
    assert line.split(": ", 1)[1] == fault


def test_the_order_of_cutting_is_read() -> None:
    """``[cutting]`` says what to follow and how many rolls may be open."""
    habit = scenario(2, '[cutting]\norder = "walls"\nopen_rolls = 3\n').cutting
    assert (habit.follow, habit.open_rolls) == (Follow.WALLS, 3)


def test_walls_must_be_known_to_be_followed() -> None:
    """Wall by wall, a drop whose wall nobody has told is a fault."""
    text = WALL + '[cutting]\norder = "walls"\n[[drop]]\nlabel = "1"\nheight = 2400\nfirst_motif = 95\n'
    with pytest.raises(ScenarioError) as raised:
        parse_scenario(text, "test")
    assert raised.value.lines()[0] == (
        "test:6:1: cutting: cutting wall by wall needs the wall of every drop, and drop 1 has none; "
        'write wall = "…" in each [[drop]]'
    )


def test_only_a_free_match_is_reversed() -> None:
    """A print that must match cannot be turned end for end."""
    with pytest.raises(ScenarioError) as raised:
        parse_scenario(WALL + 'reverse = true\n[[drop]]\nlabel = "1"\nheight = 2400\nfirst_motif = 95\n', "test")
    assert raised.value.lines()[0] == (
        "test:6:1: paper.reverse: a print that must match cannot be turned end for end; "
        "leave reverse out, or mend match"
    )


# What is printed


def test_page_of_a_pasted_paper() -> None:
    """The timetable names the steps of each cut, and says when the three lengths are looked over."""
    read = scenario(3, '[pace]\npasted = "paper"\nsoak = 8\n')
    page = plan_page(sequence(read), read.notes, read.units, None, read.pace)
    assert page[page.index("Timetable") : page.index("\nKeep")] == (
        """\
Timetable
=========

Every length soaks exactly 8 min, so that all grow alike and the joints stay
closed; no more than 3 wait pasted and folded. Should you fall behind, paste
later.
Minutes counted for each: 3 to cut it, 4 to paste and fold it, 12 to hang and
trim it (6 where it is less than half the longest).
Idle for 18 min in all, while lengths soak. Proved: no table that keeps every
soak has less.

  08:00  Cut 1 (steps 1 to 3).
  08:03  Paste and fold 1.
  08:07  Cut 2 (steps 4 to 6).
  08:15  Hang and trim 1.
  08:27  Paste and fold 2.
  08:31  Cut 3 (steps 7 to 8).
  08:39  Hang and trim 2.
  08:51  Paste and fold 3.
  09:03  Hang and trim 3.
  09:15  Three lengths hang: step back and look them over before going on.
  09:15  Done.
"""
    )


def test_page_of_a_pasted_wall_says_that_nothing_soaks() -> None:
    """A paper for a pasted wall needs no soak, and the page says so."""
    read = scenario(1, '[pace]\npasted = "wall"\n')
    page = plan_page(sequence(read), read.notes, read.units, None, read.pace)
    assert (
        "The wall is pasted, not the paper: no length soaks or waits, each is hung as\nsoon as its wall is.\n" in page
    )
    assert "  08:03  Paste the wall for 1.\n  08:07  Hang and trim 1.\n" in page


def test_every_second_length_is_turned_where_the_label_says_reverse() -> None:
    """Its arrow points down, and its step says so; its neighbours' arrows point up."""
    text = WALL.replace("64/32 cm", "free") + "reverse = true\n"
    text += "".join(f'[[drop]]\nlabel = "{number}"\nheight = 2400\n' for number in (1, 2, 3))
    read = parse_scenario(text, "test")
    page = plan_page(sequence(read))
    assert 'Cut drop 1: 2500 mm. Write "1 ↑" on its back.' in page
    assert 'Cut drop 2: 2500 mm. Write "2 ↓" on its back: it hangs turned end for end.' in page
    assert 'Cut drop 3: 2500 mm. Write "3 ↑" on its back.' in page
    assert "The label says to reverse: turn every second length end for end." in page


def test_the_document_holds_order_and_timetable() -> None:
    """Figures with their bounds, pieces in the order of cutting, and acts with day, time and minutes."""
    read = scenario(2, '[pace]\npasted = "paper"\nsoak = 8\n')
    document = document_of(sequence(read), read)
    assert document["order"] == {
        "follow": "follow",
        "open_rolls": 2,
        "most_waiting": 0,
        "most_waiting_lower_bound": 0,
        "furthest_ahead": 0,
        "furthest_ahead_lower_bound": 0,
        "status": "optimal",
        "cuts": ["1", "2"],
    }
    acts = document["timetable"]
    assert isinstance(acts, list)
    eight, later = ({"day": 1, "at": at, "begin": begin} for at, begin in (("08:00", "480"), ("08:39", "519")))
    assert acts[0] == {"act": "cut", "piece": "1", **eight, "minutes": 3, "steps": [1, 3]}
    assert acts[-1] == {"act": "hang", "piece": "2", **later, "minutes": 12}


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ([], "Cut as you hang, with no more than 2 rolls open: each drop can be hung as soon"),
        (["--open-rolls", "1"], "Cut as you hang, with no more than 1 roll open: each drop can be hung as soon"),
        (["--order", "walls"], "Cut wall by wall, with no more than 2 rolls open: no drop is cut before its"),
        (["--order", "once"], "All drops are cut at once, one roll after another."),
    ],
)
def test_the_command_line_chooses_the_order(options: list[str], sentence: str, tmp_path: Path) -> None:
    """--order and --open-rolls go before what [cutting] says."""
    path = tmp_path / "room.toml"
    drops = "".join(
        f'[[drop]]\nlabel = "{number}"\nheight = 2400\nfirst_motif = {motif}\nwall = "a"\n'
        for number, motif in ((1, 95), (2, 415))
    )
    path.write_text(WALL + "[cutting]\nopen_rolls = 2\n" + drops, encoding="utf-8")
    result = CliRunner().invoke(app, ["plan", str(path), *options])
    assert result.exit_code == 0
    assert sentence in result.output


def test_unknown_walls_are_told_by_the_command_line(tmp_path: Path) -> None:
    """--order walls without walls is wrong usage, with the remedy."""
    path = tmp_path / "room.toml"
    path.write_text(WALL + '[[drop]]\nlabel = "1"\nheight = 2400\nfirst_motif = 95\ncount = 2\n', encoding="utf-8")
    result = CliRunner().invoke(app, ["plan", str(path), "--order", "walls"])
    assert result.exit_code == 2
    assert result.stderr == (
        "cutplan: cutting wall by wall needs the wall of every drop, and drop 1 has none; "
        'write wall = "…" in each [[drop]]\n'
    )


def test_a_plan_with_order_and_timetable_passes_the_check(tmp_path: Path) -> None:
    """The judge, which knows nothing of orders, finds the re-laid plan as good as before."""
    path = tmp_path / "room.toml"
    lines = '[pace]\npasted = "paper"\nsoak = 8\nbegin = "07:30"\n[cutting]\nopen_rolls = 1\n'
    drops = "".join(
        f'[[drop]]\nlabel = "{number}"\nheight = 2400\nfirst_motif = {95 + 320 * (number % 2)}\n'
        for number in range(1, 9)
    )
    path.write_text(WALL + lines + drops, encoding="utf-8")
    plan = tmp_path / "plan.json"
    assert CliRunner().invoke(app, ["plan", str(path), "--json", "-o", str(plan)]).exit_code == 0
    assert json.loads(plan.read_text(encoding="utf-8"))["order"]["open_rolls"] == 1
    checked = CliRunner().invoke(app, ["check", str(plan)])
    assert (checked.exit_code, checked.output.splitlines()[-1]) == (0, "the plan holds")


@pytest.mark.parametrize("mate", ["true", "false"])
def test_a_table_with_a_mate_passes_the_check_and_without_one_does_not(mate: str, tmp_path: Path) -> None:
    """Pasting 2 while 1 is hung takes two: one pair of hands is refused it."""
    path, plan = tmp_path / "room.toml", tmp_path / "plan.json"
    drops = "".join(
        f'[[drop]]\nlabel = "{number}"\nheight = 2400\nfirst_motif = {95 + 320 * (number % 2)}\n'
        for number in range(1, 5)
    )
    path.write_text(WALL + '[pace]\npasted = "paper"\nsoak = 8\nmate = true\n' + drops, encoding="utf-8")
    assert CliRunner().invoke(app, ["plan", str(path), "--json", "-o", str(plan)]).exit_code == 0
    plan.write_text(plan.read_text(encoding="utf-8").replace('"mate": true', f'"mate": {mate}'), encoding="utf-8")
    checked = CliRunner().invoke(app, ["check", str(plan)])

    assert (checked.exit_code == 0) is (mate == "true")
    assert (mate == "true") is not ("begins before" in checked.output), checked.output


def test_a_contract_says_that_its_order_is_left_as_it_comes(tmp_path: Path) -> None:
    """What was asked about the order of so many pieces is not passed over in silence."""
    path = tmp_path / "hotel.toml"
    text = WALL + f'[[drop]]\nlabel = "a"\nheight = 2400\nfirst_motif = 95\ncount = {MOST_PIECES + 1}\n'
    path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["plan", str(path), "--open-rolls", "1"])
    assert result.exit_code == 0
    assert result.stderr == (
        "cutplan: so many pieces are cut in layouts that repeat: their order is left as it comes, "
        "two rolls open at most\n"
    )
