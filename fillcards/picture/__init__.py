"""Pictures as device-independent items in mm: barrels, patterns, stop marks, close-ups and the print check."""
