"""The byte vault, the tables and their migrations."""
