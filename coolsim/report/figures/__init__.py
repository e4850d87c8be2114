"""The figures."""
