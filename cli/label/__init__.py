"""``barwright label``."""
