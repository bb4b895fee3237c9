"""The sheet in a real browser: at the phone's size and on a table, ticked, printed, in grey, and by ear."""

from __future__ import annotations

import re
import shutil
import subprocess
from base64 import b64encode
from collections import defaultdict
from functools import cache
from runpy import run_path
from typing import TYPE_CHECKING, Final, Literal

import pytest
from in_chromium import ROOT, missing
from measures import (
    BOXES,
    CARDS,
    COLOURS,
    CONTRASTS,
    MARKED_NEXT,
    MARKERS,
    OUTSIDE,
    OVERLAPS,
    SIZES,
    SIZES_IN_PICTURES,
)
from page_served import PATIENCE

from hostile_scenario import hostile_drops, hostile_room
from sheets import customer_page_from, sheet_from, text_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")

PAGES: Final = (
    "parlour",
    "stairwell",
    "measured-rolls",
    "parlour in inches",
    "hostile room",
    "hostile drops",
    "customer",
    "hostile customer",
)
SHEETS: Final = ("parlour", "stairwell", "measured-rolls")
PHONE: Final = (390, 844)
TABLE: Final = (1280, 900)

each_page = pytest.mark.parametrize("name", PAGES)
each_sheet = pytest.mark.parametrize("name", SHEETS)
each_size = pytest.mark.parametrize("size", [PHONE, TABLE], ids=["phone", "table"])


def opened(browser: Browser, path: Path, size: tuple[int, int] = PHONE) -> Page:
    """Return a page opened from its file in a browser that knows nothing yet; end it by its context."""
    return visited(browser.new_context(viewport={"width": size[0], "height": size[1]}), path)


def visited(context: BrowserContext, path: Path) -> Page:
    """Return a page opened from its file, as a phone without network opens it."""
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(path.as_uri())
    return page


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the pages to be tested, by name: three scenarios, customers' pages, and hostile texts."""
    scenarios = {name: text_of(ROOT / "scenarios" / f"{name}.toml") for name in SHEETS}
    pages = {name: sheet_from(text).page for name, text in scenarios.items()}
    pages["parlour in inches"] = sheet_from(scenarios["parlour"], "in").page
    pages["feature-wall"] = sheet_from(text_of(ROOT / "scenarios" / "feature-wall.toml")).page
    room_of_width = run_path(str(ROOT / "benchmarks" / "sheet.py"))["scenario"]
    pages["sixty columns"] = sheet_from(room_of_width("64/32 cm", 7900)).page
    pages["hostile room"] = sheet_from(hostile_room()).page
    pages["hostile drops"] = sheet_from(hostile_drops()).page
    pages["customer"] = customer_page_from(scenarios["parlour"])
    pages["hostile customer"] = customer_page_from(hostile_room())
    folder = tmp_path_factory.mktemp("pages")
    paths = {name: folder / f"{name.replace(' ', '-')}.html" for name in pages}
    for name, path in paths.items():
        path.write_text(pages[name], encoding="utf-8")
    return paths


@pytest.fixture(scope="module")
def shown(browser: Browser, made: dict[str, Path]) -> Callable[..., Page]:
    """Return what shows a page for tests that only look at it: each is opened once at each size, and left as it was."""
    once = cache(lambda name, size: opened(browser, made[name], size))

    def as_seen(name: str, size: tuple[int, int] = PHONE, media: Literal["screen", "print"] = "screen") -> Page:
        page: Page = once(name, size)
        page.emulate_media(media=media)
        return page

    return as_seen


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """Return a phone that knows nothing yet."""
    context = browser.new_context(viewport={"width": PHONE[0], "height": PHONE[1]})
    yield context
    context.close()


@pytest.fixture
def scriptless(browser: Browser) -> Iterator[BrowserContext]:
    """Return a phone that runs no script."""
    context = browser.new_context(java_script_enabled=False, viewport={"width": PHONE[0], "height": PHONE[1]})
    yield context
    context.close()


@each_page
@each_size
def test_nothing_scrolls_sideways(shown: Callable[..., Page], name: str, size: tuple[int, int]) -> None:
    """The page is as wide as the screen, whatever names are in it."""
    assert shown(name, size).evaluate("document.documentElement.scrollWidth") == size[0]


@each_page
@each_size
def test_no_text_in_a_picture_lies_on_another(shown: Callable[..., Page], name: str, size: tuple[int, int]) -> None:
    """Measured in the browser, with its own fonts; nor does any stick out of its picture."""
    page = shown(name, size)

    assert page.evaluate(OVERLAPS) == []
    assert page.evaluate(OUTSIDE) == []


@each_sheet
def test_texts_in_pictures_are_large_enough_on_a_phone(shown: Callable[..., Page], name: str) -> None:
    """No text is smaller than 9 px, and no drop's number smaller than 11 px."""
    sizes = shown(name).evaluate(SIZES_IN_PICTURES)

    assert min(size for size, _ in sizes) > 9
    assert min(size for size, is_number in sizes if is_number) >= 11


@pytest.mark.parametrize("name", [*SHEETS, "hostile room"])
def test_boxes_to_tick_are_large_enough_for_wet_hands(shown: Callable[..., Page], name: str) -> None:
    """The whole card is touched, at least 44 px high, and reads in letters of 20 px or more."""
    cards = shown(name).evaluate(CARDS)

    assert min(height for height, _ in cards) >= 44
    assert min(size for _, size in cards) >= 20


# Ticks


@each_sheet
def test_every_tick_is_kept_after_reload(phone: BrowserContext, made: dict[str, Path], name: str) -> None:
    """Every box is ticked, one by one; after a reload all are; one taken back stays taken back."""
    page = visited(phone, made[name])
    boxes = page.locator(".ticks input")
    count = boxes.count()
    for number in range(count):
        boxes.nth(number).check()
    page.reload()

    assert page.locator(".ticks input:checked").count() == count
    page.locator("#step-2").uncheck()
    page.reload()
    assert page.locator(".ticks input:not(:checked)").evaluate_all("boxes => boxes.map((box) => box.id)") == ["step-2"]


def test_next_step_is_plain(phone: BrowserContext, made: dict[str, Path]) -> None:
    """Before and after three steps are ticked the bar names the next one and leads there; its card is marked too."""
    page = visited(phone, made["measured-rolls"])
    bar = page.locator("#next a")

    assert bar.inner_text().startswith("Next: 1. Open roll")
    for number in (1, 2, 3):
        page.locator(f"#step-{number}").check()
    assert bar.get_attribute("href") == "#step-4"
    bar.click()
    assert page.evaluate("document.getElementById('step-4').getBoundingClientRect().top") < PHONE[1] - 100
    assert page.evaluate(MARKED_NEXT) == ["step-4"]


def test_page_is_complete_without_script(scriptless: BrowserContext, browser: Browser, made: dict[str, Path]) -> None:
    """Every step is there and can be ticked, and nothing promises what only a script does."""
    with_script = opened(browser, made["parlour"])
    page = visited(scriptless, made["parlour"])
    page.locator("#step-1").check()

    assert page.locator("#step-1").is_checked()
    assert not page.locator("#next").is_visible()
    said, otherwise = (each.locator("main").inner_text() for each in (page, with_script))
    assert "Ticks may be gone when this page is closed" in said
    # Ticked, a step shows its figure and no more: a sentence of at most 20 words goes.
    assert len(said.split()) == pytest.approx(len(otherwise.split()), abs=20)
    with_script.context.close()


def test_next_step_is_marked_without_script(scriptless: BrowserContext, made: dict[str, Path]) -> None:
    """The style alone finds it."""
    page = visited(scriptless, made["measured-rolls"])
    page.locator("#step-1").check()

    cards = [page.locator(f"label:has(#step-{number})") for number in (1, 2)]
    assert [card.evaluate("each => getComputedStyle(each).borderTopWidth") for card in cards] == ["2px", "9px"]


def test_page_works_where_nothing_can_be_kept(phone: BrowserContext, made: dict[str, Path]) -> None:
    """A phone that refuses storage ticks all the same, and the page does not claim that ticks are kept."""
    phone.add_init_script("Object.defineProperty(window, 'localStorage', {get() { throw new Error('refused'); }})")
    faults: list[str] = []
    phone.on("weberror", lambda error: faults.append(str(error.error)))
    page = visited(phone, made["measured-rolls"])
    page.locator("#step-1").check()

    assert page.locator("#next a").inner_text().startswith("Next: 2.")
    assert "may be gone" in page.locator("#kept").inner_text()
    assert faults == []


@each_page
def test_nothing_in_a_text_is_run(phone: BrowserContext, made: dict[str, Path], name: str) -> None:
    """Hostile names neither change the title nor raise an error nor load anything."""
    asked: list[str] = []
    said: list[str] = []
    phone.on("request", lambda request: asked.append(request.url))
    phone.on("console", lambda message: said.append(message.text))
    phone.on("weberror", lambda error: said.append(str(error.error)))
    page = visited(phone, made[name])

    assert page.title().startswith(("Job sheet: ", "Where the pattern sits: "))
    assert [url for url in asked if not url.startswith("data:")] == [made[name].as_uri()]
    assert said == []


@each_page
@each_size
def test_axe_finds_no_fault(browser: Browser, made: dict[str, Path], name: str, size: tuple[int, int]) -> None:
    """The rules of axe-core: names, roles, contrast, landmarks, order of headings and the rest."""
    from axe_playwright_python.sync_playwright import Axe  # noqa: PLC0415 - skipped where it is not installed

    context = browser.new_context(bypass_csp=True, viewport={"width": size[0], "height": size[1]})
    found = Axe().run(visited(context, made[name])).response["violations"]

    assert [(rule["id"], [node["html"][:120] for node in rule["nodes"][:3]]) for rule in found] == []
    context.close()


# Print

EXPECTED_PAGES: Final = {
    "parlour": (3, 4),
    "parlour in inches": (3, 5),
    "stairwell": (2, 3),
    "measured-rolls": (1, 2),
    "feature-wall": (1, 1),
    "sixty columns": (5, 7),
    "customer": (2, 3),
}
"""How many pages of A4 each takes at least and at most."""

ONE_MORE_ON_LETTER: Final = {"feature-wall"}
"""Letter is 18 mm shorter than A4: what fills its last page of A4 runs over."""


def printed(page: Page, pdf: Path, paper: str, layout: str) -> list[str]:
    """Return the text of each page that a page prints to."""
    reader = shutil.which("pdftotext")
    assert reader is not None, "poppler-utils is not installed: .ci/browser installs it"
    page.pdf(path=pdf, format=paper)
    told = subprocess.run([reader, layout, pdf, "-"], capture_output=True, text=True, check=True)  # noqa: S603 - found above
    return told.stdout.split("\f")[:-1]


@pytest.mark.parametrize("name", EXPECTED_PAGES)
def test_prints_to_the_expected_pages_with_no_picture_cut_in_two(
    phone: BrowserContext, made: dict[str, Path], tmp_path: Path, name: str
) -> None:
    """A word set at the top, the middle and the end of every picture comes out on one and the same page."""
    page = visited(phone, made[name])
    page.evaluate(MARKERS)
    pictures = page.locator("svg.picture").count()
    for paper in ("A4", "Letter"):
        pages = printed(page, tmp_path / f"{paper}.pdf", paper, "-layout")
        least, most = EXPECTED_PAGES[name]
        assert least <= len(pages) <= most + (paper == "Letter" and name in ONE_MORE_ON_LETTER), paper
        has_no_picture_cut_in_two(pages, pictures)
        assert name == "customer" or all(
            f"page {number} of {len(pages)}" in text for number, text in enumerate(pages, start=1)
        )


def has_no_picture_cut_in_two(pages: list[str], pictures: int) -> None:
    """See that what was written into each picture stands on one page."""
    found = defaultdict(list)
    for number, text in enumerate(pages):
        for word, index in re.findall(r"(TOP|MID|END)Q(\d+)Q", text):
            found[int(index)].append((word, number))
    assert sorted(found) == list(range(pictures))
    for words in found.values():
        assert sorted(word for word, _ in words) == ["END", "MID", "TOP"]
        assert len({number for _, number in words}) == 1


@each_sheet
def test_print_shows_all_steps_and_no_screen_matter(
    phone: BrowserContext, made: dict[str, Path], tmp_path: Path, name: str
) -> None:
    """Each step to be done is printed whole; the links and the bar are not."""
    page = visited(phone, made[name])
    steps = page.locator(".step .what", has_text="Cut drop ").count()
    text = "".join(printed(page, tmp_path / "sheet.pdf", "A4", "-raw"))

    assert "Next:" not in text
    assert "NEXT" not in text
    assert len(re.findall(r"Cut\s+drop\s+(?:patch\s+of\s+)?\S+\s+[0-9]", text)) == steps > 0


@each_sheet
def test_steps_are_read_at_arms_length_on_paper(shown: Callable[..., Page], name: str) -> None:
    """Steps are at least 11 pt and their figures at least 15 pt high, as the browser sets them for print."""
    page = shown(name, media="print")
    sizes = {kind: page.evaluate(SIZES, f".step .{kind}") for kind in ("what", "more", "figure")}

    assert min(sizes["what"] + sizes["more"]) >= 11
    assert min(sizes["figure"]) >= 15


@each_sheet
def test_readings_are_not_broken_across_lines(shown: Callable[..., Page], name: str) -> None:
    """Neither on the phone nor on paper: 8 ft 2 1/2 in stands on one line."""
    unbroken = "[...document.querySelectorAll('.reading')].every((it) => it.getClientRects().length < 2)"

    assert shown(name).evaluate(unbroken)
    assert shown(name, media="print").evaluate(unbroken)


def test_screen_is_dark_where_the_reader_wants_it_and_paper_never(browser: Browser, made: dict[str, Path]) -> None:
    """The dark is a filter over the whole screen; print has none."""
    page = opened(browser, made["feature-wall"])
    page.emulate_media(color_scheme="dark")
    filters = "getComputedStyle(document.documentElement).filter"

    assert page.evaluate(filters).startswith("invert")
    page.emulate_media(color_scheme="dark", media="print")
    assert page.evaluate(filters) == "none"
    page.context.close()


def test_outdated_sheet_says_so(phone: BrowserContext, made: dict[str, Path]) -> None:
    """Once a newer sheet of the same job was opened in the same browser, the older one says that it is outdated."""
    page = visited(phone, made["feature-wall"])
    assert not page.locator("#outdated").is_visible()
    page.evaluate("localStorage.setItem('cutplan job ' + document.documentElement.dataset.job, '2999-01-01')")
    page.reload()

    assert page.locator("#outdated").is_visible()


# Grey


@each_page
def test_nothing_is_told_by_colour(shown: Callable[..., Page], name: str) -> None:
    """Every colour on the page is black, white or a grey, so a print in black and white loses nothing."""
    values = shown(name).evaluate(COLOURS)
    colours = [re.findall(r"[\d.]+", value)[:3] for value in values]

    assert colours
    assert [colour for colour in colours if len(set(colour)) > 1] == []


@each_sheet
def test_texts_in_pictures_stand_out_in_grey(browser: Browser, made: dict[str, Path], name: str) -> None:
    """Measured on the pixels: ink against ground is at least 7 to 1 for every text in every picture."""
    context = browser.new_context(
        bypass_csp=True, viewport={"width": PHONE[0], "height": PHONE[1]}, device_scale_factor=2
    )
    page = visited(context, made[name])
    poor = []
    for svg in page.locator("svg.picture").all():
        image = f"data:image/png;base64,{b64encode(svg.screenshot()).decode()}"
        poor += [(text, ratio) for text, ratio in page.evaluate(CONTRASTS, [image, svg.evaluate(BOXES)]) if ratio < 7]

    assert poor == []
    context.close()
