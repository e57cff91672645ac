"""Rosters and prescriptions into the same regimen a file becomes. Nothing is built here yet."""
