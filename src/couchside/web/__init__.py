"""Pages and API."""
