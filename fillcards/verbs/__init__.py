"""What the program does, one module a verb, each with ``run``; what a verb takes, and its help, is in ``verbs.toml``.

A module is loaded when its verb is run, and whatever is heavy there when it is used, so that a verb costs only that.
"""
