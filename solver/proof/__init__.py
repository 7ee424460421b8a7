"""Exact arithmetic: what is optimal or impossible, proved, written down and verified."""
