"""``barwright plan``: what to buy, and what to make in which order."""
