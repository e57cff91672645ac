"""Many cards in one run: a roster in, one card set and one outcome a prescription out; resumable, nothing made twice.

``roster_file`` finds the prescriptions, ``survey`` looks at all of them once, ``run_folder`` gives the run a folder of
its own and remembers what was made, ``known`` says what a register knows of them, ``make_row`` makes the cards of one
prescription, in one of the ``workers``, ``second_roster`` holds another person's roster against it. ``summary`` writes
what comes of the whole, ``printing`` sends it to a printer, ``run`` ties them together. ``watch`` is the other way in:
files dropped into a folder, one by one.
"""
