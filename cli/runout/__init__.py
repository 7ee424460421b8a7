"""``barwright runout``."""
