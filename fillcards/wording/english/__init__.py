"""The cards' sentences in English.

Rules of the house: short words, at most 15 words a sentence, active, one act a step; sentence case, no slant, no
underline, no block capitals; "units" in full, a zero before a decimal point, a space before the unit; never a number
of minutes to wait, never a dose proposed.
"""
