"""How near to the experts: beats, boundaries and P waves on open recordings."""
