"""From samples to beats: filters, QRS detection, grouping, representative beat, boundaries."""
