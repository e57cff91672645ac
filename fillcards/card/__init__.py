"""The card as meaning in reading order: the patient's pages and the maker's page. Every output starts from it."""
