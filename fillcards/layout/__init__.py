"""Cards placed on paper: measured, at scale exactly 1, proven apart."""
