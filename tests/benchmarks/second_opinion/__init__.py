"""What a household's folder and its plan say, read, judged and solved again from the wording of the rules alone.

Nothing here imports `capacity`: a fault that both had in common would not be seen.
"""
