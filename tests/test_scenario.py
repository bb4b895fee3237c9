from __future__ import annotations

import io
import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutplan.faults import ScenarioError
from cutplan.job.drops import Drop
from cutplan.lengths import exact_mm, read_length
from cutplan.paper.pattern import FREE, Pattern
from cutplan.paper.stock import Lot, Paper
from cutplan.parts.read_parts import read_scenario
from cutplan.scenario.read import parse_scenario
from strategies import jobs

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.job.job import Job

FOLDER = Path(__file__).parent.parent / "scenarios"
DROP_LISTS = {
    "feature-wall": 8,
    "hotel-bedrooms": 150 * 27,
    "measured-rolls": 9,
    "sloping-ceiling": 33,
    "third-drop-room": 30 - 1 - 2 + 1 + 2 * 2,  # columns, less door and window, and what is over and under
}
"""How many pieces each scenario with a plain list of drops wants."""

PAPER = """\
units = "mm"
[paper]
roll_length = "10.05 m"
match = "64/32 cm"
"""
DROP = """\
[[drop]]
label = "1"
height = 2400
first_motif = 95
"""
FREE_PAPER = PAPER.replace("64/32 cm", "free")


def faults_of(text: str) -> list[str]:
    """Return the message of the error that ``text`` raises when read as ``job.toml``, line by line."""
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text, "job.toml")
    return str(caught.value).splitlines()


def one_fault(text: str) -> str:
    """Return the one fault of ``text``, from its line on."""
    *faults, count = faults_of(text)

    assert count == "1 fault in job.toml; nothing was planned"
    assert len(faults) == 1
    return faults[0].removeprefix("job.toml:")


# What is read.


def test_a_scenario_becomes_a_job_with_every_value_in_its_place() -> None:
    """All keys of the format, each with a value of its own."""
    scenario = parse_scenario(
        """\
units = "cm"
[paper]
name = "Invented"
roll_length = "10.05 m"
roll_width = 53
match = "64/32"
price = 84.50
[trim]
top = 4
bottom = 6.5
[[roll]]
label = "A"
length = 630
first_motif = 13
batch = 2207
[[roll]]
label = "B"
count = 6
batch = "2191-x"
price = 80
[[drop]]
label = "1"
height = 240
first_motif = 9.5
[[drop]]
label = 2
height = "8 ft 2 1/2 in"
first_motif = 0
count = 3
""",
        "job.toml",
    )

    half_drop = Pattern(Fraction(640), Fraction(320))
    assert scenario.job.paper == Paper(
        "Invented", half_drop, Fraction(10050), roll_width=Fraction(530), price=Fraction(169, 2)
    )
    assert scenario.job.lots == (
        Lot("A", Fraction(6300), Fraction(130), 1, "2207", Fraction(169, 2)),  # the paper's price
        Lot("B", Fraction(10050), None, 6, "2191-x", Fraction(80)),  # the paper's length; sealed
    )
    assert scenario.job.drops == (
        Drop("1", Fraction(2400), Fraction(95), Fraction(40), Fraction(65)),
        Drop("2", Fraction("2501.9"), Fraction(0), Fraction(40), Fraction(65), 3),
    )
    assert (scenario.units, scenario.notes, scenario.source) == ("cm", (), "job.toml")


def test_without_rolls_as_many_sealed_ones_as_needed_are_bought() -> None:
    """One lot called roll, of the paper's length and price, without limit."""
    job = parse_scenario(PAPER + "price = 84\n" + DROP, "job.toml").job

    assert job.lots == (Lot("roll", Fraction(10050), None, None, None, Fraction(84)),)


def test_trim_is_50_mm_at_each_end_when_nothing_is_said() -> None:
    """Top and bottom may also be given one without the other, and may be nothing [practice]."""
    unsaid = parse_scenario(PAPER + DROP, "job.toml").job.drops[0]
    top_only = parse_scenario(PAPER + "[trim]\ntop = 0\n" + DROP, "job.toml").job.drops[0]

    assert [unsaid.trim_top, unsaid.trim_bottom] == [50, 50]
    assert [top_only.trim_top, top_only.trim_bottom] == [0, 50]


def test_a_free_match_needs_no_first_motif() -> None:
    """A drop without one has it at 0; a measured 0 is allowed, on a drop and on a roll."""
    text = FREE_PAPER + '[[roll]]\nlabel = "A"\nfirst_motif = 0\n' + DROP.replace("95", "0")
    job = parse_scenario(text + '[[drop]]\nlabel = "2"\nheight = 500\n', "job.toml").job

    assert job.paper.pattern == FREE
    assert [drop.first_motif for drop in job.drops] == [0, 0]


def test_without_units_lengths_that_carry_their_own_are_enough() -> None:
    """A scenario without bare lengths needs no units; people then read it in mm."""
    text = PAPER.replace('units = "mm"\n', "") + DROP.replace("2400", '"8 ft"').replace("95", '"3 3/4 in"')
    scenario = parse_scenario(text, "job.toml")

    assert scenario.units == "mm"
    assert scenario.job.drops[0].first_motif == Fraction(15, 4) * Fraction("25.4")


def test_lists_of_inline_tables_are_read_like_double_brackets() -> None:
    """TOML has two ways to write a list of tables."""
    text = 'units = "mm"\ndrop = [{ label = "1", height = 2400, first_motif = 95 }]\n' + PAPER[13:]

    assert parse_scenario(text, "job.toml").job.drops == parse_scenario(PAPER + DROP, "job.toml").job.drops


def written(job: Job) -> str:
    """Write a job as a scenario, every length in exact millimetres."""
    lines = [
        "[paper]",
        f'roll_length = "{exact_mm(job.paper.roll_length)} mm"',
        *match_of(job.paper.pattern),
        "[trim]",
        *(f'{end} = "{exact_mm(trim)} mm"' for end, trim in zip(
            ("top", "bottom"), (job.drops[0].trim_top, job.drops[0].trim_bottom), strict=True
        )),
    ]  # fmt: skip
    for lot in job.lots:
        lines += ["[[roll]]", f'label = "{lot.label}"', f'length = "{exact_mm(lot.length)} mm"']
        lines += [] if lot.first_motif is None else [f'first_motif = "{mixed(lot.first_motif)} mm"']
        lines += [] if lot.count is None else [f"count = {lot.count}"]
    for drop in job.drops:
        lines += ["[[drop]]", f'label = "{drop.label}"', f'height = "{exact_mm(drop.height)} mm"']
        lines += [f'first_motif = "{mixed(drop.first_motif)} mm"', f"count = {drop.count}"]
    return "\n".join(lines)


def match_of(pattern: Pattern) -> list[str]:
    """Write a match: the repeat in decimals, the offset as a part of it, up or down."""
    if pattern.is_free:
        return ['match = "free"']
    part = pattern.offset / pattern.repeat
    words = {Fraction(0): "0", Fraction(1, 2): "half", Fraction(1, 3): "third", Fraction(1, 4): "quarter"}
    repeat = Decimal(pattern.repeat.numerator) / pattern.repeat.denominator
    offset, direction = (words[part], "down") if part in words else (words[1 - part], "up")
    return [f'match = "{repeat} mm/{offset}"', f'offset_direction = "{direction}"']


def mixed(length: Fraction) -> str:
    """Write a length as a whole number and a proper fraction."""
    whole, rest = divmod(length, 1)
    return f"{whole} {rest}" if whole and rest else str(rest or whole)


@given(jobs())
def test_a_job_written_as_a_scenario_is_read_back_the_same(job: Job) -> None:
    """Nothing is rounded between file and job; a lot without limit has no way to be written and is one roll."""
    read = parse_scenario(written(job), "job.toml").job

    assert read.drops == job.drops
    assert read.paper.pattern == job.paper.pattern
    assert [(lot.label, lot.length, lot.first_motif) for lot in read.lots] == [
        (lot.label, lot.length, lot.first_motif) for lot in job.lots
    ]


# The echo.


def test_the_echo_keeps_keys_and_values_as_plain_json() -> None:
    """Numbers stay numbers and texts stay texts; a label or batch written as a number becomes its text."""
    text = PAPER + "[[roll]]\nlabel = 7\nbatch = 2207\ncount = 2\n" + DROP.replace("95", "95.50")
    document = parse_scenario(text, "job.toml").document

    assert document == {
        "units": "mm",
        "paper": {"roll_length": "10.05 m", "match": "64/32 cm"},
        "roll": [{"label": "7", "batch": "2207", "count": 2}],
        "drop": [{"label": "1", "height": 2400, "first_motif": 95.5}],
    }
    assert json.loads(json.dumps(document)) == document


def test_lengths_finer_than_a_millionth_of_a_millimetre_are_refused_with_the_remedy() -> None:
    """A height of 2400.12345678901234567 mm would take 10^17 steps a millimetre."""
    text = PAPER + DROP.replace("2400", "2400.12345678901234567")

    with pytest.raises(ScenarioError, match=r"2400\.12345678901234567 lies on no scale of 1000000 steps a millimetre"):
        parse_scenario(text, "job.toml")


@given(st.integers(1, 10**7), st.integers(2, 3), st.sampled_from(["mm", "in"]))
def test_every_echoed_length_reads_back_exactly(digits: int, places: int, units: str) -> None:
    """What a checker reads from the JSON, decimals as decimals, is the very length of the scenario."""
    height = f"{Decimal(digits).scaleb(-places):f}"
    text = PAPER.replace('"mm"', f'"{units}"') + DROP.replace("95", "9.5").replace("2400", height)
    scenario = parse_scenario(text, "job.toml")

    echo = json.loads(json.dumps(scenario.document), parse_float=Decimal)

    assert read_length(echo["drop"][0]["height"], echo["units"]) == scenario.job.drops[0].height


@pytest.mark.parametrize(("name", "count"), DROP_LISTS.items())
def test_every_list_of_drops_in_the_tree_is_read_and_its_echo_reads_the_same(name: str, count: int) -> None:
    """The five scenarios hold no fault and as many drops as they say; each length survives the JSON."""
    path = FOLDER / f"{name}.toml"
    scenario = read_scenario(path)
    echo = json.loads(json.dumps(scenario.document), parse_float=Decimal)

    assert scenario.job.drop_count == count
    assert scenario.source == str(path)
    heights = [read_length(drop["height"], scenario.units) for drop in echo["drop"]]
    assert heights == [drop.height for drop in scenario.job.drops]


# Notes.


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        (
            PAPER.replace("64/32", "32/64") + DROP,
            ("paper.match: '32/64 cm' read as repeat 640 mm, offset 320 mm: an offset is less than its repeat",),
        ),
        (
            PAPER + DROP.replace("2400", "2.4"),
            ('drop["1"].height: 2 mm is unusual for a height to be papered; 2.400 m?',),
        ),
        (
            PAPER + DROP.replace("2400", "24000"),
            ('drop["1"].height: 24000 mm is unusual for a height to be papered; is the unit right?',),
        ),
        (
            PAPER.replace("64/32 cm", "64/32") + DROP.replace("95", "9"),
            ('paper.match: read as a repeat of 64 mm; if the label means cm, write "64/32 cm"',),
        ),
        (PAPER + DROP.replace("2400", "300"), ()),
        (PAPER + DROP.replace("2400", "10000"), ()),
        (PAPER.replace("64/32 cm", "64/32 mm") + DROP.replace("95", "9"), ()),
    ],
)
def test_what_is_unusual_is_noted_and_read_all_the_same(text: str, notes: tuple[str, ...]) -> None:
    """A note says what was understood, so that a wrong unit is seen before paper is cut."""
    assert parse_scenario(text, "job.toml").notes == notes


# Faults, one by one.

LENGTH_EXAMPLES = 'write for example "2.4 m", "2400 mm" or "7 ft 10 1/2 in"'
MATCH_EXAMPLES = 'write it as the label prints it: "free", "64 cm", "64/0 cm", "64/32 cm" or "64 cm/third"'


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (PAPER + DROP + "counts = 1\n", '9:1: drop["1"].counts: unknown key; did you mean count?'),
        (PAPER + DROP + "xyz = 1\n", ('9:1: drop["1"].xyz: unknown key; keys allowed here: label, height, '
         "first_motif, count, wall, batch, turned, sheet, left, right, cut_outs, along, trim")),
        (PAPER + DROP.replace("height", "heigth"), '7:1: drop["1"].heigth: unknown key; did you mean height?'),
        (PAPER + DROP.replace("[drop]", "[drops]"), "5:1: drops: unknown key; did you mean drop?"),
        (PAPER.replace("roll_length", "rol_length") + DROP, ("3:1: paper.rol_length: unknown key; "
         "did you mean roll_length?")),
        (PAPER.replace("[paper]", "[papr]") + DROP, "2:1: papr: unknown key; did you mean paper?"),
        (PAPER.replace("units", "unit") + DROP, "1:1: unit: unknown key; did you mean units?"),
        (PAPER + DROP.replace("height = 2400\n", ""), ('5:1: drop["1"].height: is missing; '
         'add for example height = "2.4 m"')),
        (PAPER + DROP.replace("first_motif = 95\n", ""), ('5:1: drop["1"].first_motif: is missing; '
         'add for example first_motif = "50 mm"')),
        (PAPER + DROP.replace('label = "1"\n', ""), ('5:1: drop[1].label: is missing; '
         'add for example label = "1"')),
        (PAPER.replace('match = "64/32 cm"\n', "") + DROP, ("2:1: paper.match: is missing; "
         'add for example match = "64/32 cm", as the label prints it')),
        (PAPER.replace('roll_length = "10.05 m"\n', "") + DROP, ("2:1: paper.roll_length: is missing; "
         'add for example roll_length = "2.4 m"')),
        (PAPER[:13] + DROP, (" paper: is missing; add a [paper] table; "
         "its keys are name, roll_length, roll_width, match, offset_direction, price, "
         "motif_from_left, motif_width, motif_above, motif_below, wet_growth, foil, reverse, sideways, picture, "
         "packet, singles, price_per, across, sold_by, order_least, order_step, selvedge, selvedge_left, "
         "selvedge_right, overlap")),
        (PAPER, (" drop: is missing; list the pieces, each in a [[drop]] with label, height, first_motif, count, wall, "
         "or survey the room in [[wall]]")),
        ("drop = []\n" + PAPER, "1:1: drop: is an empty list; add a [[drop]] for each piece to be hung"),
        ("roll = []\n" + PAPER + DROP, ("1:1: roll: is an empty list; leave it out to count rolls as needed, "
         "or add a [[roll]]")),
        (PAPER + DROP.replace("[[drop]]", "[drop]"), ("5:1: drop: there may be several; "
         "write [[drop]] with double brackets")),
        (PAPER + DROP.replace("2400", "[2400]"), ('7:1: drop["1"].height: must be a length, not a list; '
         'write for example "2.4 m"')),
        (PAPER + DROP.replace("2400", "true"), ('7:1: drop["1"].height: must be a length, not true; '
         'write for example "2.4 m"')),
        (PAPER + DROP.replace("2400", "0"), ('7:1: drop["1"].height: must be more than 0, not 0; '
         "a length is measured forwards")),
        (PAPER + DROP.replace("2400", "-2400"), ('7:1: drop["1"].height: must be more than 0, not -2400; '
         "a length is measured forwards")),
        (PAPER + DROP.replace("2400", '"2,400"'), ("7:1: drop[\"1\"].height: '2,400' has a comma; "
         "if it parts thousands write '2400', if decimals a point")),
        (PAPER + DROP.replace("2400", "1" + "0" * 400), ('7:1: drop["1"].height: '
         f"so large a number cannot be a length; {LENGTH_EXAMPLES}")),
        (PAPER + DROP.replace("2400", "inf"), ('7:1: drop["1"].height: must be a length, not Infinity; '
         'write for example "2.4 m"')),
        (PAPER + DROP.replace("2400", "1e99999999999999999999"), ('7:1: drop["1"].height: must be a length, '
         'not Infinity; write for example "2.4 m"')),
        (PAPER + DROP.replace("2400", "2024-05-27"), ('7:1: drop["1"].height: must be a length, '
         'not the date or time 2024-05-27; write for example "2.4 m"')),
        (PAPER + DROP.replace("95", "640"), ('8:1: drop["1"].first_motif: must be less than the repeat of '
         "640 mm, not 640; the first motif is then at 0 mm")),
        (PAPER + DROP.replace("95", "-5"), ('8:1: drop["1"].first_motif: cannot be less than 0, not -5; '
         "a length is measured forwards")),
        (FREE_PAPER + DROP, ('8:1: drop["1"].first_motif: a free match has no motif to measure; '
         "leave first_motif out, or mend the match")),
        (PAPER + DROP + "count = 0\n", '9:1: drop["1"].count: must be 1 or more, not 0'),
        (PAPER + DROP + DROP, '10:1: drop["1"].label: "1" is used by an earlier entry too; give each its own'),
        (PAPER + DROP.replace('"1"', '"1 (a)"'), ('6:1: drop["1 (a)"].label: "1 (a)" has " (" in it, '
         "which plans use to count alike pieces")),
        (PAPER + DROP.replace('"1"', '""'), ('6:1: drop[""].label: is empty; '
         "write what is printed or written there, or leave label out")),
        (PAPER + '[[roll]]\nlabel = "A"\nfirst_motif = 640\n' + DROP, ('7:1: roll["A"].first_motif: must be '
         "less than the repeat of 640 mm, not 640; the first motif is then at 0 mm")),
        (FREE_PAPER + '[[roll]]\nlabel = "A"\nfirst_motif = 64\n' + DROP.replace("95", "0"),
         ('7:1: roll["A"].first_motif: a free match has no motif to measure; '
         "leave first_motif out, or mend the match")),
        (PAPER + '[[roll]]\nlabel = "A"\ncount = 1.0\n' + DROP, ('7:1: roll["A"].count: must be a whole '
         "number, not 1.0; write for example count = 6")),
        (PAPER + '[[roll]]\nlabel = "A"\n[[roll]]\nlabel = "A"\n' + DROP, ('8:1: roll["A"].label: "A" is used '
         "by an earlier entry too; give each its own")),
        (PAPER + '[[roll]]\nlabel = "A"\ncount = 3\n[[roll]]\nlabel = "A-2"\n' + DROP, ('9:1: roll["A-2"].label: '
         '"A-2" is also number 2 of the 3 rolls "A"; call it something else')),
        (PAPER + '[[roll]]\nlabel = "A"\nprice = 1\n[[roll]]\nlabel = "B"\n' + DROP, ('8:1: roll["B"].price: '
         'is missing, and roll["A"] has one; price every roll or none, or put one price for all under [paper]')),
        (PAPER + 'price = "84 EUR"\n' + DROP, ('5:1: paper.price: must be a number, not "84 EUR"; '
         "write it without currency: price = 84.00")),
        (PAPER + DROP.replace("[[drop]]", "[trim]\ntop = -1\n[[drop]]"), ("6:1: trim.top: cannot be less than "
         "0, not -1; a length is measured forwards")),
        (PAPER + "wet_growth = 1e-999999999\n" + DROP, ("5:1: paper.wet_growth: has more than 4 decimal places: "
         "1E-999999999; round it")),
        (PAPER.replace('"mm"', '"km"') + DROP, "1:1: units: unknown unit 'km'; use mm, cm, m, in, ft or yd"),
        (PAPER.replace("64/32", "64/21") + DROP, ("4:1: paper.match: an offset of 210 mm in a repeat of 640 mm "
         'needs offset_direction: "down" if the print of the strip to the right sits lower, '
         '"up" if it sits higher; look at the roll')),
        (PAPER.replace("64/32", "64/21") + 'offset_direction = "left"\n' + DROP, ("5:1: paper.offset_direction: "
         'must be "down" or "up", not "left"')),
        (PAPER.replace("64/32", "64/64") + DROP, ("4:1: paper.match: '64/64 cm': the offset equals the repeat; "
         'for a straight match write the repeat alone, such as "64 cm"')),
        (PAPER.replace('"64/32 cm"', "[64, 32]") + DROP, ("4:1: paper.match: must be the match as the label "
         'prints it, not a list; write for example match = "64/32 cm"')),
        (PAPER.replace("64/32 cm", "") + DROP, f"4:1: paper.match: cannot read '' as a match; {MATCH_EXAMPLES}"),
    ],
    ids=str,
)  # fmt: skip
def test_a_fault_is_reported_once_with_its_line_its_key_and_its_remedy(text: str, fault: str) -> None:
    """Each broken rule gives one message, at its line and column, and draws no others after it."""
    assert one_fault(text) == fault


def test_a_bare_number_without_units_is_a_fault_for_each() -> None:
    """Nothing is guessed about the unit of a number."""
    remedy = 'or put units = "mm" at the top of the file'

    assert faults_of(PAPER.replace('units = "mm"\n', "") + DROP) == [
        f'job.toml:6:1: drop["1"].height: 2400 has no unit; write it with one ("2400 mm"), {remedy}',
        f'job.toml:7:1: drop["1"].first_motif: 95 has no unit; write it with one ("95 mm"), {remedy}',
        "2 faults in job.toml; nothing was planned",
    ]


def test_all_faults_are_reported_at_once_and_faults_of_one_key_hide_no_others() -> None:
    """The direction is missing, yet first motifs are judged by the repeat; every later entry is still read."""
    text = """\
[paper]
roll_length = "10,050"
match = "64/21.3 cm"
pric = 3
[[roll]]
label = "A"
first_motif = "65 cm"
[[drop]]
label = 1
height = "2.4 m"
first_motif = "70 cm"
[[drop]]
label = 1
count = -1
"""

    assert faults_of(text) == [
        (
            "job.toml:2:1: paper.roll_length: '10,050' has a comma; "
            "if it parts thousands write '10050', if decimals a point"
        ),
        (
            "job.toml:3:1: paper.match: an offset of 213 mm in a repeat of 640 mm needs offset_direction: "
            '"down" if the print of the strip to the right sits lower, "up" if it sits higher; look at the roll'
        ),
        "job.toml:4:1: paper.pric: unknown key; did you mean price?",
        (
            'job.toml:7:1: roll["A"].first_motif: must be less than the repeat of 640 mm, not "65 cm"; '
            "the first motif is then at 10 mm"
        ),
        (
            'job.toml:11:1: drop["1"].first_motif: must be less than the repeat of 640 mm, not "70 cm"; '
            "the first motif is then at 60 mm"
        ),
        'job.toml:12:1: drop["1"].height: is missing; add for example height = "2.4 m"',
        'job.toml:12:1: drop["1"].first_motif: is missing; add for example first_motif = "50 mm"',
        'job.toml:13:1: drop["1"].label: "1" is used by an earlier entry too; give each its own',
        'job.toml:14:1: drop["1"].count: must be 1 or more, not -1',
        "9 faults in job.toml; nothing was planned",
    ]


def test_a_lot_may_be_called_like_a_number_that_no_roll_of_several_has() -> None:
    """``A-4`` is free when there are three of A, and ``A-1`` when there is one."""
    three = PAPER + '[[roll]]\nlabel = "A"\ncount = 3\n[[roll]]\nlabel = "A-4"\n' + DROP
    one = PAPER + '[[roll]]\nlabel = "A"\n[[roll]]\nlabel = "A-1"\n' + DROP

    assert [lot.label for lot in parse_scenario(three, "job.toml").job.lots] == ["A", "A-4"]
    assert [lot.label for lot in parse_scenario(one, "job.toml").job.lots] == ["A", "A-1"]


# Text that is not TOML, bytes that are not text, files that are not there.


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("a = 1\nheight = 2,4", ("2:11: this is not TOML: expected newline or end of document after a statement; "
         "write decimals with a point: height = 2.4")),
        ("height = 2,400", ("1:11: this is not TOML: expected newline or end of document after a statement; "
         "'2,400' has a comma; if it parts thousands write '2400', if decimals a point")),
        ("height = 2.4 m", ("1:14: this is not TOML: expected newline or end of document after a statement; "
         'put text, and a length with its unit, in quotes: height = "2.4 m"')),
        ("name = Invented", ('1:8: this is not TOML: invalid value; '
         'put text, and a length with its unit, in quotes: name = "Invented"')),
        ("a = 1\na = 2", ("2:6: this is not TOML: cannot overwrite a value; "
         "the key is there already, and each may stand once in its table")),
        ("[roll]\n[roll]", ("2:6: this is not TOML: cannot declare [roll] twice; "
         "where there are several, give each double brackets, such as [[roll]]")),
        ("a = [1,\n", "1:8: this is not TOML: invalid value"),
        ("a = " + "9" * 5000, "1: a number has too many digits"),
        ("a = " + "[" * 5000 + "]" * 5000,
         "1: lists or tables stand too deep inside one another; a scenario needs three of them at most"),
    ],
    ids=range(9),
)  # fmt: skip
def test_what_is_not_toml_is_placed_and_mended(text: str, fault: str) -> None:
    """The commonest slips, a length without quotes or with a comma, are shown mended."""
    assert one_fault(text) == fault


def unreadable(read: Callable[[], object]) -> list[str]:
    """Return the lines of the error that ``read`` raises."""
    with pytest.raises(ScenarioError) as caught:
        read()
    return str(caught.value).splitlines()


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b'units = "mm"\n# M\xfcller\n', ":2:4: byte 0xfc at offset 16 is not UTF-8; save the file as UTF-8"),
        ("units = 1".encode("utf-16"), ": is UTF-16 text; save it as UTF-8"),
        (b" " * 20_000_001, ": is larger than 20 MB, so it is no scenario"),
        (b"\0", ":1:1: this is not TOML: invalid statement"),
    ],
    ids=["Latin-1", "UTF-16", "huge", "a zero byte"],
)
def test_bytes_that_are_not_utf_8_are_placed(tmp_path: Path, data: bytes, fault: str) -> None:
    """The line and column of the first wrong byte, and its offset from 0."""
    path = tmp_path / "job.toml"
    path.write_bytes(data)

    assert unreadable(lambda: read_scenario(path)) == [
        f"{path}{fault}",
        f"1 fault in {path}; nothing was planned",
    ]


def test_a_file_may_begin_with_a_byte_order_mark_and_end_lines_as_on_windows(tmp_path: Path) -> None:
    """Notepad writes both."""
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + (PAPER + DROP).replace("\n", "\r\n").encode())

    assert read_scenario(path).job == parse_scenario(PAPER + DROP, "job.toml").job


def test_a_file_that_is_not_there_or_is_a_folder_says_so(tmp_path: Path) -> None:
    """No traceback: what was asked for, and what to do."""
    absent = tmp_path / "absent.toml"

    assert unreadable(lambda: read_scenario(absent))[0] == f"{absent}: there is no such file; check the name"
    assert unreadable(lambda: read_scenario(tmp_path))[0] == (f"{tmp_path}: is a folder; give the scenario file in it")
    assert unreadable(lambda: read_scenario("a\0b"))[0] == "a\\x00b: cannot be read: embedded null byte"


def test_a_dash_reads_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    """Messages then speak of standard input."""
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO((PAPER + DROP).encode())))

    scenario = read_scenario("-")

    assert scenario.source == "standard input"
    assert scenario.job == parse_scenario(PAPER + DROP, "job.toml").job
