"""Many days and many plans: seeds, executors, comparison, sweep, choice."""
