"""Live formulas: the definitions that post, turned into formulas of the workbook.

What a formula reckons with stands on the sheet 'Reference', one line a figure, with room for
a figure of one's own; ``ledger.live.own`` puts the same figures into what ``balance`` uses.
"""
