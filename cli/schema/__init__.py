"""``barwright schema``: what a file of a bench may hold, for editors."""
