"""Proven cutting plans and a numbered cutting sequence for patterned wallcoverings."""

__version__ = "0.1.0"
