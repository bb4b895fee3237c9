"""Small scenarios, as text, with every sort of special stock: flaws, pieces, foot-first rolls, offcuts, cut-outs."""

from __future__ import annotations

import random

REPEAT = 8
"""A short repeat in whole millimetres, so that every place of a drop can be tried."""

WIDTH = 20
"""Width of the strip."""


def special_scenario(seed: int, *, free: bool) -> str:
    """Return the TOML of a small scenario: 2 to 5 drops, 1 to 3 rolls, often an offcut; the same for one seed."""
    chance = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    motif = "" if free else "first_motif = {}\n"
    blocks = [
        f'units = "mm"\n[paper]\nroll_length = 40\nroll_width = {WIDTH}\nmatch = "{"free" if free else "8 mm"}"\n',
        "[trim]\ntop = 1\nbottom = 1\n",
        *(_roll(chance, f"roll {number}", motif) for number in range(1, chance.randint(2, 4))),
    ]
    if chance.random() < 0.6:
        blocks.append(f'[[offcut]]\nlabel = "kept"\nlength = {chance.randint(6, 20)}\n{_motif(chance, motif)}')
        blocks[-1] += _across(chance)
    blocks += [_drop(chance, str(number), motif) for number in range(1, chance.randint(3, 6))]
    return "\n".join(blocks)


def _motif(chance: random.Random, motif: str) -> str:
    return motif.format(chance.randrange(REPEAT))


def _across(chance: random.Random) -> str:
    left, right = sorted(chance.sample(range(WIDTH + 1), 2))
    return f"left = {left}\nright = {right}\n"


def _roll(chance: random.Random, label: str, motif: str) -> str:
    size = chance.randint(24, 44)
    text = f'[[roll]]\nlabel = "{label}"\nlength = {size}\n'
    if chance.random() < 0.3:
        text += "foot_first = true\n"
    sort = chance.choice(["whole", "sealed", "flawed", "pieces"])
    if sort == "pieces":
        first = chance.randint(6, size - 8)
        second = f", first_motif = {chance.randrange(REPEAT)}" if motif and chance.random() < 0.6 else ""
        known = f", first_motif = {chance.randrange(REPEAT)}" if motif else ""
        rest = size - first - chance.randint(0, 1)
        return text + f"pieces = [{{length = {first}{known}}}, {{length = {rest}{second}}}]\n"
    if sort != "sealed":
        text += _motif(chance, motif)
    if sort == "flawed":
        flaw = chance.randint(5, size - 6)
        text += f"flaws = [{{from = {flaw}, to = {flaw + chance.randint(1, 3)}}}]\n"
    return text


def _drop(chance: random.Random, label: str, motif: str) -> str:
    height = chance.randint(3, 18)
    text = f'[[drop]]\nlabel = "{label}"\nheight = {height}\n{_motif(chance, motif)}'
    if chance.random() < 0.5:
        text += _across(chance)
    if chance.random() < 0.6:
        top = chance.randint(0, 2)
        left, right = sorted(chance.sample(range(WIDTH + 1), 2))
        size = max(height - top - chance.randint(0, 1), 1)
        text += f"cut_outs = [{{from_top = {top}, length = {size}, left = {left}, right = {right}}}]\n"
    return text
