"""``barwright check``."""
