"""``barwright batch``."""
