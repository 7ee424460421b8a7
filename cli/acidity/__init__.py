"""``barwright acidity``."""
