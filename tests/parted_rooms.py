"""Random rooms of several parts: slopes, stairs and steps, rails of every kind, borders over them and let in."""

from __future__ import annotations

from random import Random

_RAILS = (
    (),
    ("850",),
    ('"700 mm above foot"',),
    ('"400 mm below top"',),
    ("850", '"350 mm below top"'),
    ('"600 mm above foot"', '"500 mm below top"'),
    ("700", "1500"),
)

_HEIGHTS = ("foot = 1000", 'top = "0 mm below top"', "foot = 1900", 'foot = "300 mm above foot"')


def parted_room(seed: int) -> str:
    """Return the TOML of a room; some cannot be planned, and say so."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    count = chance.choice([1, 2, 4])
    closes = count > 2 and chance.random() < 0.6
    walls = [_wall(chance, number, has_corner=closes or number < count - 1) for number in range(count)]
    openings = [f"o{number}" for number, wall in enumerate(walls) if "wall.opening" in wall]
    rails = chance.choice(_RAILS)
    start = f'[start]\nwall = "w0"\nat = {chance.choice([0, 137])}\nputs = "{chance.choice(["joint", "middle"])}"\n'
    parts = [f'units = "mm"\n[room]\ncloses = {str(closes).lower()}\n', *walls, start, "motif_drop = 0\n"]
    for number, foot in enumerate(rails):
        parts.append(f'[[rail]]\nname = "r{number}"\nfoot = {foot}\nheight = {chance.choice([0, 45])}\n')
    if not rails:
        parts.insert(1, f"[paper]\n{_paper(chance)}")
    for number in range(len(rails) + 1 if rails else 0):
        above = f'above = "r{number - 1}"\n' if number else ""
        below = f'below = "r{number}"\n' if number < len(rails) else ""
        paper = "bare = true\n" if chance.random() < 0.2 else f"[band.paper]\n{_paper(chance)}"
        parts.append(f'[[band]]\nname = "band {number}"\n{above}{below}{paper}')
    if chance.random() < 0.4 or not rails:
        parts.append(_border(chance, "run", chance.choice(_HEIGHTS)))
    if openings and chance.random() < 0.4:
        parts.append(_border(chance, "frame", f'round = "{openings[0]}"'))
    return "".join(parts)


def _wall(chance: Random, number: int, *, has_corner: bool) -> str:
    width, height = chance.randrange(600, 4000), chance.randrange(2200, 3200)
    rise, shape = 0, chance.random()
    edges = f"height = {height}\n"
    if shape < 0.3:
        at, rise = chance.randrange(100, width - 50), chance.randrange(200, 1500)
        edges = f"foot = [[0, 0], [{at}, 0], [{width}, {rise}]]\nheight = {height + rise}\n"
    elif shape < 0.5:
        low = chance.randrange(1200, height)
        edges = f"top = [[0, {low}], [{width // 2}, {height}], [{width}, {height}]]\n"
    elif shape < 0.6:
        step = f"[{width // 2}, {height}], [{width // 2}, {height - 400}]"
        edges = f"top = [[0, {height}], {step}, [{width}, {height - 400}]]\n"
    corner = f'corner = "{chance.choice(["internal", "external"])}"\n' if has_corner else ""
    wall = f'[[wall]]\nname = "w{number}"\nwidth = {width}\n{edges}{corner}'
    if width > 900 and chance.random() < 0.6:
        left, wide = chance.randrange(0, width - 650), chance.randrange(300, 600)
        wall += f'[[wall.opening]]\nkind = "{chance.choice(["door", "window"])}"\nname = "o{number}"\n'
        wall += f"left = {left}\nwidth = {wide}\nfoot = {rise + chance.choice([0, 700])}\n"
        wall += f"height = {chance.randrange(300, 900)}\nreveal = {chance.choice([0, 90])}\n"
    return wall


def _paper(chance: Random) -> str:
    match = chance.choice(["free", "32 cm", "64/32 cm"])
    return f'roll_length = "10.05 m"\nroll_width = {chance.choice([400, 530])}\nmatch = "{match}"\n'


def _border(chance: Random, name: str, where: str) -> str:
    hung = f"let_in = {chance.choice(['true', 'false'])}"
    label = f'roll_length = "5 m"\nroll_width = 97\nmatch = "{chance.choice(["free", "31.5 cm"])}"\n'
    return f'[[border]]\nname = "{name}"\n{where}\n{hung}\n[border.paper]\n{label}'
