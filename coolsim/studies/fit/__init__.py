"""A scenario fitted to a thermometer."""
