"""Whole files, locks and versions: whatever fails while something is written, the folder holds the old or the new.

A file is written beside its place and then given its name; one writer at a time holds a folder's lock; what stood there
before can be brought back. Nothing here knows what a file says.
"""

__all__ = ["file_lock", "files", "folder_lock", "folder_swap", "versions"]
