"""The sheet as a PDF, by an optional part; any browser prints the page as well."""

from __future__ import annotations

import logging
from types import ModuleType
from typing import Final

from cutplan.errors import MissingPartError

PAPERS: Final = {"a4": "A4", "letter": "Letter"}
_WITHOUT: Final = (
    "Without it: write the sheet to a .html file, open that in a browser and choose Print, then Save as PDF"
)


class _Unknown(logging.Handler):
    """Hears of each letter that no font of the machine has."""

    def __init__(self) -> None:
        super().__init__()
        self.letters: dict[str, None] = {}

    def emit(self, record: logging.LogRecord) -> None:
        if str(record.msg).startswith(".notdef") and isinstance(record.args, tuple):
            self.letters[str(record.args[0])] = None


def sheet_pdf(page: str, paper: str = "a4") -> tuple[bytes, str]:
    """Return a sheet as PDF, tagged for screen readers, and the letters in place of which it has empty boxes.

    ``page`` is the HTML of :func:`job_sheet` or :func:`customer_sheet`.

    MissingPartError when the optional part is not installed, or what it needs of the system is not.
    """
    weasyprint = _weasyprint()
    size = weasyprint.CSS(string=f"@page {{ size: {PAPERS[paper]} }}")
    unknown, log = _Unknown(), logging.getLogger("weasyprint")
    log.addHandler(unknown)
    try:
        made: bytes = weasyprint.HTML(string=page).write_pdf(stylesheets=[size], pdf_variant="pdf/ua-1")
    finally:
        log.removeHandler(unknown)
    return made, "".join(unknown.letters)


def _weasyprint() -> ModuleType:
    try:
        import weasyprint  # noqa: PLC0415 - late: an optional part, and slow to load
    except ImportError as error:
        raise MissingPartError(f"a PDF needs weasyprint: pip install 'cutplan[pdf]'. {_WITHOUT}") from error
    except OSError as error:
        raise MissingPartError(
            f"weasyprint cannot find the Pango library of the system ({error}). {_WITHOUT}"
        ) from error
    return weasyprint  # type: ignore[no-any-return, unused-ignore]
