"""What to buy, from whom and when, and what to make of it in which order."""
