"""``barwright verify``."""
