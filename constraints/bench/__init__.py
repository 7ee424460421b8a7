"""The maker's files: everything that is read from them and written to them."""
