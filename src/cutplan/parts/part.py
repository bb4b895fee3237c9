"""What a job of several parts is: parts in the trade's order, each an ordinary scenario in one paper."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, Final, TypeAlias

from msgspec import Struct, field

from cutplan.room.walls import Room
from cutplan.scenario.read import Scenario
from cutplan.setting_out import SettingOut

if TYPE_CHECKING:
    from cutplan.lining.courses import LiningSetOut
    from cutplan.materials.material import Material
    from cutplan.parts.border import BorderSetOut
    from cutplan.scenario.lining_table import AskedLining

Json: TypeAlias = "dict[str, object]"


PART_KEYS: Final = ("rail", "band", "border", "lining", "damp_lining", "material")
"""What makes a file a job of several parts."""


class PartKind(Enum):
    """What a part of a job is."""

    LINING = "lining"
    BAND = "band"
    BORDER = "border"


class Part(Struct, frozen=True):
    """One part: planned, judged, sheeted and recorded as a job by itself."""

    name: str
    """What it is called: its plan, its record and its address bear the name."""
    kind: PartKind
    scenario: Scenario
    """The ordinary scenario of it, whose source is its address."""
    told: Json = field(default_factory=dict)
    """What else its plan has to state beside it, as plain JSON: where the strips of a border hang, or the lengths of a
    lining."""
    asked: AskedLining | None = None
    """Of a lining, what was asked of it."""
    border: BorderSetOut | None = None
    sharing: tuple[Part, ...] = ()
    """Of parts that are cut from the same rolls, each by itself."""

    @property
    def what(self) -> str:
        """What it is in a word; of parts that share rolls what each is."""
        return " and ".join(dict.fromkeys(each.kind.value for each in self.sharing or (self,)))

    @property
    def set_out(self) -> tuple[tuple[str, SettingOut], ...]:
        """Where its drops hang, by the name of their band: its own, or of each band that it is; none for a list."""
        own = self.scenario.setting_out
        return self.scenario.bands if own is None else ((self.name, own),)

    @property
    def lining(self) -> LiningSetOut | None:
        """Of a lining, where its lengths hang."""
        return self.scenario.lining


class PartedJob(Struct, frozen=True):
    """A room with several parts."""

    parts: tuple[Part, ...]
    """In the order in which the trade hangs them: lining, then from the ceiling down (frieze, filling, dado; *Radford's
    Cyclopedia*, vol. 10), then borders. Those in one paper are one part, in the place of the first."""
    room: Room
    """The whole room as surveyed."""
    document: Json
    """The whole file as plain JSON types."""
    source: str
    """Where it was read from."""
    materials: tuple[Material, ...] = ()
    """What is bought beside paper."""
    hanging: tuple[str, ...] = ()
    """What the parts are called in the order in which they hang, each by itself."""

    @property
    def has_list(self) -> bool:
        """True where more is bought than the papers: something lines the walls, or materials are named."""
        return bool(self.materials) or any(part.kind is PartKind.LINING for part in self.parts)

    def part(self, name: str) -> Part | None:
        """Return the part of this name, or the one that is cut from the same rolls as others; None for neither."""
        return next((part for part in (*self.parts, *self.single) if part.name == name), None)

    @property
    def apart(self) -> tuple[tuple[Part, ...], ...]:
        """Parts in one and the same paper that share none of it: less of it might do for them together."""
        papers = dict.fromkeys(part.scenario.job.paper.as_ordered for part in self.parts)
        alike = (tuple(part for part in self.parts if part.scenario.job.paper.as_ordered == paper) for paper in papers)
        return tuple(parts for parts in alike if len(parts) > 1)

    @property
    def single(self) -> tuple[Part, ...]:
        """Every part by itself, those that share rolls too."""
        return tuple(each for part in self.parts for each in part.sharing or (part,))

    @property
    def single_bands(self) -> tuple[Part, ...]:
        """Every band that has a place of its own to start."""
        return tuple(part for part in self.single if part.kind is PartKind.BAND)

    @property
    def addresses(self) -> list[str]:
        """How each part is named to a command."""
        return [part.scenario.source for part in self.parts]
