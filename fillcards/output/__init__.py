"""One file per kind of output; the only floor that knows a library which writes files."""
