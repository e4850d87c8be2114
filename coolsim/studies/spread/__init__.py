"""How far answers may be off."""
