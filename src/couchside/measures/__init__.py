"""The numbers a reader quotes: rate, intervals, axes, QTc, with limits and reasons."""
