"""``barwright fill``."""
