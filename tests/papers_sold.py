"""Every kind of paper as it is sold beside every sort of stock: small surveyed rooms as scenarios, same for a seed."""

from __future__ import annotations

import re
from random import Random
from typing import Final

PAPERS: Final = (
    "packet", "single", "packet of doubles", "metre", "yard", "several pieces", "slit", "wide", "panels", "selvedge",
    "equal strips", "reversed", "reversed equal strips", "reversed packet", "lapped metre", "selvedge panels",
)  # fmt: skip
STOCKS: Final = (
    "bought", "part rolls", "flaws", "foot first", "offcuts", "batches", "prices", "pieces", "too few",
)  # fmt: skip

_REPEATS: Final = (0, 320, 640)
_HEIGHTS: Final = (2300, 2450, 2600)
SHEETS: Final = 9


def scenario(paper: str, stock: str, seed: int) -> str:
    """Return the TOML of a room of one or two walls in such a paper, from such a stock."""
    rng = Random(f"{paper} {stock} {seed}")  # noqa: S311 - repeatable, nothing secret
    keys, tables = _paper(rng, paper)
    printed = re.match(r'"([0-9]+)/', str(keys.get("match")))
    repeat = int(printed[1]) if printed else 0
    height = rng.choice(_HEIGHTS)
    blocks = ['units = "mm"\n\n[paper]\n' + "".join(f"{key} = {value}\n" for key, value in keys.items()), *tables]
    blocks += _stock(rng, stock, keys, repeat, is_panels="panels" in paper)
    blocks += [_wall(rng, number, height) for number in range(1 if "panels" in paper else rng.randint(1, 2))]
    if "equal strips" not in paper:
        blocks.append(_start(rng, repeat, paper))
    return "\n".join(blocks)


def _paper(rng: Random, paper: str) -> tuple[dict[str, object], list[str]]:
    """Return the keys of ``[paper]``, and the tables that tell how its strips are hung."""
    repeat = rng.choice(_REPEATS)
    match = f'"{repeat}/{rng.choice([0, repeat // 2])} mm"' if repeat else '"free"'
    keys: dict[str, object] = {"name": '"Trial"', "roll_length": 10050, "roll_width": 530, "match": match}
    keys["price"] = rng.choice([30, 45])
    by_the_metre = {"roll_length": 27000, "sold_by": '"m"', "price_per": '"m"'}
    by_the_metre |= {"order_step": rng.choice([100, 500, 1000]), "order_least": rng.choice([1000, 3000])}
    changes: dict[str, dict[str, object]] = {
        "packet": {"packet": rng.choice([2, 3]), "price_per": rng.choice(['"packet"', '"roll"'])},
        "single": {"singles": rng.choice([2, 3]), "price_per": rng.choice(['"single"', '"roll"'])},
        "doubles": {"singles": 2, "price_per": '"single"'},
        "metre": by_the_metre,
        "yard": {"roll_length": '"30 yd"', "sold_by": '"yd"', "price_per": '"yd"'},
        "several pieces": {**by_the_metre, "roll_length": 6000},
        "slit": {**by_the_metre, "across": 2},
        "wide": {"roll_length": 27000, "roll_width": 1000, "overlap": 30},
        "lapped": {"overlap": 30},
        "selvedge": rng.choice([{"selvedge": 12}, {"selvedge_left": 15}]),
        "equal strips": {"match": '"free"'},
        "reversed": {"match": '"reverse every other length"'},
        "panels": {"match": None, "roll_length": 3100, "roll_width": 500},
    }
    for name, change in changes.items():
        keys |= change if name in paper else {}
    tables = {
        "panels": f"[sheets]\ncount = {SHEETS}\nfirst_motif = 1400\n",
        "equal strips": f"[equal_strips]\nedge_trim = {rng.choice([0, 20])}\n",
    }
    told = {key: value for key, value in keys.items() if value is not None}
    return told, [table for name, table in tables.items() if name in paper]


def _stock(rng: Random, stock: str, keys: dict[str, object], repeat: int, *, is_panels: bool) -> list[str]:
    """Return the rolls and offcuts that there are; of a numbered set every sheet is a roll."""
    if stock == "bought":
        return []
    motif = "first_motif = {}\n" if repeat else ""

    def measured() -> str:
        return motif.format(rng.randrange(0, repeat or 1, 10))

    if stock == "offcuts":
        kept = f'[[offcut]]\nlabel = "kept"\nlength = {rng.choice([900, 1500, 2800])}\n{measured()}'
        return [kept + (f"sheet = {rng.randint(1, 3)}\nfirst_motif = 700\n" if is_panels else "")]
    if is_panels:
        return _sheets(rng, stock)
    length = 6000 if keys["roll_length"] == 6000 else 10050
    size = f"length = {length}\n"
    rolls = {
        "part rolls": [f"length = {rng.choice([3000, 5300, 5900])}\n{measured()}" for _ in range(2)],
        "flaws": [f"{size}{measured()}flaws = [{{from = {rng.choice([1000, 3100])}, to = 3150}}]\n"] * 2,
        "foot first": [f"{size}foot_first = true\n{measured()}", f"{size}foot_first = true\n"],
        "batches": [f'{size}batch = "A"\ncount = 3\n', f'{size}batch = "B"\n{measured()}'],
        "prices": [f"{size}price = 50\ncount = 2\n", f"length = 5900\nprice = 20\n{measured()}"],
        "pieces": [f"{size}pieces = [{{length = {length - 2900}}}, {{length = 2900}}]\n", f"{size}count = 2\n"],
        "too few": [size],
    }[stock]
    return [f'[[roll]]\nlabel = "{"PQRS"[number]}"\n{roll}' for number, roll in enumerate(rolls)]


def _sheets(rng: Random, stock: str) -> list[str]:
    last = SHEETS - (7 if stock == "too few" else 0)
    special = {
        "part rolls": "length = 2950\n",
        "flaws": "flaws = [{from = 2950, to = 2960}]\n",
        "foot first": "foot_first = true\n",
        "batches": 'batch = "B"\n',
        "prices": "price = 12\n",
        "pieces": "pieces = [{length = 2800, first_motif = 1400}, {length = 300, first_motif = 0}]\n",
    }.get(stock, "")
    which = rng.randint(1, 4)
    return [
        f'[[roll]]\nlabel = "s{number}"\nsheet = {number}\n{special if number == which else ""}'
        for number in range(1, last + 1)
    ]


def _wall(rng: Random, number: int, height: int) -> str:
    width = rng.randrange(1500, 2700, 50)
    text = f'[[wall]]\nname = "wall {number}"\nwidth = {width}\nheight = {height}\n'
    kind, foot, tall = rng.choice([("door", 0, 2030), ("window", 900, 1150), ("", 0, 0)])
    if kind:
        text += (
            f'[[wall.opening]]\nkind = "{kind}"\nleft = 400\nwidth = 830\nfoot = {foot}\nheight = {tall}\nreveal = 0\n'
        )
    return text


def _start(rng: Random, repeat: int, paper: str) -> str:
    if "panels" in paper:
        return '[start]\nwall = "wall 0"\nat = "middle"\nputs = "set"\nmotif_at = 1300\n'
    height = rng.choice([f"motif_drop = {rng.randrange(0, repeat, 10)}\n", "motif_at = 1650\n"]) if repeat else ""
    puts = rng.choice(["joint", "middle"])
    return f'[start]\nwall = "wall 0"\nat = {rng.choice([0, 265, 700])}\nputs = "{puts}"\n{height}'
