"""How heavy to press, so that the declared weight is kept."""
