"""What the deck and its beams carry: pure functions over numpy arrays, SI units."""
