"""Every sentence of a card: messages as data (``en.po``), typed slots, and one renderer for all forms (``messages``).

Knows what is planned (floors 0-4) and nothing of pictures, cards, pages or files.
"""
