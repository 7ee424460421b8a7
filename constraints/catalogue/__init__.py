"""What is known without the maker: the packaged substances, materials and classes."""
