"""What a bar costs and what to ask for it."""
