"""The numbers a reader quotes: rate, intervals, axes, QTc, with limits and reasons."""

from couchside.measures.measure import measure
from couchside.measures.model import Limits, Measured, MeasureName, Measures, Standing

__all__ = ["Limits", "MeasureName", "Measured", "Measures", "Standing", "measure"]
