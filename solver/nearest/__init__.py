"""The nearest composition to one that can no longer be made."""
