"""Many cards in one run: a roster in, one card and one outcome per row out; resumable, and nothing made twice.

``roster_file`` finds the rows, ``survey`` looks at all of them once, ``make_row`` makes the card of one (in a worker),
``pools`` and ``dask_pool`` are the workers, ``order`` keeps the roster's order, ``journal`` remembers what was made,
``summary`` and ``one_file`` write what comes of the whole, ``repeats`` knows which faults were told, ``run`` ties them
together.
"""
