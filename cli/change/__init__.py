"""How a changed formula is asked for and shown."""
