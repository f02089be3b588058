"""What single pages of the packet say, as plain rows and drawings: cut list, drilling, labels, hours of work.

Each file reads a job and its parts and gives texts and numbers; how a page looks is the packet's, and nothing here
writes a file.
"""

__all__ = ["cut_list", "drawer_section", "drilling", "heights", "shopping_page", "stickers"]
