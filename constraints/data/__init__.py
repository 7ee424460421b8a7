"""The packaged catalogue: substances, materials and limits, every entry with its source."""
