"""Quantity before a survey: the rolls that a room takes wherever hanging starts and wherever its openings stand."""
