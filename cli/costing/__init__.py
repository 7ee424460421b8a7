"""How what a batch costs is shown, on its sheet and by itself."""
