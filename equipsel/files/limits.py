"""The limits on what is read, in one place with their reasons. Input beyond them ends in a message, never in a hang.

All are our own. Together they keep reading below 500 MB of memory and 10 s, whatever stands in the files.
"""

LARGEST_FILE_BYTES = 20_000_000
"""Of a table, a scenario.toml, a kit.json or a packed workbook: a list of 20,000 devices with long notes has 5 MB."""

LARGEST_UNPACKED_BYTES = 60_000_000
"""Of everything in a workbook: 2 MB can unpack to gigabytes; 20,000 devices have 20 MB."""

MOST_PARTS = 2_000
"""Files inside a workbook: a sheet has a few, and each picture one."""

MOST_CELLS = 1_000_000
"""XML elements of the cells of one part of a workbook: a cell has two or three, and 20,000 rows of 16 cells are read in seconds."""

MOST_OBJECTS = 20_000
"""XML elements beside cells (styles, merged cells, sheets) in a part that is parsed: each becomes an object, slow to make."""

MOST_UNREAD = 150_000
"""The same in a part that is most likely not parsed (drawings, pivot tables)."""

MOST_LINES = 100_000
"""Rows of a sheet that are looked at, blank ones too: no table goes on below so many blanks."""

MOST_ROWS = 20_000
"""Of a table: twice the longest list that is meant to be read in seconds."""

MOST_COLUMNS = 100
"""Of a table: five times as many as the widest has, for notes."""

LONGEST_CELL = 1_000
"""Characters of a cell: room for a note of half a page."""

MOST_DEVICES = 20_000
"""Of a site, counts multiplied out: so many like ones are planned, re-checked and printed in 6.5 s and 176 MB; 100,000 took 28 s."""

TEXT_LIMITS = {"title": 200, "currency": 12, "catalog": 1000}
"""Characters of the keys outside [rules]."""

MOST_OF_A_KIND = 200
"""Problems of one kind in one table that are told; after these the rest are only announced."""

COMPARED_NAMES = 1000
"""Among more names than this the nearest is not looked for: it would take too long."""

SHOWN_CHARACTERS = 60
"""Of a cell in a message; longer ones are cut."""

LOOKED_AT = 10
"""Rows that are searched for the column names when the first row holds none."""
