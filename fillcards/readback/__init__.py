"""Finished bytes, and what they say: the last look at a card before anybody gets it.

Knows the regimen and the catalogue, and nothing of the code that plans, words, draws, places or writes a card; the few
habits of a card that it relies on are restated in ``conventions``.
"""
