"""What goes on the box."""
