"""Small specs that several tests run: each is clean, or has one finding of one severity."""

CLEAN = """\
module desk {
    width   60HP
    depth   30mm
    draws   nothing
}
rack tray {
    row top {
        length  84HP
        behind  60mm
        at 0HP  desk
    }
}
"""
"""No finding at all."""

ERROR = CLEAN.replace("60HP", "90HP")
"""One error: row-overfull."""

WARNING = CLEAN.replace("    }\n}", '    }\n    waive row-overfull on top because "the last blank is filed down"\n}')
"""One warning: waiver-stale."""

NOTE = CLEAN.replace("30mm", "50mm guessed")
"""One note: guess-decides, because half of 50mm is more than the 10mm that are left."""

BROKEN = CLEAN.replace("width", "widht")
"""A misspelt word."""

UNKNOWN = CLEAN.replace("at 0HP  desk", "at 0HP  dsek")
"""A name that nothing has."""

HOUSE_FAILS_AT = "house {{\n    fail-at {level}\n}}\n"
