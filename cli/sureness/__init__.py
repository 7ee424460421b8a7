"""How sure an answer is: asked for, shown, and as JSON."""
