"""One recording against the same patient's earlier ones."""
