"""What every limit and every price is worth, on each side, and over a range."""
