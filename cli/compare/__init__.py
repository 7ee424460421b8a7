"""``barwright compare``: several bars side by side."""
