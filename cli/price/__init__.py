"""``barwright price``."""
