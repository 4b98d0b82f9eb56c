"""What did the founder write, is it whole, and where in the file does a fault stand."""

from solidsim.case.description import CaseDescription

__all__ = ["CaseDescription"]
