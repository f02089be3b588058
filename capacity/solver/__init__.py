"""Find a layout that stores the most, and prove how much any layout could.

Walls are rows of bays, bays are stacks of openings, openings hold piles: a two-staged guillotine knapsack with
assortments in its leaves. Each room is one part of the method:

- `relaxation`: the bound. The linear relaxation over whole bays is solved by column generation: its master prices each
  pile, and the best bay of every width at these prices comes from knapsacks within knapsacks (dynamic programming over
  heights, then over widths). By weak duality the best rows of bays at any prices, and what the piles are worth above
  their prices, are together a bound (Lagrangian) that no layout exceeds.
- `filling`: openings that stand are filled as well as possible, exactly or greedily; the capacity multiple follows.
- `proof`: one small wall is closed by branch and bound over bays at their relaxation; a small whole by one program.
- `search`: the layout. Dives fix one bay after the other in the relaxation; then rounds of ruin and recreate build some
  bays anew, and an integer program spaces the shelves of several bays anew at once.
- `goals`: once the value is found, few places, reach, few sizes, room to spare or little panel, each keeping
  what came before.
- `planning` puts these in order; `effort` counts their work, so that the same seed gives the same bytes; `progress`
  tells how far they are, `best_so_far` keeps what is found, `interrupts` hears who wants it to end.
- `refilling` fills what stands now and moves no board; `boards_to_move` says which few boards are worth moving.

References: Gilmore and Gomory 1965 (multistage cutting, column generation); Lodi and Monaci 2003 (two-staged guillotine
knapsack by levels); Desaulniers, Desrosiers and Solomon 2005 (column generation, Lagrangian bound); Schrimpf and others
2000 (ruin and recreate); Joncour and others 2010 (diving). From memory, not looked up. Nothing here reads or writes a
file of a folder but the progress and the best so far, and nothing is drawn.
"""

__all__ = ["best_so_far", "boards_to_move", "effort", "interrupts", "planning", "progress", "refilling", "trying"]
