"""How many rolls to buy: numbers that hold however the rolls begin, and what stands behind each."""

from cutplan.buying.how_many import Answer, Wishes, how_many_rolls
from cutplan.buying.need import Size

__all__ = ["Answer", "Size", "Wishes", "how_many_rolls"]
