"""The version of this code, which every derived value carries."""

__version__ = "0.1.0"
