"""What pulls the pH of a mix, what a step of it is worth, and the acid it takes."""
