"""What is typed: `command_line` reads it, and one file for each stage of a makeover does it and says what came out.

`planning` goes from the count to what is built, `living` is for the years with it, `several` for many closets at once;
`printing` prints. Nothing is worked out here that `capacity.api` or a room does not offer, and what is heavy is
imported by the command that needs it.
"""

__all__ = ["command_line"]
