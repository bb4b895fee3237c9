"""Which keys each object of a document may have that the judge reads: any other it names as taken on trust."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final, NamedTuple, TypeAlias

Keys: TypeAlias = "Mapping[str, Shape | None]"


class Partly(NamedTuple):
    """Keys of which some are not read in every object: ``idle`` tells in which words, apart by blanks."""

    keys: Keys
    idle: Callable[[Mapping[str, Any]], str]


Shape: TypeAlias = "Keys | Partly"
"""What may stand in an object, or in each of a list; None where a value has no keys, or labels for keys."""


def _of(keys: str, **within: Shape | None) -> dict[str, Shape | None]:
    """Return the keys of an object, apart by blanks; ``within`` are those that hold objects."""
    return {**dict.fromkeys(keys.split()), **within}


def _when(key: str, idle: str, otherwise: str = "") -> Callable[[Mapping[str, Any]], str]:
    """Return what says which keys are not read beside another, and which without it."""
    return lambda held: idle if held.get(key) is not None else otherwise


_SPAN: Final = _of("from to")
_TRIM: Final = _of("top bottom")
_PRICES: Final = _of("scale drops premiums")
_PROVED: Final = _of("by bound", prices=_PRICES)
_PROOF: Final = {**_PROVED, "to_buy": _PROVED}

# The scenario that a document answers, as its author wrote it

_START: Final = Partly(
    _of("wall at middle_of between puts motif_drop motif_at way"),
    lambda start: "middle_of between" if "at" in start else "between" if "middle_of" in start else "",
)
_FINISH: Final = Partly(_of("wall at over"), _when("over", "at"))
_CUTTING: Final = _of("order open_rolls first_walls")
_PACE: Final = _of("pasted soak folded minutes_cut minutes_paste minutes_full minutes_small begin stop mate")
_PAPER: Final = _of(
    "name roll_length roll_width match offset_direction price motif_from_left motif_width motif_above motif_below "
    "wet_growth foil reverse sideways packet singles price_per across sold_by order_least order_step "
    "selvedge selvedge_left selvedge_right overlap",
    picture=_of("file left right top bottom"),
)
_WANTED_ROLL: Final = _of(
    "label length first_motif count batch price sheet foot_first", flaws=_SPAN, pieces=_of("length first_motif")
)
_OFFCUT: Final = _of("label length first_motif left right batch after sheet")
_DROP: Final = _of(
    "label height first_motif count wall batch turned sheet left right along",
    cut_outs=Partly(_of("label from_top first_motif length left right"), _when("label", "from_top", "first_motif")),
    trim=_TRIM,
)
_WALL: Final = Partly(
    _of(
        "name width height top foot corner turn lap true_corner",
        opening=_of("kind name left width foot height reveal"),
        fitting=_of("kind name left width foot height"),
    ),
    _when("top", "height"),
)
_OF_A_PAPER: Final = _of(
    "",
    paper=_PAPER,
    trim=_TRIM,
    sheets=_of("count first first_motif"),
    equal_strips=_of("edge_trim"),
    roll=_WANTED_ROLL,
    offcut=_OFFCUT,
    cutting=_CUTTING,
    pace=_PACE,
    start=_START,
    finish=_FINISH,
)
_KEYS_OF_SCENARIO: Final = {
    **_OF_A_PAPER,
    **_of("units", room=_of("closes level_line built textured"), wall=_WALL, drop=_DROP),
}
_SCENARIO: Final = Partly(_KEYS_OF_SCENARIO, _when("wall", "", "room start finish equal_strips"))
_LINING: Final = _of(
    "name roll_length roll_width price way corners at_openings stop_short end clear dries adhesive",
    part=_of("wall left width foot height"),
    roll=_WANTED_ROLL,
    cutting=_CUTTING,
    pace=_PACE,
)
_SCENARIO_OF_PARTS: Final = {
    **_KEYS_OF_SCENARIO,
    "rail": _of("name foot height"),
    "band": {**_OF_A_PAPER, **_of("name above below bare level_line")},
    "border": _of(
        "name round wall foot top let_in joins ends across",
        start=_START, finish=_FINISH, paper=_PAPER, roll=_WANTED_ROLL, offcut=_OFFCUT, cutting=_CUTTING, pace=_PACE,
    ),
    "lining": _LINING,
    "damp_lining": _LINING,
    "material": _of("name use covers pack price on"),
}  # fmt: skip

# A plan

_PANEL: Final = _of("wall from to paper_from paper_to")
_PIECE: Final = _of("drop column top foot turned_under first_motif paper_from paper_to", panels=_PANEL)
_SETTING_OUT: Final = _of(
    "level_line",
    columns=_of("column", panels=_PANEL),
    pieces=_PIECE,
    patches=_PIECE,
    closing=_of("wall at sideways height"),
)
_CUT: Final = _of("drop from_mm to_mm from to turned")
_CUTS_AND_FIGURES: Final = _of(
    "status objective rolls_needed lower_bound cost cost_lower_bound at_best at_best_lower_bound at_best_status "
    "at_best_cost at_best_cost_lower_bound stopped rolls_to_buy rolls_to_buy_lower_bound at_best_to_buy "
    "at_best_to_buy_lower_bound",
    proof=_PROOF,
    at_best_proof=_PROOF,
    rolls=_of("roll lot count length_mm first_motif_mm sealed left_mm slack_mm", cuts=_CUT),
    at_best_rolls=_of("roll lot count", cuts=_of("drop from to")),
    batches=_of("walls rolls by", changes=_of("left right corner"), certificates={**_PRICES, **_of("batch shortage")}),
    to_buy=_of("rolls packets packets_lower_bound singles cost"),
    ordered=_of("length lower_bound needed cost", pieces=_of("lot length count")),
    widths=_of("as_sold selvedge_left selvedge_right overlap as_hung"),
    sheets=_of("sheet roll head foot left right"),
)
_WITHIN: Final = {**_CUTS_AND_FIGURES, **_of("format")}
_PARTIAL: Final = {
    **_CUTS_AND_FIGURES,
    **_of(
        "",
        without_offcuts=_of("rolls_needed cost proved", plan=_WITHIN),
        order=_of(
            "follow open_rolls most_waiting most_waiting_lower_bound furthest_ahead furthest_ahead_lower_bound status "
            "cuts"
        ),
        timetable=Partly(
            _of("act piece day at begin minutes steps"), lambda act: "" if act.get("act") == "cut" else "steps"
        ),
    ),
}
_KEYS_OF_PLAN: Final = {**_PARTIAL, **_of("format notes", setting_out=_SETTING_OUT, scenario=_SCENARIO)}
_OF_STEP: Final = Partly(
    {
        **_WITHIN,
        **_of(
            "left_out",
            rolls_to_be_had=_of("lot batch"),
            drop=_DROP,
            start=_START,
            finish=_FINISH,
            setting_out=_SETTING_OUT,
        ),
    },
    _when("start", "drop left_out", "finish setting_out"),
)


def _without_walls(document: Mapping[str, Any]) -> str:
    """Return what is not read where drops are listed."""
    scenario = document.get("scenario")
    return "" if isinstance(scenario, dict) and "wall" in scenario else "setting_out"


PLAN: Final = Partly(_KEYS_OF_PLAN, _without_walls)
_KEYS_OF_TOO_FEW: Final = _of(
    "format status rolls_needed lower_bound rolls reason bare walls_in_order whole_walls covers_most notes",
    shortage_prices=_PRICES,
    given_up=_of(
        "kind what more_rolls_needed more_rolls_lower_bound rolls_of_another_batch", plan=_OF_STEP, other_plan=_OF_STEP
    ),
    partial=_PARTIAL,
    setting_out=_SETTING_OUT,
    scenario=_SCENARIO,
)
TOO_FEW: Final = Partly(_KEYS_OF_TOO_FEW, _without_walls)

# Several plans

_PART: Final = Partly({**_KEYS_OF_PLAN, "part": None}, _without_walls)
_ORDER: Final = _of("length lower_bound cost")
CONTRACT: Final = _of(
    "format",
    contract=Partly(
        _of(
            "spare_per_cent one_batch_to units",
            rooms=_of("room count part mirrored", surveyed=_SCENARIO, to_order={**_ORDER, "needed": None}),
            batches=_of("roll count batch"),
            paper=_PAPER,
        ),
        _when("paper", "", "units"),
    ),
    ways=_of(
        "way status rolls_needed lower_bound rolls_to_buy cost parts bound_part",
        to_order={**_ORDER, "with_spare": _ORDER},
        bound_in_turns=_of("by scale", turns=_of("rooms prices")),
        bound_together=_PROVED,
        rooms=_of("room wall lot", rolls=_of("roll cuts drops")),
    ),
    plans=_PART,
)
_STRIPS: Final = _of("drop side leans", stretches=_of("wall left right foot head rise"))
_CLOSES: Final = _of("wall at out_by hidden")
_IDLE_PART: Final = {
    "band": "strips closes lengths clashes",
    "lining": "strips closes setting_out",
    "border": "lengths clashes setting_out",
}


def _of_another_kind(part: Mapping[str, Any]) -> str:
    """Return what is not read of a part of its kind, and of one of several bands but in each of them."""
    told = part.get("kind")
    idle = _IDLE_PART.get(told, "") if isinstance(told, str) else ""
    return "strips closes lengths clashes setting_out" if "bands" in part else idle


PARTS: Final = _of(
    "format",
    scenario=_SCENARIO_OF_PARTS,
    parts=Partly(
        _of(
            "part kind",
            bands=Partly(
                _of("band kind", scenario=_SCENARIO, setting_out=_SETTING_OUT, strips=_STRIPS, closes=_CLOSES),
                _of_another_kind,
            ),
            strips=_STRIPS,
            closes=_CLOSES,
            lengths=_of("drop course", panels=_of("wall from to foot top"), reveal=_of("wall opening side")),
            clashes=_of("wall at paper_at"),
        ),
        _of_another_kind,
    ),
    days=_of("part day"),
    shopping=_of(
        "",
        rolls=_of("part rolls in_hand returned cost proved length"),
        materials=_of("material use parts amount covers packs by_label cost common_practice"),
    ),
    plans=_PART,
)

# A record of work

_OF_ENTRY: Final = _of("format entry at kind asked")
_STOCK: Final = _of(
    "label of length first_motif count batch price foot_first left right offcut cut_from sheet",
    parts=_of("start length first_motif"),
)
_STEP: Final = _of("step act lot first count words drop piece length motif")


def _not_first(entry: Mapping[str, Any]) -> str:
    return "" if entry.get("entry") == 1 else "format"


_ENTRIES: Final = {
    "plan": _of("plan scenario", steps=_STEP, stock=_STOCK, document=PLAN),
    "done": _of("plan steps times first_motif"),
    "cut": _of("piece roll length corrects short"),
    "pasted": _of("pieces"),
    "hung": _of("pieces"),
    "spoiled": _of("piece why good good_at"),
    "measured": _of("roll left first_motif"),
    "flawed": _of("roll from length"),
    "bought": _of("", stock=_STOCK),
    "at work": _of("begins by"),
    "corrected": _of("scenario pieces", document=_SCENARIO),
    "undone": _of("undoes"),
}
ENTRIES: Final = {kind: Partly({**_OF_ENTRY, **facts}, _not_first) for kind, facts in _ENTRIES.items()}
"""Those of each kind of entry, but for its sum."""
END: Final = _of("format entries sum answered")
"""Those of the file beside a record."""


def unknown_keys(value: object, shape: Shape, path: str = "") -> Iterator[str]:
    """Yield the path of every key that is not of the shape; entries of a list share the path of the list."""
    if isinstance(value, list):
        for entry in value:
            yield from unknown_keys(entry, shape, path)
    elif isinstance(value, dict):
        keys, idle = (shape.keys, shape.idle(value).split()) if isinstance(shape, Partly) else (shape, [])
        for key, held in value.items():
            within = f"{path}.{key}" if path else key
            if key not in keys or (key in idle and held is not None):
                yield within
            elif (further := keys[key]) is not None:
                yield from unknown_keys(held, further, within)


def unknown_told(value: object, shape: Shape, path: str = "") -> tuple[str, ...]:
    """Return what is named as taken on trust for keys that are not of the shape; nothing where there is none."""
    unknown = sorted(set(unknown_keys(value, shape, path)))
    return (f"what this judge does not know of: {', '.join(unknown)}",) if unknown else ()
