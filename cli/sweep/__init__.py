"""``barwright sweep``."""
