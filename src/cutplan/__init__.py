"""Proven cutting plans and a numbered cutting sequence for patterned wallcoverings."""

import sys

__version__ = "0.1.0"

if "IPython" in sys.modules:
    from cutplan.render.in_notebooks import tell_notebook

    tell_notebook()
