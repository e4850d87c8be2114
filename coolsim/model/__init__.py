"""What is simulated: materials, the problem, its grid and the laws at its surfaces."""
