"""Makes again what is made from the code, and prepares machines."""
