"""The sheet as a PDF, by an optional part; any browser prints the page as well."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.errors import MissingPartError

if TYPE_CHECKING:
    from types import ModuleType

PAPERS: Final = {"a4": "A4", "letter": "Letter"}
_WITHOUT: Final = (
    "Without it: write the sheet to a .html file, open that in a browser and choose Print, then Save as PDF"
)


def sheet_pdf(page: str, paper: str = "a4") -> bytes:
    """Return a sheet as PDF, tagged for screen readers.

    Parameters
    ----------
    page
        The HTML of :func:`job_sheet` or :func:`customer_sheet`.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    MissingPartError
        When the optional part is not installed, or what it needs of the system is not.

    """
    weasyprint = _weasyprint()
    size = weasyprint.CSS(string=f"@page {{ size: {PAPERS[paper]} }}")
    made: bytes = weasyprint.HTML(string=page).write_pdf(stylesheets=[size], pdf_variant="pdf/ua-1")
    return made


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
