"""Too few rolls: what they do all the same, and what could be given up so that they do."""

from cutplan.too_few.covering import Covered, cover, more_rolls, walls_in_order

__all__ = ["Covered", "cover", "more_rolls", "walls_in_order"]
