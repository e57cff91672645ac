"""The desk: write a regimen file as sentences, look at the card, have it checked blind, give it out; in a browser.

The folder's regimen files stay the truth: what is written here the command line reads, comments and all. One process on
this machine serves one folder; nothing here reaches the network.
"""
