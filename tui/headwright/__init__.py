"""Headwright: walks a machinist through rebuilding a cylinder head, from receiving to release."""

__version__ = "0.1.0"
