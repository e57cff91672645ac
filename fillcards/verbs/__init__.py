"""What the program does, one module a verb.

Each offers ``HELP`` (one line), ``EXAMPLES`` (printed under the help and run by the tests), ``add_arguments`` and
``run``. Whatever is heavy is imported inside ``run``, so that a verb costs only what it uses.
"""
