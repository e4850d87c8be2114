"""The version of coolsim, on the lowest floor, where everything may ask for it."""

__version__ = "0.2.0"

NUMERICS = 2
"""Goes up when a jar gets other answers, from other cells or steps: journals of before are then no longer believed."""
