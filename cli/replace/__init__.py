"""``barwright replace``."""
