"""What every command is made of: the way in and out, files, screen, figures, words."""
