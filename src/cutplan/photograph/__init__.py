"""The print of a paper, straightened from a photograph of it: read from beside the scenario, and drawn on walls."""

from cutplan.photograph.file_beside import MOST_BYTES, PictureError
from cutplan.photograph.print_of import Print, print_of
from cutplan.photograph.straightened import kept

__all__ = ["MOST_BYTES", "PictureError", "Print", "kept", "print_of"]
