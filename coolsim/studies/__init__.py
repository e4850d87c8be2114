"""Questions asked of many runs: sweeps over keys of a scenario, and the choice of the pour temperature."""
