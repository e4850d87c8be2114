"""Many runs: points, workers, what has been found so far."""
