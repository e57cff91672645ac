"""The prescribed regimen: from the tree of a file to frozen data, or every problem of its keys and values."""
