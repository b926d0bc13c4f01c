"""One module a part of the site; each view loads, asks a use case, and shows."""
