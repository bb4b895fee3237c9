"""A scenario whose every text does its worst: markup, quotes, 200 signs, right-to-left, emoji, templates.

Signs that change a text's direction or cannot be printed are refused when a scenario is read.
"""

from __future__ import annotations

from typing import Final

MARKUP: Final = "<script>document.title='broken'</script>"
QUOTES: Final = "\"><img src=x onerror=\"document.title='broken'\"> '&amp;"
LONG: Final = "x" * 200
HEBREW: Final = "קיר החלון 12"
EMOJI: Final = "🦚🪟🏠 peacock 🇮🇸"
ARABIC: Final = "غرفة ١٢ <b>"
BACKSLASH: Final = r"C:\new \u003cb\u003e &lt;b&gt; \\"
TEMPLATE: Final = "{{ 7 * 7 }}{% raw %}"

TEXTS: Final = (MARKUP, QUOTES, LONG, HEBREW, EMOJI, ARABIC, BACKSLASH, TEMPLATE)


def toml(text: str) -> str:
    """Return a TOML string that stands for ``text``."""
    return (
        '"' + "".join(f"\\U{ord(sign):08x}" if sign in '"\\' or not sign.isprintable() else sign for sign in text) + '"'
    )


def hostile_room() -> str:
    """Return a room whose paper, walls, openings, fittings and batches are called so."""
    walls = "".join(
        f"""
[[wall]]
name = {toml(name)}
width = {900 + 700 * number}
height = 2400

[[wall.opening]]
kind = "window"
name = {toml(TEXTS[-1 - number])}
left = 200
width = 400
foot = 900
height = 1000
reveal = 100

[[wall.fitting]]
kind = "socket"
name = {toml(TEXTS[number - 3])}
left = 650
foot = 300
"""
        for number, name in enumerate(TEXTS)
    )
    return f"""\
units = "mm"

[paper]
name = {toml(MARKUP + QUOTES)}
roll_length = "10.05 m"
roll_width = 530
match = "64/32 cm"
motif_from_left = 200
motif_above = 100
motif_below = 120

[room]
closes = true
built = 1930
{walls}
[[roll]]
label = {toml(QUOTES)}
count = 12
batch = {toml(LONG)}

[[roll]]
label = {toml(HEBREW)}
first_motif = 120
batch = {toml(MARKUP)}

[[roll]]
label = {toml(LONG)}
count = 12
batch = {toml(EMOJI)}

[start]
wall = {toml(MARKUP)}
at = "middle"
puts = "joint"
motif_drop = 100
"""


def hostile_drops() -> str:
    """Return a plain list of drops that are called so."""
    drops = "".join(
        f"""
[[drop]]
label = {toml(name)}
height = {1000 + 150 * number}
first_motif = {95 * number % 640}
count = {1 + number % 3}
"""
        for number, name in enumerate(TEXTS)
    )
    return f"""\
units = "mm"

[paper]
name = {toml(HEBREW)}
roll_length = "10.05 m"
match = "64/32 cm"
{drops}"""
