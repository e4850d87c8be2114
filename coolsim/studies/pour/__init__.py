"""How hot to pour."""
