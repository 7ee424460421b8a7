"""How it is shown that there is no composition, and the ways out."""
