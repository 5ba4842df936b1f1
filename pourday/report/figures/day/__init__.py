"""Pictures of one day: time line of trucks, strips and upsets; concrete placed; deck in use."""
