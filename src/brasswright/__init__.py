"""Brasswright: the bench book of a small workshop that restores espresso machines.

One journal a machine; odds, plan, estimate, hold points and papers are worked out from it.
"""

__all__ = ["__version__"]

__version__ = "0.1.0"
