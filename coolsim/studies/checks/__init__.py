"""How far an answer depends on the grid and on the model of the melt."""
