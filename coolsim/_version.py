"""The version of coolsim, on the lowest floor, where everything may ask for it."""

__version__ = "0.1.0"
