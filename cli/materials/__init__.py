"""``barwright materials``."""
