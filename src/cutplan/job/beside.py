"""Parts cut from the same rolls: the drops of each, called after it, beside those of the others."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.drops import Drop, drops_of
from cutplan.lengths import Length
from cutplan.setting_out import SettingOut


def called_after(found: SettingOut, name: str) -> SettingOut:
    """Return where a band's drops hang, each called after the band."""
    return replace(found, pieces=tuple(replace(piece, name=f"{name} {piece.label}") for piece in found.pieces))


def on_walls_of(drops: Iterable[Drop], name: str) -> tuple[Drop, ...]:
    """Return drops of a part, their walls called after it: each part has its wall to itself."""
    return tuple(replace(drop, wall=f"{drop.wall}, {name}") for drop in drops)


class Beside(Struct, frozen=True):
    """What hangs beside one band, cut from the same rolls: drops of the parts before it and after it."""

    band: str
    before: tuple[Drop, ...]
    after: tuple[Drop, ...]

    def with_band(self, found: SettingOut, trims: tuple[Length, Length]) -> tuple[Drop, ...]:
        """Return the drops of all, the band hung as it is set out."""
        own = drops_of(called_after(found, self.band), *trims, counts_cut_outs=True)
        return (*self.before, *on_walls_of(own, self.band), *self.after)
