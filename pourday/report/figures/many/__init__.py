"""Pictures of many days of one plan: concrete over the clock, waits, price by line."""
