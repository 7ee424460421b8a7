"""The chemistry of pH: charge, ionic strength, prediction, and what moves them."""
