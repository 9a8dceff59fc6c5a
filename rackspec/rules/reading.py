"""Pages of the rules that reading and linking hold to: in: nothing, out: entries of RULES without a function."""

from __future__ import annotations

from rackspec.findings import ERROR, NOTE, WARNING
from rackspec.rules.registry import page

READING, NAMES = "reading", "names and files"

page(
    "unknown-word",
    ERROR,
    READING,
    """A line begins with a word that is not known in its block.

    *Why*: a fact under a misspelt word would be lost without a trace.

    *Bad*:

        module osc {
            widht 14HP
        }

    *Good*:

        module osc {
            width 14HP
        }

    *Source*: the table of words of this language.
    """,
)

page(
    "line-not-understood",
    ERROR,
    READING,
    """A line cannot be read as its word asks for.

    *Why*: what is not understood is not checked; guessing at it could let a wrong hole through.

    *Bad*:

        module osc {
            draws 62mA +12V
        }

    *Good*:

        module osc {
            draws 62mA on +12V
        }

    *Source*: the grammar of this language.
    """,
)

page(
    "unit-missing",
    ERROR,
    READING,
    """A measure has no unit, or its unit stands apart from its number.

    *Why*: 14 may be HP, millimetres or inches; with the wrong one of them metal is cut.

    *Bad*:

        module osc {
            width 14
        }

    *Good*:

        module osc {
            width 14HP
        }

    *Source*: the grammar of this language; bare numbers are counts.
    """,
)

page(
    "unknown-unit",
    ERROR,
    READING,
    """A unit is not one of the language.

    *Why*: capitals count: 'mA' is a thousandth of an 'MA'. The remedy gives the same measure in a unit that is known.

    *Bad*:

        module osc {
            width 14hp
        }

    *Good*:

        module osc {
            width 14HP
        }

    *Source*: units as in grammar/units.txt.
    """,
)

page(
    "unknown-currency",
    ERROR,
    READING,
    """A currency code is not one of ISO 4217.

    *Why*: sums of money are only added in one currency, so each has to be known.

    *Bad*:

        module osc {
            price 148 ERU
        }

    *Good*:

        module osc {
            price 148 EUR
        }

    *Source*: ISO 4217, list of active codes.
    """,
)

page(
    "wrong-dimension",
    ERROR,
    READING,
    """A word takes another kind of measure: a length where a current is due, say.

    *Why*: such a line was meant for another word, or lost its first half.

    *Bad*:

        module osc {
            depth 62mA
        }

    *Good*:

        module osc {
            depth 27mm
        }

    *Source*: the table of words of this language.
    """,
)

page(
    "value-impossible",
    ERROR,
    READING,
    """A value is one that nothing can have: below zero, nothing at all, or more than the whole.

    *Why*: a width of -14HP or an efficiency of 120 % would make every sum that it enters wrong without a trace. Sheets
    often give the current on -12 V with a minus sign; the sign belongs to the voltage.

    *Bad*:

        module osc {
            draws -41mA on -12V
        }

    *Good*:

        module osc {
            draws 41mA on -12V
        }

    *Source*: arithmetic.
    """,
)

page(
    "text-unfinished",
    ERROR,
    READING,
    """A text has no second quote on its line.

    *Why*: where it ends can only be guessed.

    *Bad*:

        module osc {
            note "sounds best loud
        }

    *Good*:

        module osc {
            note "sounds best loud"
        }

    *Source*: the grammar of this language.
    """,
)

page(
    "brace-astray",
    ERROR,
    READING,
    """A brace is missing, too many, or not at its place.

    *Why*: braces say which line belongs to which thing. The indentation is used to find the one that is meant.

    *Bad*:

        module osc {
            width 14HP
        module filter {
            width 8HP
        }

    *Good*:

        module osc {
            width 14HP
        }
        module filter {
            width 8HP
        }

    *Source*: the grammar of this language.
    """,
)

page(
    "merge-unfinished",
    ERROR,
    READING,
    """Marks of an unfinished merge are left in a file.

    *Why*: two versions of the same lines stand there; only the first is read until one of them is chosen.

    *Example*: none, because a file with such marks would disturb the tools that keep this page.

    *Source*: the marks that git leaves.
    """,
)

page(
    "name-reserved",
    ERROR,
    READING,
    """A reserved word is used as a name.

    *Why*: 'blank', 'gap', 'plus' and 'minus' have a meaning wherever a name may stand.

    *Bad*:

        module blank {
            width 14HP
        }

    *Good*:

        module blank-panel {
            width 14HP
        }

    *Source*: the grammar of this language.
    """,
)

page(
    "said-twice",
    ERROR,
    READING,
    """A fact is said twice in one block.

    *Why*: one of the two is wrong or useless, and 'the last one wins' would decide it by accident. A measured value may
    stand beside a stated one; measured beats stated, stated beats guessed.

    *Bad*:

        module osc {
            depth 27mm
            depth 31mm
        }

    *Good*:

        module osc {
            depth 27mm stated "maker's sheet"
            depth 31mm measured "with its adapter board"
        }

    *Source*: the table of words of this language.
    """,
)

page(
    "fact-missing",
    ERROR,
    READING,
    """A block lacks a fact that it is nothing without.

    *Why*: only very few facts are of that kind; everything else may stay unknown for now.

    *Bad*:

        rail tideline {
            mass 205g
        }

    *Good*:

        rail tideline {
            length 84HP
            mass 205g
        }

    *Source*: the table of words of this language.
    """,
)

page(
    "version-not-known",
    ERROR,
    READING,
    """A file is written in a version of the language that is not known, or says its version in the wrong place.

    *Why*: a later version may give a word another meaning.

    *Bad*:

        rackspec 7

    *Good*:

        rackspec 1

    *Source*: versions of this language.
    """,
)

page(
    "not-utf-8",
    ERROR,
    READING,
    """A file holds bytes that are not UTF-8 text.

    *Why*: some of its characters cannot be known. Everything that can be read is still inspected.

    *Example*: none, because this page is UTF-8 itself.

    *Source*: RFC 3629.
    """,
)

page(
    "file-too-large",
    ERROR,
    READING,
    """A file is far larger than any spec.

    *Why*: it was named by mistake; reading it would take minutes.

    *Example*: none, because it would be 64 MB long.

    *Source*: a limit of this program.
    """,
)

page(
    "unknown-name",
    ERROR,
    NAMES,
    """A name is used that nothing has.

    *Why*: the part is missing, its file is not used, or the name is misspelt; what hangs on it is not checked.

    *Bad*:

        module osc {
            width 14HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP ocs
            }
        }

    *Good*:

        module osc {
            width 14HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Source*: the rules of names of this language.
    """,
)

page(
    "name-of-other-kind",
    ERROR,
    NAMES,
    """A name is used that belongs to another kind of thing.

    *Why*: a rail cannot be placed in a row, and a module feeds nothing.

    *Bad*:

        rail tideline {
            length 84HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP tideline
            }
        }

    *Good*:

        rail tideline {
            length 84HP
        }
        rack tray {
            row top {
                rails tideline
                at 0HP blank 4HP
            }
        }

    *Source*: the rules of names of this language.
    """,
)

page(
    "name-taken",
    ERROR,
    NAMES,
    """A name is given twice.

    *Why*: nobody could say which of the two is meant. A second panel of the same part gets a name by 'as'.

    *Bad*:

        module osc {
            width 14HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
                next osc
            }
        }

    *Good*:

        module osc {
            width 14HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
                next osc as osc-b
            }
        }

    *Source*: the rules of names of this language.
    """,
)

page(
    "like-cycle",
    ERROR,
    NAMES,
    """A part is like another one that in the end is like itself.

    *Why*: there is no first one whose facts could hold.

    *Bad*:

        module osc like osc-b {
            width 14HP
        }
        module osc-b like osc {
            depth 27mm
        }

    *Good*:

        module osc {
            width 14HP
        }
        module osc-b like osc {
            depth 27mm
        }

    *Source*: the rules of names of this language.
    """,
)

page(
    "like-too-long",
    ERROR,
    NAMES,
    """A part is like another, that like another, and so on, for more steps than anybody can follow.

    *Why*: what holds in the end can no longer be seen; beyond a hundred steps it is not looked for.

    *Example*: none, because it would be a hundred parts long.

    *Source*: a limit of this program.
    """,
)

page(
    "fed-in-a-ring",
    ERROR,
    NAMES,
    """A bus is fed from itself, directly or by way of others.

    *Why*: no supply feeds such a ring.

    *Bad*:

        rack tray {
            bus left {
                from right
            }
            bus right {
                from left
            }
        }

    *Good*:

        supply brick {
            gives 1A on +12V
        }
        rack tray {
            bus left {
                from right
            }
            bus right {
                from brick
            }
        }

    *Source*: arithmetic.
    """,
)

page(
    "nothing-above",
    ERROR,
    NAMES,
    """'instead' stands first in a row, where there is nothing it could replace.

    *Why*: it means 'in the place of the panel above, at another time'.

    *Bad*:

        module osc {
            width 14HP
        }
        rack tray {
            stage later
            row top {
                length 84HP
                instead osc in later
            }
        }

    *Good*:

        module osc {
            width 14HP
        }
        rack tray {
            stage later
            row top {
                length 84HP
                at 0HP blank 14HP until later
                instead osc in later
            }
        }

    *Source*: the meaning of the word.
    """,
)

page(
    "use-not-found",
    ERROR,
    NAMES,
    """A file or folder that is used is not there, or cannot be read.

    *Why*: every name in it is missing.

    *Bad*:

        use "part.rackspec"

        # in parts.rackspec
        rail tideline {
            length 84HP
        }

    *Good*:

        use "parts.rackspec"

        # in parts.rackspec
        rail tideline {
            length 84HP
        }

    *Source*: the rules of files of this language.
    """,
)

page(
    "use-outside-root",
    ERROR,
    NAMES,
    """A file is used that lies outside of the folder the spec belongs to.

    *Why*: on another machine it is not there, and a spec from a stranger must not read your files.

    *Bad*:

        use "../../elsewhere/"

    *Good*:

        use "parts.rackspec"

        # in parts.rackspec
        rail tideline {
            length 84HP
        }

    *Source*: the rules of files of this language; the root is the nearest folder above with a house.rackspec, else the
    git root, else the file's folder.
    """,
)

page(
    "use-cycle",
    ERROR,
    NAMES,
    """Files use each other in a ring.

    *Why*: nothing is lost by it, but nobody can say any more which file needs which.

    *Bad*:

        use "parts.rackspec"

        # in parts.rackspec
        use "spec.rackspec"

    *Good*:

        use "parts.rackspec"

        # in parts.rackspec
        rail tideline {
            length 84HP
        }

    *Source*: the rules of files of this language.
    """,
)

page(
    "use-left-out",
    NOTE,
    NAMES,
    """A name comes from a file that this file does not use.

    *Why*: inspected together with its neighbours the file is well, inspected alone it is not.

    *Bad*:

        rack tray {
            row top {
                rails tideline
            }
        }

        # in parts.rackspec
        rail tideline {
            length 84HP
        }

    *Good*:

        use "parts.rackspec"
        rack tray {
            row top {
                rails tideline
            }
        }

        # in parts.rackspec
        rail tideline {
            length 84HP
        }

    *Source*: the rules of files of this language.
    """,
)

page(
    "waiver-stale",
    WARNING,
    NAMES,
    """A waiver accepts nothing any more, or its last day has passed.

    *Why*: an old waiver would silently accept the same fault when it comes back.

    *Bad*:

        rack tray {
            row top {
                length 84HP
            }
            waive row-overfull on top because "the last blank is filed down"
        }

    *Good*:

        rack tray {
            row top {
                length 84HP
            }
        }

    *Source*: the rules of waivers of this language.
    """,
)

page(
    "part-unused",
    NOTE,
    NAMES,
    """A part of the library is used by nothing that was inspected.

    *Why*: told on request only (`inspect --also part-unused`): a library may well hold more than its racks use.

    *Bad*:

        module osc {
            width 14HP
        }

    *Good*:

        module osc {
            width 14HP
        }
        rack tray {
            row top {
                length 84HP
                at 0HP osc
            }
        }

    *Source*: the rules of names of this language.
    """,
)
