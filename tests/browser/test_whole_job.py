"""``cutplan page`` in a real browser, on a phone and on a laptop."""

from __future__ import annotations

import shutil
from contextlib import suppress
from typing import TYPE_CHECKING

import pytest
from in_chromium import ROOT, missing
from page_served import LAPTOP, PHONE, Served, Watched

with suppress(ImportError):
    from playwright.sync_api import Error

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "nothing is missing")


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """Return a server at a room of its own."""
    shutil.copy(ROOT / "scenarios" / "parlour.toml", tmp_path / "room.toml")
    server = Served(tmp_path, "room.toml")
    yield server
    server.kill()


@pytest.fixture
def unnamed(tmp_path: Path) -> Iterator[Served]:
    """Return a server at a survey that has no name yet."""
    server = Served(tmp_path)
    yield server
    server.kill()


def test_killed_server_loses_nothing_that_was_acknowledged(browser: Browser, served: Served) -> None:
    """The page says that nobody answers, keeps what is ticked meanwhile, and sends it when the server is back."""
    page = Watched(browser, served, PHONE).page
    page.click("#done-next")
    page.wait_for_selector("#table .lead:text-matches('^1 of')")
    served.kill()
    page.wait_for_selector("#silence:not([hidden])")
    page.click("#done-next")
    page.wait_for_selector("#silence:has-text('kept here')")
    served.start()
    again = page.context.new_page()
    again.goto(served.address)

    again.wait_for_selector("#table .lead:text-matches('^2 of')")
    page.wait_for_selector("#table .lead:text-matches('^2 of')")
    page.wait_for_selector("#silence", state="hidden")
    assert (served.folder / "room.record.jsonl").read_text(encoding="utf-8").count('"kind":"done"') == 2


def test_reload_loses_nothing(browser: Browser, served: Served) -> None:
    """What was acknowledged is there again; a step ticked while nobody answered is sent after the reload, once."""
    page = Watched(browser, served, PHONE).page
    page.fill("#f-wall-0-width", "1095")
    page.press("#f-wall-0-width", "Tab")
    page.wait_for_selector('#f-wall-0-width[data-was="1095"]')
    page.click("#done-next")
    page.wait_for_selector("#table .lead:text-matches('^1 of')")
    page.reload()
    page.wait_for_selector("#table .lead:text-matches('^1 of')")
    assert page.input_value("#f-wall-0-width") == "1095"
    served.kill()
    page.wait_for_selector("#silence:not([hidden])")
    page.click("#done-next")
    page.wait_for_selector("#silence:has-text('kept here')")
    with suppress(Error):
        page.reload()
    served.start()
    page.goto(served.address)

    page.wait_for_selector("#table .lead:text-matches('^2 of')")
    assert (served.folder / "room.record.jsonl").read_text(encoding="utf-8").count('"kind":"done"') == 2


def test_measure_typed_while_nobody_answers_is_sent_when_somebody_does(browser: Browser, served: Served) -> None:
    """It stays in its field meanwhile, and the page says that nobody answers."""
    page = Watched(browser, served, LAPTOP).page
    served.kill()
    page.fill("#f-wall-0-width", "1095")
    page.press("#f-wall-0-width", "Tab")
    page.wait_for_selector("#silence:not([hidden])")
    served.start()
    page.context.new_page().goto(served.address)

    page.wait_for_selector('#f-wall-0-width[data-was="1095"]')
    assert "width = 1095" in (served.folder / "room.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("does", ["edit", "change", "record", "start/keep"])
def test_why_something_cannot_be_written_stands_beside_it(browser: Browser, served: Served, does: str) -> None:
    """On a full disk: the reason is there where one looks, and what was typed is still in its field."""
    page = Watched(browser, served, PHONE).page
    start_of(page)
    why = {"status": 409, "content_type": "application/json", "body": '{"error": "No space left on the disk."}'}
    page.route(f"**/{does}", lambda route: route.fulfill(**why))
    page.fill("#f-wall-0-width", "1095")
    pressed = {"change": "button:text-is('+ door') >> nth=0", "record": "#done-next", "start/keep": "#keep-start"}
    if does == "edit":
        page.press("#f-wall-0-width", "Tab")
    else:
        page.fill("#f-wall-0-width", "1080")
        page.click(pressed[does])
    told = page.wait_for_selector(".amiss:has-text('No space left')")
    assert told is not None
    box, of = told.bounding_box(), page.locator(pressed.get(does, "#f-wall-0-width")).bounding_box()
    assert box is not None
    assert of is not None

    assert 0 <= box["y"] - of["y"] < 120
    assert does != "edit" or page.input_value("#f-wall-0-width") == "1095"
    page.unroute(f"**/{does}")
    if does == "edit":
        page.fill("#f-wall-0-width", "1096")
        page.press("#f-wall-0-width", "Tab")
    else:
        page.click(pressed[does])
    page.wait_for_selector(".amiss", state="detached")


def test_two_devices_see_each_others_ticks(browser: Browser, served: Served) -> None:
    """And both press the same button at once: the step is recorded once. How soon: benchmarks/page.py."""
    phone, laptop = Watched(browser, served, PHONE).page, Watched(browser, served, LAPTOP).page
    for done in (1, 2):
        phone.click("#done-next")
        for page in (phone, laptop):  # a press on what is not drawn anew yet would tick the same step
            page.wait_for_selector(f"#table .lead:text-matches('^{done} of')")
    number = phone.inner_text("#table .card .number")
    for page in (phone, laptop):
        page.evaluate("document.querySelector('#done-next').click()")
    phone.wait_for_selector("#table .lead:text-matches('^3 of')")
    laptop.wait_for_selector("#table .lead:text-matches('^3 of')")

    record = (served.folder / "room.record.jsonl").read_text(encoding="utf-8")
    assert record.count(f'"steps":[{number}]') == 1


def start_of(page: Page) -> str:
    """Return where the page says that hanging begins, once the finger rests."""
    page.wait_for_selector("#finger[data-settled]")
    return page.get_attribute("#plumb", "aria-valuetext") or ""


def test_start_is_dragged_moved_by_keys_and_typed(browser: Browser, served: Served) -> None:
    """Each way leads to the same figures; kept, it stands in the file, and the other page shows it."""
    watched = Watched(browser, served, LAPTOP)
    page = watched.page
    page.wait_for_selector("#plumb")
    before = start_of(page)
    rolls = page.inner_text("#start-rolls")
    page.locator(".moving-wall").first.scroll_into_view_if_needed()
    box = page.locator(".moving-wall").first.bounding_box()
    plumb = page.locator("#plumb").bounding_box()
    assert box is not None
    assert plumb is not None
    page.mouse.move(plumb["x"] + plumb["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    for step in range(1, 6):
        page.mouse.move(plumb["x"] + plumb["width"] / 2 + 12 * step, box["y"] + box["height"] / 2)
    page.mouse.up()
    page.wait_for_selector(f"#plumb:not([aria-valuetext='{before}'])")
    dragged = start_of(page)
    page.focus("#plumb")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowLeft")
    at = float(dragged.split()[0]) + 9
    expect_start(page, at)
    page.fill("#start-form [name=at]", before.partition(" from")[0])
    page.keyboard.press("Tab")
    expect_start(page, float(before.split()[0]))
    page.wait_for_selector(f"#start-rolls:has-text('{rolls}')")
    page.click("#keep-start")
    page.wait_for_selector("#said:has-text('kept')")
    assert watched.complaints == []


def test_start_is_dragged_by_touch_while_the_page_still_scrolls(browser: Browser, served: Served) -> None:
    """A finger across the wall moves the plumb line; a finger down the wall scrolls."""
    watched = Watched(browser, served, PHONE, has_touch=True)
    page = watched.page
    page.wait_for_selector("#plumb")
    page.locator("#moving").scroll_into_view_if_needed()
    box = page.locator(".moving-wall").first.bounding_box()
    assert box is not None
    before = start_of(page)
    client = page.context.new_cdp_session(page)
    x, y = box["x"] + box["width"] * 0.3, box["y"] + box["height"] * 0.6

    def touch(kind: str, right: float, down: float) -> None:
        points = [] if kind == "touchEnd" else [{"x": x + right, "y": y + down}]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 0, 0)
    for step in range(1, 9):
        touch("touchMove", 10 * step, 0)
    touch("touchEnd", 0, 0)
    page.wait_for_selector(f"#plumb:not([aria-valuetext='{before}'])")
    after = start_of(page)
    scrolled = page.evaluate("scrollY")
    touch("touchStart", 0, 0)
    for step in range(1, 9):
        touch("touchMove", 0, -20 * step)
    touch("touchEnd", 0, 0)
    page.wait_for_function("(before) => scrollY > before", arg=scrolled)
    assert start_of(page) == after
    assert watched.complaints == []


def expect_start(page: Page, at: float) -> None:
    """Wait until the page shows that hanging begins there."""
    page.wait_for_selector(f"#plumb[aria-valuetext^='{at:g} mm']")


class Hand:
    """A hand that fills in the survey by keys alone, and counts the fields that it touches."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.touched = 0

    def tell(self, field: str, value: str) -> None:
        """Type into a field, leave it, and wait until the page holds it."""
        self.write(field, value)
        self.page.keyboard.press("Tab")
        self.page.wait_for_selector(f'{field}[data-was="{value}"]')

    def write(self, field: str, value: str) -> None:
        """Type into a field in place of what stands there."""
        self.touched += 1
        self.page.focus(field)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(value)

    def press(self, button: str, until: str) -> None:
        """Press a button, and wait for what it brings."""
        self.touched += 1
        self.page.focus(button)
        self.page.keyboard.press("Enter")
        self.page.wait_for_selector(until)


def survey_bedroom(hand: Hand) -> None:
    """Write down four walls, a door, a window and a chimney breast on an empty page, without a pointer."""
    page = hand.page
    hand.write("#job-name", "bedroom")
    hand.press("#name-form button", "h1:has-text('bedroom.toml')")
    hand.tell("#f-paper-match", "64/32 cm")
    hand.press("text=A whole room of four walls", "#f-wall-3-width")
    for number, width in enumerate(("3600", "3100", "3600", "3100")):
        hand.tell(f"#f-wall-{number}-width", width)
    hand.tell("#f-wall-0-height", "2440")
    page.wait_for_selector('#f-wall-3-height[data-was="2440"]')
    hand.press(".sheet:nth-child(2) button:text('+ door')", "#f-wall-1-opening-0-left")
    for key, value in (("left", "120"), ("width", "838"), ("height", "2040")):
        hand.tell(f"#f-wall-1-opening-0-{key}", value)
    hand.press(".sheet:nth-child(4) button:text('+ window')", "#f-wall-3-opening-0-left")
    for key, value in (("left", "900"), ("width", "1300"), ("foot", "900"), ("height", "1200")):
        hand.tell(f"#f-wall-3-opening-0-{key}", value)
    hand.press(".sheet:nth-child(1) summary", "[data-breast='0'] [name=breast_left]")
    for key, value in (("left", "1000"), ("width", "1500"), ("depth", "350")):
        hand.write(f"[data-breast='0'] [name=breast_{key}]", value)
    for key, value in (("width", "900"), ("height", "1000")):
        hand.write(f"[data-breast='0'] [name=fireplace_{key}]", value)
    hand.press("[data-breast='0'] button", "#f-wall-7-width")
    page.wait_for_selector("#done-next")


def done_up_to(page: Page, first: int, last: int) -> None:
    """Press the large button for each of these steps, and wait until it is told as done."""
    for number in range(first, last + 1):
        page.click("#done-next")
        page.wait_for_selector(f"#table .lead:text-matches('^{number} of')")


def test_whole_day_from_an_empty_page_to_the_last_step(browser: Browser, unnamed: Served) -> None:
    """Survey, start, buy, plan, ten steps, one length spoiled, a new plan, the end; 45 fields at most to the plan.

    Towards the end a command records steps of the same job, and the page goes on from there.
    """
    watched = Watched(browser, unnamed, LAPTOP)
    page, hand = watched.page, Hand(watched.page)
    survey_bedroom(hand)
    assert hand.touched <= 45  # buttons are counted among them
    before = start_of(page)
    assert "rolls" in page.inner_text("#start-rolls")
    page.focus("#plumb")
    page.keyboard.press("ArrowRight")
    expect_start(page, float(before.split()[0]) + 10)
    start_of(page)
    page.click("#keep-start")
    page.wait_for_selector("#said:has-text('kept')")
    page.click("#ask-buy")
    page.wait_for_selector("[data-part=buy] .lead:has-text('roll')")
    watched.settled()
    done_up_to(page, 1, 10)
    piece = page.locator("#table .pieces > li").first
    piece.locator("summary", has_text="Spoiled").click()
    piece.locator("[name=why]").fill("torn in folding")
    page.keyboard.press("Enter")
    page.click("#ask-enough")
    page.click("#replan")
    page.wait_for_selector("#table .lead:text-matches('^0 of')")
    left = int(page.inner_text("#table .lead").split(" of ")[1].split()[0])
    done_up_to(page, 1, 3)
    following = int(page.inner_text("#table .card .number"))
    unnamed.run("done", "bedroom.toml", f"{following}-{following + left - 7}")  # by a command, all but the last three
    page.wait_for_selector(f"#table .lead:text-matches('^{left - 3} of')")
    done_up_to(page, left - 2, left)
    page.wait_for_selector("text=Every step of the plan is done.")

    record = (unnamed.folder / "bedroom.record.jsonl").read_text(encoding="utf-8")
    assert record.count('"kind":"spoiled"') == 1
    assert watched.complaints == []


def test_measure_is_changed_where_it_stands_on_the_drawing(browser: Browser, served: Served) -> None:
    """A touch on the figure opens a field over it; the drawing follows; the key away from it changes nothing."""
    watched = Watched(browser, served, PHONE)
    page = watched.page
    figure = page.locator(".measured[data-for='f-wall-0-width']")
    figure.click()
    page.fill(".there", "1111")
    page.keyboard.press("Escape")
    figure.click()
    assert page.input_value(".there") == "1080"
    page.fill(".there", "1095")
    page.keyboard.press("Enter")
    page.wait_for_selector(".measured[data-for='f-wall-0-width']:has-text('1095')")

    assert "width = 1095" in (served.folder / "room.toml").read_text(encoding="utf-8")
    assert watched.complaints == []


def test_what_is_typed_stays_where_the_file_was_changed_by_hand(browser: Browser, served: Served) -> None:
    """Both versions are shown beside the measure; the one that is chosen stands in the file."""
    page = Watched(browser, served, LAPTOP).page
    file = served.folder / "room.toml"
    page.fill("#f-wall-0-width", "1100")
    file.write_text(file.read_text(encoding="utf-8").replace("width = 1080", "width = 1090", 1), encoding="utf-8")
    page.wait_for_selector(".measured[data-for='f-wall-0-width']:has-text('1090')")
    assert page.input_value("#f-wall-0-width") == "1100"
    page.press("#f-wall-0-width", "Tab")
    page.click(".clash button:text('Write 1100')")
    page.wait_for_selector('#f-wall-0-width[data-was="1100"]')

    assert "width = 1100" in file.read_text(encoding="utf-8")


def test_measure_half_typed_is_not_written_when_the_page_is_drawn_anew(browser: Browser, served: Served) -> None:
    """Half of it typed, or what stands there marked to be typed over: the hand goes on as if nothing had happened."""
    page = Watched(browser, served, LAPTOP).page
    file = served.folder / "room.toml"

    def changed_by_hand(old: str, new: str) -> None:
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new, 1), encoding="utf-8")
        page.wait_for_selector(f'[data-was="{new.partition(" = ")[2]}"]')

    page.focus("#f-wall-0-width")
    page.keyboard.press("Control+a")
    page.keyboard.type("11")
    changed_by_hand("width = 1340", "width = 1345")
    page.keyboard.type("30")
    page.keyboard.press("Tab")
    page.wait_for_selector('#f-wall-0-width[data-was="1130"]')
    page.focus("#f-wall-0-width")
    page.keyboard.press("Control+a")
    changed_by_hand("width = 1345", "width = 1350")
    page.keyboard.type("1140")
    page.keyboard.press("Tab")
    page.wait_for_selector('#f-wall-0-width[data-was="1140"]')

    assert "width = 1140" in file.read_text(encoding="utf-8")
    assert page.locator(".clash:visible").count() == 0


def test_nothing_is_put_in_place_under_a_finger(browser: Browser, served: Served) -> None:
    """A summary that is pressed while the file changes is still there when the finger is lifted, and opens alone."""
    page = Watched(browser, served, LAPTOP).page
    summary = page.locator(".sheet:nth-child(1) summary").first
    summary.scroll_into_view_if_needed()
    box = summary.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    file = served.folder / "room.toml"
    with page.expect_response("**/part/paper") as fetched:  # the first of the parts that a change brings
        file.write_text(file.read_text(encoding="utf-8").replace("width = 1080", "width = 1090", 1), encoding="utf-8")
    fetched.value.finished()
    page.mouse.up()

    page.wait_for_selector("[data-breast='0'] [name=breast_left]")
    page.wait_for_selector('#f-wall-0-width[data-was="1090"]')
    assert page.locator("[data-part=room] details.deed[open]").count() == 1


@pytest.fixture
def day(tmp_path: Path) -> Iterator[Served]:
    """Return a server at a small job with the pace of its work, of 17 steps."""
    shutil.copy(ROOT / "scenarios" / "a-day.toml", tmp_path / "day.toml")
    server = Served(tmp_path, "day.toml")
    yield server
    server.kill()


def test_answer_is_asked_for_again_when_another_device_goes_on(browser: Browser, day: Served) -> None:
    """Whether there is enough stays on the page, and is of the work as it then is."""
    page, mate = (Watched(browser, day, PHONE).page for _ in range(2))
    for number in (1, 2, 3):
        page.click("#done-next")
        page.wait_for_selector(f"#table .lead:text-matches('^{number} of')")
    piece = page.locator("#table .pieces > li").first
    piece.locator("summary", has_text="Spoiled").click()
    piece.locator("[name=why]").fill("torn")
    page.keyboard.press("Enter")
    page.click("#ask-enough")
    page.wait_for_selector("#replan")
    entries = page.input_value("#table [data-record=replan] [name=entry]")
    mate.click("#done-next")
    page.wait_for_selector("#table .lead:text-matches('^4 of')")

    page.wait_for_selector("#replan")
    assert page.input_value("#table [data-record=replan] [name=entry]") != entries


def test_paperhangers_day(browser: Browser, day: Served) -> None:
    """Survey, start, plan, ten steps done, one length spoiled, a new plan, and on to the last step: by keys alone."""
    watched = Watched(browser, day, PHONE)
    page = watched.page
    page.wait_for_selector("#done-next")
    for number in range(1, 11):
        page.focus("#done-next")
        page.keyboard.press("Enter")
        page.wait_for_selector(f"#table .lead:text-matches('^{number} of')")
    piece = page.locator("#table .pieces > li").first
    piece.locator("summary", has_text="Spoiled").focus()
    page.keyboard.press("Enter")
    piece.locator("[name=why]").fill("torn in folding")
    page.keyboard.press("Enter")
    page.wait_for_selector("#ask-enough")
    page.focus("#ask-enough")
    page.keyboard.press("Enter")
    page.wait_for_selector("#replan")
    page.focus("#replan")
    page.keyboard.press("Enter")
    page.wait_for_selector("#table .lead:text-matches('^0 of')")
    left = int(page.inner_text("#table .lead").split(" of ")[1].split()[0])
    for number in range(1, left + 1):
        page.focus("#done-next")
        page.keyboard.press("Enter")
        page.wait_for_selector(f"#table .lead:text-matches('^{number} of')")
    page.wait_for_selector("text=Every step of the plan is done.")
    assert watched.complaints == []
