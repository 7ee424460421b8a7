"""What must melt, what may not be warmed, and the temperature at which they meet."""
