"""Rolls, offcuts and drops are written so that they read the same again, as JSON and as TOML."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from cutplan.job.drops import CutOut
from cutplan.scenario.read import Scenario, parse_scenario
from cutplan.scenario.write import drop_entry, offcut_entry, plain, roll_entry, toml_entry
from special_scenarios import special_scenario

if TYPE_CHECKING:
    from cutplan.job.job import Job

HEAD = {True: 'match = "free"', False: 'match = "8 mm"'}


def random_scenario(seed: int, *, free: bool) -> Scenario:
    """Return a small scenario with every sort of special stock, walls, batches and prices."""
    chance = Random(seed)  # noqa: S311 - repeatable, nothing secret
    on_walls = ['wall = "north"', "batch = 7"] if chance.random() < 0.6 else []
    extra = {
        "[[roll]]": [*(["price = 12.25"] if seed % 2 else []), 'batch = "7"'],
        "[[offcut]]": ['batch = "7"', 'after = "1"'],
        "[[drop]]": on_walls,
    }
    lines = []
    for line in special_scenario(seed, free=free).splitlines():
        lines += [
            line,
            *(key for key in extra.get(line, []) if "price" in key or "wall" in key or chance.random() < 0.6),
        ]
    return parse_scenario("\n".join(lines), "any.toml")


def written_out(wanted: Job, units: str, *, free: bool) -> str:
    """Return a job as TOML whose bare numbers are ``units``."""
    head = f'units = "{units}"\n[paper]\nroll_length = "40 mm"\nroll_width = "20 mm"\n{HEAD[free]}\n'
    trim = '[trim]\ntop = "1 mm"\nbottom = "1 mm"\n'
    rolls = [toml_entry("roll", roll_entry(lot, is_free=free), units) for lot in wanted.rolls]
    offcuts = [lot for lot in wanted.lots if lot.is_offcut]
    rolls += [toml_entry("offcut", offcut_entry(lot, is_free=free), units) for lot in offcuts]
    drops = [toml_entry("drop", drop_entry(drop, is_free=free), units) for drop in wanted.drops]
    return "\n".join([head, trim, *rolls, *drops])


@pytest.mark.parametrize("free", [True, False])
@pytest.mark.parametrize("units", ["mm", "cm", "in"])
def test_what_is_read_is_written_and_read_again_unchanged(units: str, *, free: bool) -> None:
    """80 scenarios with flaws, pieces, foot-first rolls, offcuts, cut-outs, batches, walls and prices."""
    for seed in range(80):
        wanted = random_scenario(seed, free=free).job
        again = parse_scenario(written_out(wanted, units, free=free), "again.toml").job

        assert again.lots == wanted.lots, seed
        assert again.drops == wanted.drops, seed


def test_json_says_what_toml_says() -> None:
    """The tables for JSON are those for TOML: lengths as text with their unit, all else alike."""
    for seed in range(40):
        for drop in random_scenario(seed, free=False).job.drops:
            entry = drop_entry(drop, is_free=False)
            as_toml = tomllib.loads(toml_entry("drop", entry, "mm"), parse_float=Decimal)["drop"][0]
            as_json = json.loads(json.dumps(plain(entry)))

            assert list(as_toml) == list(as_json)
            assert {key: str(value).removesuffix(" mm") for key, value in as_json.items() if key != "cut_outs"} == {
                key: str(value) for key, value in as_toml.items() if key != "cut_outs"
            }


def test_what_is_slit_off_beside_a_drop_keeps_its_name_and_its_trims() -> None:
    """A strip slit off a narrow drop is as long as the drop is cut, so no place below its finished top says where."""
    wanted = random_scenario(3, free=False).job
    first, *others = wanted.drops
    slit = CutOut("left of 1", first.cut_length, first.motif_below_cut % 8, Fraction(0), Fraction(7))
    wanted = replace(wanted, drops=(replace(first, cut_outs=(slit,)), *others))

    assert parse_scenario(written_out(wanted, "mm", free=False), "slit.toml").job.drops == wanted.drops


@pytest.mark.parametrize(
    "head",
    ["[sheets]\ncount = 4\nfirst_motif = 1200\n", 'match = "reverse every other length"\n'],
    ids=["sheets", "reversed"],
)
def test_sheets_and_turns_are_written_and_read_again_unchanged(head: str) -> None:
    """Of a numbered set, of which sheet each roll, offcut and drop is; of one that reverses, which drops are turned."""
    is_set = head.startswith("[sheets]")
    sheet = "sheet = 3\n" if is_set else ""
    motif, turned = ("first_motif = 100\n", "") if is_set else ("", "turned = true\n")
    text = 'units = "mm"\n[paper]\nroll_length = 3000\nroll_width = 500\n' + head
    entries = f'[[roll]]\nlabel = "A"\n{sheet}[[offcut]]\nlabel = "B"\nlength = 700\n{motif}{sheet}'
    drop = f'[[drop]]\nlabel = "1"\nheight = 500\n{motif}{sheet}{turned}'
    wanted = parse_scenario(text + entries + drop, "any.toml").job
    rolls = [toml_entry("roll", roll_entry(lot, is_free=not is_set), "mm") for lot in wanted.rolls]
    offcuts = [
        toml_entry("offcut", offcut_entry(lot, is_free=not is_set), "mm") for lot in wanted.lots if lot.is_offcut
    ]
    drops = [toml_entry("drop", drop_entry(each, is_free=not is_set), "mm") for each in wanted.drops]

    assert parse_scenario("\n".join([text, *rolls, *offcuts, *drops]), "again.toml").job == wanted
    assert (wanted.drops[0].sheet, wanted.drops[0].is_turned) == ((3, None) if is_set else (None, True))
