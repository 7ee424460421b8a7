"""What is not known exactly: lots that may come, and compositions that bear them."""
