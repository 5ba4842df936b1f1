"""Pictures of the concrete: weather with drying, and finishing windows with the work in them."""
