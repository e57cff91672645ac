"""Many cards in one run. Nothing is built here yet."""
