"""Too few rolls: what they do all the same, and what could be given up so that they do."""

from cutplan.too_few.covering import Covered, cover, more_rolls, walls_in_order
from cutplan.too_few.given_up import GivenUp, could_be_given_up
from cutplan.too_few.offcut_uses import BatchUse, uses_of

__all__ = ["BatchUse", "Covered", "GivenUp", "could_be_given_up", "cover", "more_rolls", "uses_of", "walls_in_order"]
