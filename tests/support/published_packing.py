"""Published problems of cutting and packing with their optima; sources beside each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Sheet:
    """One problem as printed; `pieces` are width x height : value [* copies].

    `along` holds the optimum in two stages for levels along the width and along the height; `strip_height` and
    `sheets` are what all pieces need in levels along the width.
    """

    width: int
    height: int
    any_stage: int
    along: tuple[int, int]
    pieces: str
    strip_height: int = 0
    sheets: int = 0

    @property
    def rows(self) -> list[tuple[int, int, int, int]]:
        """Width, height, value and copies of each piece."""
        rows = []
        for piece in self.pieces.split():
            size, _, worth = piece.partition(":")
            value, _, copies = worth.partition("*")
            across, _, high = size.partition("x")
            rows.append((int(across), int(high), int(value), int(copies or 1)))
        return rows

    @property
    def turned(self) -> Sheet:
        """The same problem with the first cuts in the other direction."""
        pieces = " ".join(f"{high}x{across}:{value}*{copies}" for across, high, value, copies in self.rows)
        return Sheet(self.height, self.width, self.any_stage, self.along[::-1], pieces)


PUBLISHED = {
    # Christofides and Whitlock, Operations Research 25, 1977
    "CGCUT1": Sheet(15, 10, 244, (240, 244), "8x4:66*2 3x7:35 8x2:24*3 3x4:17*5 3x3:11*2 3x2:8*2 2x1:2", 21, 3),
    "CGCUT2": Sheet(
        40, 70, 2892, (2535, 2444),
        "21x22:582 31x13:403 9x35:315*3 9x24:216*3 30x7:210*2 11x13:143*3 10x14:140 13x7:90*3 14x8:110*3 12x8:94*3",
    ),
    # Beasley, Operations Research 33, 1985
    "NGCUT1": Sheet(10, 10, 164, (156, 156), "8x2:40*2 2x9:43*2 3x7:35*2 10x2:27 5x4:23*3", 23, 3),
    "NGCUT2": Sheet(10, 10, 230, (229, 230), "1x10:28*3 5x3:40*2 4x1:10 9x3:63*3 6x1:13*3 7x3:44*2 3x8:31*3", 36, 4),
    "NGCUT3": Sheet(
        10, 10, 247, (224, 238),
        "4x5:60*2 3x7:52*3 8x4:79 9x1:21*2 4x1:9*2 7x2:20*3 1x10:14 4x2:11*2 3x2:7*2 6x2:13*3", 34, 4,
    ),
    "NGCUT4": Sheet(15, 10, 268, (268, 241), "8x3:71 12x2:61*2 9x1:14 7x3:27 15x2:34*2", 12, 2),
    "NGCUT5": Sheet(
        15, 10, 358, (322, 358), "12x2:72*3 11x3:91 2x10:36 9x3:48 11x1:15*3 10x3:34*2 12x3:37*3", 37, 4,
    ),
    "NGCUT6": Sheet(
        15, 10, 289, (206, 267), "2x9:50 10x3:74 11x2:48 3x8:46 2x8:30*2 4x1:7 4x5:32 10x2:29*3 2x4:11 6x4:32*3", 26, 3,
    ),
    "NGCUT7": Sheet(20, 20, 430, (430, 378), "1x9:26*3 20x2:104 16x3:113 18x3:127 3x1:4*2", 15, 1),
    "NGCUT8": Sheet(
        20, 20, 834, (828, 741), "13x1:38*2 6x6:93*3 8x7:144*2 15x3:110 18x5:185*3 12x4:78 8x3:25", 37, 2,
    ),
    "NGCUT9": Sheet(
        20, 20, 924, (781, 714),
        "17x5:252 7x9:166 12x3:92*3 1x5:10 11x6:123*2 20x4:139*2 1x7:12*3 11x8:145*2 7x14:161*2 14x2:45", 67, 4,
    ),
    "NGCUT10": Sheet(30, 30, 1452, (1292, 1452), "1x30:75*3 27x9:409*3 25x7:279 26x7:235*3 30x2:65*3", 82, 3),
    "NGCUT11": Sheet(
        30, 30, 1688, (1490, 1434), "14x7:254*2 17x11:371*3 8x5:78*2 21x2:81*3 21x8:293 3x23:118*3 29x5:244", 71, 3,
    ),
    "NGCUT12": Sheet(
        30, 30, 1865, (1687, 1735),
        "16x13:507 9x11:240*3 4x30:265 6x28:351*3 5x1:10*3 2x30:110*2 6x26:259*2 8x23:275*3 16x6:132 24x1:29*3", 99, 4,
    ),
    # Hadjiconstantinou and Christofides, European Journal of Operational Research 83, 1995
    "HCCUT3": Sheet(30, 30, 1178, (1178, 1161), "12x21:450 17x21:570 6x6:49 9x15:166 5x12:69 16x6:92 5x4:17"),
    "HCCUT8": Sheet(
        30, 30, 1270, (1270, 1237),
        "22x21:828 12x21:450 11x18:335 17x21:570 8x21:268 9x17:236 5x18:128 6x6:49 9x15:166 1x19:22 5x12:69 "
        "22x21:530 5x6:33 16x6:92 5x4:17",
    ),
    # Oliveira and Ferreira, European Journal of Operational Research 44, 1990
    "OF1": Sheet(
        70, 40, 2737, (2713, 2660),
        "55x9:495 23x21:483*3 31x15:465 29x14:406*4 9x39:351*4 9x36:324*2 16x19:304*3 11x16:176*2 29x5:145 22x4:88*2",
    ),
    "OF2": Sheet(
        70, 40, 2690, (2515, 2522),
        "36x16:576*4 47x9:423 23x18:414*2 40x10:400 22x18:396*2 19x19:361*4 13x27:351*3 29x8:232*4 13x16:208*2 16x4:64",
    ),
    # Cung, Hifi and Le Cun, International Transactions in Operational Research 7, 2000
    "CHL5": Sheet(
        20, 20, 390, (363, 344),
        "7x14:98*2 11x8:88*2 17x5:85 20x4:80*2 11x6:66*2 7x9:63 12x3:36*3 14x2:28 1x7:7*3 1x5:5",
    ),
    "CHL2": Sheet(
        62, 55, 2326, (2235, 2086),
        "15x29:348*3 19x21:291 13x17:159*2 31x12:260*2 29x13:256*2 11x15:108*2 27x9:148*3 31x19:353*2 28x31:512 "
        "23x16:206",
    ),
    # CGCUT2 with the area as value, in the tables of Hifi and Roucairol, Journal of Combinatorial Optimization 5, 2001
    "2s": Sheet(
        40, 70, 2778, (2430, 2450),
        "21x22:462 31x13:403 9x35:315*3 9x24:216*3 30x7:210*2 11x13:143*3 10x14:140 14x8:112*3 12x8:96*3 13x7:91*3",
    ),
}  # fmt: skip


STICKS = ((20, 48), (45, 35), (50, 24), (55, 10), (75, 8))
"""Lengths and orders out of stock of 110: Fourer, Gay and Kernighan, AMPL, 2nd edition 2003, the cutting example.

The book's linear bound is 46.25; the optimum of 47 is recomputed from it: 46 stocks are refuted by 46.25, and 47
are found. Here a stock is a shelf, and the sticks stand on it one beside the other.
"""
