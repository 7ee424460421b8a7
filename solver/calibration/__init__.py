"""What readings of pH teach about the materials that were read."""
