"""The version of coolsim, on the lowest floor, where everything may ask for it."""

__version__ = "0.2.0"
