import pytest
from wcwidth import wcswidth

from cutplan.render.pages.layout_of_page import page_width, section, table, wrapped


@pytest.mark.parametrize(("columns", "width"), [("132", 80), ("80", 80), ("60", 60), ("20", 40)])
def test_lines_are_as_wide_as_the_terminal_but_80_at_most(
    monkeypatch: pytest.MonkeyPatch, columns: str, width: int
) -> None:
    """Longer lines are hard to follow, and below 40 signs a table cannot be told."""
    monkeypatch.setenv("COLUMNS", columns)

    assert page_width() == width
    assert max(map(len, wrapped("one word and the next " * 20).split("\n"))) <= width


@pytest.mark.parametrize("columns", ["80", "50"])
def test_table_wraps_its_widest_words_to_the_page(monkeypatch: pytest.MonkeyPatch, columns: str) -> None:
    """A name of 90 signs, and signs that take two places of a screen, as 花 does, stand within the page."""
    monkeypatch.setenv("COLUMNS", columns)
    rows = [("a long name of a roll " * 4, "1000 mm"), ("花" * 45, "900 mm")]

    lines = table(("roll", "left"), rows).split("\n")

    assert max(map(wcswidth, lines)) <= int(columns)
    assert all(reading in "\n".join(lines) for reading in ("1000 mm", "900 mm"))


def test_figures_of_a_table_stay_as_they_are_written() -> None:
    """A batch 007 is no number."""
    assert table(("batch", "rolls"), [("007", "2")]).split("\n")[2].split() == ["007", "2"]


def test_every_column_of_words_gives_way_on_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """The widest first, then ranges at their middle; figures stay whole."""
    monkeypatch.setenv("COLUMNS", "50")
    heads = ("drop", "what", "wall", "from its left")
    places = ("1100 mm to 1284 mm", "4 ft 3 1/16 in to 5 ft 11 1/2 in")
    pages = [
        table(heads, [("12", "under the head of the window", "wall of the window", at)], wrapped=2) for at in places
    ]

    assert [max(map(len, page.split("\n"))) <= 50 for page in pages] == [True, True]
    assert "1100 mm to 1284 mm" in pages[0]
    assert all(part in pages[1] for part in ("4 ft 3 1/16 in to\n", "5 ft 11 1/2 in\n"))


def test_figure_with_another_in_brackets_takes_two_lines_where_the_page_is_narrow(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What to buy of a contract in packets, beside five other figures."""
    monkeypatch.setenv("COLUMNS", "40")
    page = table(("way", "rolls", "to buy", "cost"), [("in order", "16", "8 packets (16 rolls)", "240.00")])

    assert max(map(len, page.split("\n"))) <= 40
    assert "8 packets " in page
    assert page.split("\n")[-1].split() == ["(16", "rolls)"]


def test_table_too_wide_for_the_page_is_told_row_by_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """Readings in feet and inches leave nothing of 40 signs to the drops; an empty figure is left out."""
    monkeypatch.setenv("COLUMNS", "40")
    rows = [("A", "1, 2, 3", "31 ft 8 1/8 in", "1 ft 3 1/2 in"), ("the other", "4", "3 ft 8 1/2 in", "")]

    assert table(("roll", "drops in order", "used at most", "slack"), rows, wrapped=1).split("\n") == [
        "  - roll A: drops in order 1, 2, 3; used",
        "    at most 31 ft 8 1/8 in; slack 1 ft 3",
        "    1/2 in",
        "  - roll the other: drops in order 4;",
        "    used at most 3 ft 8 1/2 in",
    ]


def test_title_longer_than_the_page_takes_two_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forty-four signs on forty, underlined as far as the longer line."""
    monkeypatch.setenv("COLUMNS", "40")

    assert section("What could be given up instead, dearest last", "nothing").split("\n")[:3] == [
        "What could be given up instead, dearest",
        "last",
        "=" * 39,
    ]
