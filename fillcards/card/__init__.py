"""The card as meaning in reading order: the patient's pages and the staff sheet. Every output starts from it."""
