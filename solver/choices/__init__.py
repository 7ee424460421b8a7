"""Yes/no choices made the other way, and compositions that cost little more."""
