"""Many cards in one run: a roster in, one card set and one outcome a prescription out; resumable, nothing made twice.

``roster_file`` and ``table`` find the prescriptions, ``survey`` looks at all of them once, ``run_folder`` gives the run
a folder of its own, ``known`` says what a register knows of them, ``make_row`` makes the cards of one prescription, in
a worker, ``second_roster`` holds another person's roster against it. ``pools`` and ``dask_pool`` are the workers,
``order`` keeps the roster's order, ``journal`` remembers what was made, in ``json_lines``, ``summary`` and ``one_file``
write what comes of the whole, ``printing`` sends it to a printer, ``run`` ties them together. ``watch`` is the other
way in: files dropped into a folder, one by one.
"""
