"""The published Rules of Handicapping as exact arithmetic: standard library only, whole tenths inside.

>>> EDITION
'Rules of Handicapping, 2024 revision'
"""

EDITION = "Rules of Handicapping, 2024 revision"
