"""The page on setting out: its example is worked out as it says, and it names every key of a survey."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cutplan.scenario.read import parse_scenario
from cutplan.scenario.survey.room_tables import ROOM_KEYS
from cutplan.scenario.survey.start_tables import FINISH_KEYS, START_KEYS
from cutplan.scenario.survey.wall_tables import FITTING_KEYS, OPENING_KEYS, WALL_KEYS
from small_rooms import whole

PAGE = (Path(__file__).parent.parent / "docs" / "setting-out.md").read_text(encoding="utf-8")


def test_example_of_the_page_is_set_out_as_its_table_says() -> None:
    """Each row of the table is a piece: its place in the hanging order, column, height and first motif."""
    example = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    rows = re.findall(r"^\| (\d+) \| ([−\d]+) \| .*? \| (\d+) \| (\d+) \| .* \|$", PAGE, re.MULTILINE)

    assert example is not None
    setting_out = parse_scenario(example[1], "setting-out.md").setting_out
    assert setting_out is not None
    assert [whole(piece.number, piece.column, piece.height, piece.first_motif) for piece in setting_out.pieces] == [
        tuple(int(figure.replace("−", "-")) for figure in row) for row in rows
    ]


@pytest.mark.parametrize(
    ("section", "keys"),
    [
        ("`[room]`", ROOM_KEYS),
        ("`[[wall]]`", (key for key in WALL_KEYS if key not in ("opening", "fitting"))),
        ("`[[wall.opening]]`", OPENING_KEYS),
        ("`[[wall.fitting]]`", FITTING_KEYS),
        ("`[start]`", START_KEYS),
        ("`[finish]`", FINISH_KEYS),
    ],
)
def test_page_names_every_key_of_a_survey(section: str, keys: tuple[str, ...]) -> None:
    """No key can be added without a word on it in its section."""
    part = PAGE.partition(f"### {section}")[2].partition("\n##")[0]

    assert part
    assert [key for key in keys if f"`{key}`" not in part] == []
