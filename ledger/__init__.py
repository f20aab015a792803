"""A whole-farm nutrient ledger that is kept in a spreadsheet."""

__version__ = "0.1.0"
