"""``barwright new``."""
