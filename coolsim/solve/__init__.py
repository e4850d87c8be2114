"""From a problem to its result."""
