"""A first spec: in: the name of a rack, out: its text, made to be read, tried and changed."""

from __future__ import annotations

TEXT = """\
# {name}: a first spec. Everything behind a '#' is a comment, for you.
# Try it:    rackspec inspect {name}.rackspec
# Change a line, try it again. A word you do not know:    rackspec explain draws

# --- the modules -----------------------------------------------------------
# One block a module. Only the width is needed to begin with; what you do not know yet, leave out: you will be
# told what is missing and where to measure it. Say how you know a thing: stated, measured or guessed.

module first-voice "an oscillator" {{
    width     14HP
    depth     27mm                  # behind the panel, plug not counted
    draws     62mA on +12V
    draws     41mA on -12V
    header    10-pin keyed
    basis     stated "maker's sheet"
}}

module first-filter "a filter" {{
    width     8HP
    depth     31mm guessed          # a guess is welcome, but it stays a guess
    draws     30mA on +12V
    draws     28mA on -12V
}}

module first-mixer "a mixer, no sheet at hand" {{
    width     6HP                   # no depth, no current: not known yet
}}

# --- the power supply ------------------------------------------------------
# Fed by an adapter: mains stays outside of the case. Work on mains is for people licensed for it.

supply first-supply {{
    width     4HP
    gives     1A on +12V
    gives     1A on -12V
    input     adapter 15V 2A
    headers   8
}}

# --- the rack --------------------------------------------------------------
rack {name} {{
    stage     later                 # something that comes later

    row top {{
        length    84HP                  # between the side pieces; or name your rails: rails my-rail with my-strip
        behind    60mm                  # free depth behind the panels

        at   0HP  first-supply
        at   4HP  first-voice
        next      first-filter          # right behind the one above
        next      first-mixer
        next      first-voice as second-voice in later
    }}

    wish utilities "two small things, one day" in later {{
        count     2
        width     6HP
    }}
}}
"""


def first_spec(name: str) -> str:
    """The text of a first spec for a rack of that name."""
    text = TEXT
    if name.startswith("first-"):  # a rack must not take the name of one of its parts
        text = text.replace("first-", "trial-")
    return text.format(name=name)
