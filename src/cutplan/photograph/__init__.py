"""The print of a paper, straightened from a photograph of it: read from beside the scenario, and drawn on walls."""

from cutplan.photograph.file_beside import PictureError
from cutplan.photograph.print_of import Print, print_of

__all__ = ["PictureError", "Print", "print_of"]
