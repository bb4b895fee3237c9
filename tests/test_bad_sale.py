"""What is wrong with a key that tells how a paper is sold, hung or shared is told at its own line, with the rule."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import pytest

from cutplan.contract.read_contract import read_contract
from cutplan.faults import ScenarioError
from cutplan.scenario.read import parse_scenario

if TYPE_CHECKING:
    from pathlib import Path

    from cutplan.faults import Fault

WRONG: Final = ("true", '"many"', "-1", "[]", "{ a = 1 }", "1e40", "1979-05-27", '""', "nan")
"""Of another type, or out of every range."""

PAPER: Final = 'units = "mm"\n[paper]\nroll_length = 10000\nroll_width = 530\nmatch = "free"\nprice = 30\n'
ROLLS: Final = '[[roll]]\nlabel = "A"\n[[offcut]]\nlabel = "kept"\nlength = 900\n'
DROPS: Final = '[[drop]]\nlabel = "1"\nheight = 2400\n'
SHEETS: Final = 'units = "mm"\n[paper]\nroll_length = 3000\nroll_width = 500\n[sheets]\ncount = 3\n'
WALL: Final = '[[wall]]\nname = "north"\nwidth = 1400\nheight = 2400\n'
START: Final = '[start]\nat = 0\nputs = "joint"\nmotif_drop = 0\n'

KEYS: Final[dict[str, tuple[str, str]]] = {
    # The key, and the scenario before and after its line.
    **{
        f"paper.{key}": (PAPER + more, DROPS)
        for key, more in (
            ("packet", 'price_per = "packet"\n'),
            ("singles", 'price_per = "single"\n'),
            ("price_per", "packet = 2\n"),
            ("sold_by", 'price_per = "m"\n'),
            ("order_least", 'price_per = "m"\nsold_by = "m"\n'),
            ("order_step", 'price_per = "m"\nsold_by = "m"\n'),
            ("across", 'price_per = "m"\nsold_by = "m"\n'),
            ("selvedge", ""),
            ("selvedge_left", ""),
            ("selvedge_right", ""),
            ("overlap", ""),
            ("reverse", ""),
        )
    },
    "sheets.count": (SHEETS.replace("count = 3\n", ""), WALL + START.replace("motif_drop = 0", "motif_at = 1400")),
    "sheets.first": (SHEETS, WALL + START),
    "sheets.first_motif": (SHEETS, WALL + START),
    "equal_strips.edge_trim": (PAPER + "[equal_strips]\n", WALL),
    'roll["A"].sheet': (SHEETS + '[[roll]]\nlabel = "A"\n', WALL + START),
    'offcut["kept"].sheet': (SHEETS + '[[offcut]]\nlabel = "kept"\nlength = 900\nfirst_motif = 0\n', WALL + START),
    'drop["1"].sheet': (SHEETS + DROPS + "first_motif = 0\n", ""),
    'drop["1"].turned': (PAPER.replace('"free"', '"reverse"') + DROPS, ""),
    "start.motif_at": (PAPER.replace('"free"', '"64 cm"') + WALL + START.replace("motif_drop = 0\n", ""), ""),
    "cutting.first_walls": (PAPER + WALL + START + "[cutting]\n", ""),
}
MEANT: Final = {
    ("paper.reverse", "true"),
    ('drop["1"].turned', "true"),
    ("cutting.first_walls", "[]"),
    *(('roll["A"].batch', value) for value in ('"many"', "-1")),
}
"""What is no fault."""

RULES: Final = re.compile(r"must be |cannot be |cannot read |is not a length|cannot lie ")

CONTRACT: Final = """\
[contract]
{}
[[rooms]]
name = "bedroom"
file = "room.toml"
{}
[[roll]]
label = "A"
{}
"""
IN_A_CONTRACT: Final = {
    "contract.spare": 0, "contract.ways": 0, "contract.one_batch_to": 0,
    'rooms["bedroom"].count': 1, 'rooms["bedroom"].mirrored': 1,
    'roll["A"].count': 2, 'roll["A"].batch': 2,
}  # fmt: skip


def faults_of(text: str) -> tuple[Fault, ...]:
    """Return what is wrong with a scenario; none where nothing is."""
    try:
        parse_scenario(text, "room.toml")
    except ScenarioError as error:
        return error.faults
    return ()


def line_of(key: str, value: str) -> str:
    """Return the line that gives the last key of a path a value."""
    return f"{key.rpartition('.')[2]} = {value}\n"


@pytest.mark.parametrize("key", KEYS)
def test_wrong_value_is_told_at_its_key_and_line_with_the_rule(key: str) -> None:
    """Each key with each wrong value: that key is at fault, on its line, and the fault says what it must be."""
    before, after = KEYS[key]
    line = before.count("\n") + 1
    for value in WRONG:
        found = [fault for fault in faults_of(before + line_of(key, value) + after) if fault.where == key]
        if (key, value) in MEANT:
            assert found == []
            continue
        assert [fault.line for fault in found] == [line]
        assert RULES.search(found[0].what)


@pytest.mark.parametrize("key", IN_A_CONTRACT)
def test_wrong_value_in_a_contract_is_told_at_its_key_and_line(tmp_path: Path, key: str) -> None:
    """Its own keys, those of a kind of rooms, and those of its rolls."""
    (tmp_path / "room.toml").write_text(PAPER + DROPS + 'wall = "north"\n')
    place = IN_A_CONTRACT[key]
    for value in WRONG:
        if (key, value) in MEANT:
            continue
        lines = ["", "", ""]
        lines[place] = line_of(key, value).rstrip()
        text = CONTRACT.format(*lines)
        (tmp_path / "contract.toml").write_text(text)
        with pytest.raises(ScenarioError) as caught:
            read_contract(str(tmp_path / "contract.toml"))
        at = text.splitlines().index(lines[place]) + 1
        assert (key, at) in [(fault.where, fault.line) for fault in caught.value.faults]


def test_all_faults_of_a_sale_are_told_at_once() -> None:
    """Nine keys of one paper, each wrong, and two that contradict one another: each at its own line."""
    wrong = ["packet", "singles", "order_least", "order_step", "selvedge", "overlap", "reverse", "price_per", "across"]
    text = PAPER + "".join(line_of(f"paper.{key}", "[]") for key in wrong) + 'sold_by = "m"\n' + DROPS
    told = {fault.where: fault.line for fault in faults_of(text)}

    assert {f"paper.{key}": PAPER.count("\n") + 1 + number for number, key in enumerate(wrong)}.items() <= told.items()


@pytest.mark.parametrize(
    ("text", "where", "said"),
    [
        (PAPER.replace('"free"', '"64 cm"') + "reverse = true\n" + DROPS, "paper.reverse", "cannot be turned end for"),
        (PAPER + 'sold_by = "m"\nprice_per = "m"\nsingles = 2\n' + DROPS, "paper.singles", "keep one of the two"),
        (PAPER + "across = 2\n" + DROPS, "paper.across", 'add sold_by = "m" or "yd", or leave it out'),
        (PAPER + 'price_per = "single"\n' + DROPS, "paper.price_per", "add as how many singles one roll counts"),
        (PAPER + "overlap = 20\n[equal_strips]\nedge_trim = 0\n" + WALL, "paper.overlap", "leave it out, and count"),
        (PAPER + "[equal_strips]\nedge_trim = 0\n" + WALL + START, "start", "leave it out"),
        (SHEETS + "first = 4\n" + WALL + START, "sheets.first", "give the number of the leftmost sheet"),
        (PAPER + DROPS + "sheet = 1\n", 'drop["1"].sheet', "leave it out, or describe the set in [sheets]"),
        (PAPER + DROPS + "turned = true\n", 'drop["1"].turned', "leave it out, or mend match"),
        (PAPER + WALL + START + "motif_at = 1600\n", "start.motif_at", "leave motif_at out"),
    ],
)
def test_contradiction_is_told_at_the_key_to_mend(text: str, where: str, said: str) -> None:
    """Two keys that cannot both be true: one of them is named, with what to do."""
    (fault,) = [fault for fault in faults_of(text) if fault.where == where]
    assert said in fault.what
    assert fault.line is not None
