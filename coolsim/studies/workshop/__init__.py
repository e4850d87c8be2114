"""Amounts, boxes and the day of a workshop."""
