"""A set top, repaired with hot air."""
