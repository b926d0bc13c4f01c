"""From samples to beats: filters, QRS detection, grouping, representative beat, boundaries."""

from couchside.waves.delineate import delineate
from couchside.waves.model import GlobalBounds, RepresentativeBeat, WaveBounds, Waves

__all__ = ["GlobalBounds", "RepresentativeBeat", "WaveBounds", "Waves", "delineate"]
