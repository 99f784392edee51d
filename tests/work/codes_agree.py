"""Many codes against an independent ISO/IEC 7064 library, and every swap of two neighbours in them.

    PYTHONPATH=. python tests/work/codes_agree.py [COUNT]

The default run of the tests does a tenth of it by the same code.
"""

from __future__ import annotations

import sys

from stdnum.iso7064 import mod_37_36  # python-stdnum: ISO/IEC 7064 written by others

from tracker.work.codes import code_for, is_code, parse_code


def made(first: int, count: int) -> list[str]:
    """The codes of `count` legs of a build, from number `first` on."""
    return [code_for("bench 1", f"leg:{number}") for number in range(first, first + count)]


def disagree(codes: list[str]) -> list[str]:
    """The codes whose last character isn't the check character that the library computes."""
    return [c for c in codes if mod_37_36.calc_check_digit(c[:-1]) != c[-1] or not mod_37_36.is_valid(c)]


def pass_when_swapped(codes: list[str]) -> list[str]:
    """Every code that is still accepted after two different neighbours were swapped."""
    swapped = (
        code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        for code in codes
        for place in range(len(code) - 1)
        if code[place] != code[place + 1]
    )
    return [each for each in swapped if is_code(each) or parse_code(each) is not None]


if __name__ == "__main__":
    asked = made(0, int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
    print(f"{len(asked):,} codes: {len(disagree(asked))} disagree with the library;", end=" ")
    print(f"{len(pass_when_swapped(asked))} pass with two neighbours swapped")
