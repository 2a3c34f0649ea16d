"""One module a command; each parses and prints, and leaves the work to the library.

Heavy libraries are imported inside the commands, so that help appears at once.
"""
