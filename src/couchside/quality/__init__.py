"""Is it fit to read: findings with remedies, and one verdict."""
