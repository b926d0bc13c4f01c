"""Open formats in and out, one module a format, one registry, sniffed by content."""
