"""Pictures of the deck: moments, use of resistance, bent shape, level of the finished top."""
