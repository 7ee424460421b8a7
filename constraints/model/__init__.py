"""What a bar is made of and for: substances, materials, the shelf, the brief, compositions."""
