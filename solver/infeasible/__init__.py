"""Why there is no composition: irreducible clashes, and the ways out."""
