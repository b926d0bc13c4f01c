"""To scale: grid, lead layouts, one page model, rendered to PDF and SVG."""
