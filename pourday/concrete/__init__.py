"""Age, temperature, evaporation and strength of concrete: pure functions over numpy arrays."""
