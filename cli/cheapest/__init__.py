"""``barwright cheapest``."""
