"""``barwright curve``."""
